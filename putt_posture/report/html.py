"""The report as one HTML file."""

from collections.abc import Mapping

from putt_posture.report.content import Report
from putt_posture.report.page import as_uri, render_page

__all__ = ["report_as_html"]


def report_as_html(report: Report, *, pictures: Mapping[str, bytes]) -> str:
    """Return the text of `report.html`.

    Parameters
    ----------
    report : Report
    pictures : mapping of plate name to the bytes of a JPEG or SVG
        Embedded as data URIs.
    """
    uris = {name: as_uri(picture) for name, picture in pictures.items()}
    return render_page("report.html.jinja", report=report, pictures=uris)
