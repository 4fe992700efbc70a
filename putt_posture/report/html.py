"""The report as one HTML file that carries its pictures and asks for nothing else."""

import base64
from collections.abc import Mapping

from jinja2 import Environment, PackageLoader, StrictUndefined

from putt_posture.report.colours import PART_COLOURS, PART_TITLES
from putt_posture.report.content import Report

__all__ = ["report_as_html"]


def report_as_html(report: Report, *, pictures: Mapping[str, bytes]) -> str:
    """Return the text of `report.html`.

    Parameters
    ----------
    report : Report
    pictures : mapping of plate name to JPEG bytes
        Embedded as data URIs.
    """
    environment = Environment(
        loader=PackageLoader("putt_posture.report", "templates"), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    uris = {name: "data:image/jpeg;base64," + base64.b64encode(data).decode("ascii") for name, data in pictures.items()}
    template = environment.get_template("report.html.jinja")
    return template.render(report=report, pictures=uris, colours=PART_COLOURS, part_titles=PART_TITLES)
