"""Text and pictures to an A4 PDF by Typst."""

import json
import shutil
import tempfile
from collections.abc import Mapping
from datetime import UTC, date, datetime
from importlib import resources
from pathlib import Path
from typing import Any, Final

import matplotlib
import typst

__all__ = ["typeset"]

_FALLBACK_FONTS: Final = ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf")
"""Come with matplotlib; for letters that Typst's own font lacks, on machines without fonts."""


def typeset(
    template: str,
    data: Mapping[str, Any],
    *,
    pictures: Mapping[str, bytes] | None = None,
    made_on: date | None = None,
) -> bytes:
    """Return the bytes of a PDF.

    Parameters
    ----------
    template : str
        Name of a file in ``templates/``, with which it reads ``data.json``.
    data : mapping
        Plain dicts, lists, strings and numbers.
    pictures : mapping of file name to bytes, optional
        Pictures that the template names.
    made_on : date, optional
        Stamped as the day of creation.
    """
    templates = resources.files("putt_posture.report").joinpath("templates")
    with tempfile.TemporaryDirectory(prefix="putt-posture-") as place:
        root = Path(place)
        for each in templates.iterdir():
            if each.name.endswith(".typ"):
                (root / each.name).write_text(each.read_text(encoding="utf-8"), encoding="utf-8")
        (root / "data.json").write_text(json.dumps(data, ensure_ascii=False, allow_nan=False), encoding="utf-8")
        for name, picture in (pictures or {}).items():
            (root / name).write_bytes(picture)
        fonts = root / "fonts"
        fonts.mkdir()
        for name in _FALLBACK_FONTS:
            shutil.copyfile(Path(matplotlib.get_data_path()) / "fonts" / "ttf" / name, fonts / name)
        stamp = datetime(made_on.year, made_on.month, made_on.day, tzinfo=UTC) if made_on else None
        made = typst.compile(
            str(root / template), root=str(root), font_paths=[str(fonts)], format="pdf", timestamp=stamp
        )
    return bytes(made)
