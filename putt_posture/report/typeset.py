"""Text and pictures to an A4 PDF by Typst, in memory: nothing about people is written anywhere on the way."""

import json
import shutil
import tempfile
from collections.abc import Mapping
from datetime import UTC, date, datetime
from importlib import resources
from pathlib import Path
from typing import Any, Final, cast

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
        Pictures that the template names: SVG as ``image``, others as ``photo``.
    made_on : date, optional
        Stamped as the day of creation.
    """
    files = {
        "main.typ" if each.name == template else each.name: each.read_bytes()
        for each in resources.files("putt_posture.report").joinpath("templates").iterdir()
        if each.name.endswith(".typ")
    }
    files["data.json"] = json.dumps(data, ensure_ascii=False, allow_nan=False).encode("utf-8")
    for name, picture in (pictures or {}).items():
        if name.endswith(".svg"):
            files[name] = picture
        else:  # Typst takes no file in memory but text
            files[f"{name}.json"] = json.dumps(list(picture)).encode("ascii")
    stamp = datetime(made_on.year, made_on.month, made_on.day, tzinfo=UTC) if made_on else None
    with tempfile.TemporaryDirectory(prefix="putt-posture-fonts-") as fonts:
        for name in _FALLBACK_FONTS:
            shutil.copyfile(Path(matplotlib.get_data_path()) / "fonts" / "ttf" / name, Path(fonts) / name)
        made = typst.compile(cast(Any, files), font_paths=[fonts], format="pdf", timestamp=stamp)
    return bytes(made)
