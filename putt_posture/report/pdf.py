"""The report as an A4 PDF, set by Typst from the text that the HTML has too."""

import json
import shutil
import tempfile
from collections.abc import Mapping
from datetime import UTC, date, datetime
from importlib import resources
from pathlib import Path
from typing import Final

import attrs
import matplotlib
import typst

from putt_posture.report.colours import PART_COLOURS, PART_TITLES
from putt_posture.report.content import Report

__all__ = ["report_as_pdf"]

_FALLBACK_FONTS: Final = ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf")
"""Come with matplotlib; for letters that Typst's own font lacks, on machines without fonts."""


def report_as_pdf(report: Report, *, pictures: Mapping[str, bytes], made_on: date | None = None) -> bytes:
    """Return the bytes of `report.pdf`.

    Parameters
    ----------
    report : Report
    pictures : mapping of plate name to JPEG bytes
    made_on : date, optional
        Stamped as the day of creation.
    """
    data = {"report": attrs.asdict(report), "colours": dict(PART_COLOURS), "part_titles": dict(PART_TITLES)}
    template = resources.files("putt_posture.report").joinpath("templates/report.typ").read_text(encoding="utf-8")
    with tempfile.TemporaryDirectory(prefix="putt-posture-") as place:
        root = Path(place)
        (root / "report.typ").write_text(template, encoding="utf-8")
        (root / "report.json").write_text(json.dumps(data, ensure_ascii=False, allow_nan=False), encoding="utf-8")
        for name, picture in pictures.items():
            (root / f"{name}.jpg").write_bytes(picture)
        fonts = root / "fonts"
        fonts.mkdir()
        for name in _FALLBACK_FONTS:
            shutil.copyfile(Path(matplotlib.get_data_path()) / "fonts" / "ttf" / name, fonts / name)
        stamp = datetime(made_on.year, made_on.month, made_on.day, tzinfo=UTC) if made_on else None
        made = typst.compile(
            str(root / "report.typ"), root=str(root), font_paths=[str(fonts)], format="pdf", timestamp=stamp
        )
    return bytes(made)
