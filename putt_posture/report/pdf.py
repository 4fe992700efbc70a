"""The report as an A4 PDF, set from the text that the HTML has too."""

from collections.abc import Mapping
from datetime import date

import attrs

from putt_posture.report.colours import PART_COLOURS, PART_TITLES
from putt_posture.report.content import Report
from putt_posture.report.page import ending_of
from putt_posture.report.typeset import typeset

__all__ = ["report_as_pdf"]


def report_as_pdf(report: Report, *, pictures: Mapping[str, bytes], made_on: date | None = None) -> bytes:
    """Return the bytes of `report.pdf`.

    Parameters
    ----------
    report : Report
    pictures : mapping of plate name to the bytes of a JPEG or SVG
    made_on : date, optional
        Stamped as the day of creation.
    """
    data = {"report": attrs.asdict(report), "colours": dict(PART_COLOURS), "part_titles": dict(PART_TITLES)}
    files = {f"{name}.{ending_of(picture)}": picture for name, picture in pictures.items()}
    return typeset("report.typ", data, pictures=files, made_on=made_on)
