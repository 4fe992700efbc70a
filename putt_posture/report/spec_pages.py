"""The spec sheet as one HTML file and as one page of A4."""

from datetime import date

import attrs

from putt_posture.report.page import render_page
from putt_posture.report.spec_content import SpecSheet
from putt_posture.report.typeset import typeset

__all__ = ["spec_sheet_as_html", "spec_sheet_as_pdf"]


def spec_sheet_as_html(sheet: SpecSheet) -> str:
    """Return the text of `spec_sheet.html`."""
    return render_page("spec_sheet.html.jinja", sheet=sheet)


def spec_sheet_as_pdf(sheet: SpecSheet, *, made_on: date | None = None) -> bytes:
    """Return the bytes of `spec_sheet.pdf`, stamped with the day of creation where it is given."""
    return typeset("spec_sheet.typ", {"sheet": attrs.asdict(sheet)}, made_on=made_on)
