"""The comparison as one HTML file and as an A4 PDF."""

from collections.abc import Mapping
from datetime import date

import attrs

from putt_posture.report.colours import PART_COLOURS
from putt_posture.report.comparison.content import ComparisonReport
from putt_posture.report.page import as_uri, ending_of, render_page
from putt_posture.report.typeset import typeset

__all__ = ["comparison_as_html", "comparison_as_pdf"]


def comparison_as_html(report: ComparisonReport, *, pictures: Mapping[str, bytes]) -> str:
    """Return the text of `comparison.html`.

    Parameters
    ----------
    report : ComparisonReport
    pictures : mapping of plate name to the bytes of a JPEG or SVG
        Embedded as data URIs.
    """
    uris = {name: as_uri(picture) for name, picture in pictures.items()}
    return render_page("comparison.html.jinja", report=report, pictures=uris)


def comparison_as_pdf(report: ComparisonReport, *, pictures: Mapping[str, bytes], made_on: date | None = None) -> bytes:
    """Return the bytes of `comparison.pdf`, stamped with the day of creation where it is given."""
    data = {"report": attrs.asdict(report), "colours": dict(PART_COLOURS)}
    files = {f"{name}.{ending_of(picture)}": picture for name, picture in pictures.items()}
    return typeset("comparison.typ", data, pictures=files, made_on=made_on)
