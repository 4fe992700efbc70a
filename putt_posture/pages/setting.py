"""Text and pictures set to one HTML file or a PDF for A4 or Letter, in memory; nothing is fetched or written.

Every length in a text is set in the unit in which lengths are shown (`shown_units`), but for what is `AsIs`. Texts
come as they are; here, and nowhere before, they are made text that can be written (`plain`).
"""

import base64
import hashlib
import json
import shutil
import tempfile
from collections.abc import Mapping
from datetime import UTC, date, datetime
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any, Final, Literal, cast

import matplotlib
import typst
from attrs import frozen
from jinja2 import Environment, PackageLoader, StrictUndefined, pass_context
from jinja2.runtime import Context
from markupsafe import Markup

from putt_posture.drawing.colours import PART_COLOURS, PART_TITLES
from putt_posture.shown import plain
from putt_posture.shown_units import AsIs, say_in_shown_unit, texts_in_shown_unit

__all__ = [
    "CLIP_POLICY",
    "CLIP_SOURCE",
    "NAMELESS",
    "POLICY",
    "SLIDER_HASH",
    "SLIDER_POLICY",
    "SLIDER_SCRIPT",
    "Fact",
    "Plate",
    "as_typed",
    "as_uri",
    "ending_of",
    "render_page",
    "say_in_place",
    "typeset",
]

NAMELESS: Final = "Student"
"""Who has no name."""


POLICY: Final = "default-src 'none'; img-src data:; style-src 'unsafe-inline'"
"""The content security policy of a page: no scripts, and nothing is loaded."""
CLIP_SOURCE: Final = "media-src 'self' file:"
"""Allows clips beside the page in its folder."""
CLIP_POLICY: Final = f"{POLICY}; {CLIP_SOURCE}"
"""The same for a page with clips beside it in its folder."""
SLIDER_SCRIPT: Final = (
    "for(const box of document.querySelectorAll('.slide')){const bar=box.querySelector('input');"
    "box.classList.add('live');bar.addEventListener('input',()=>box.style.setProperty('--v',bar.value))}"
)
"""Moves the line between before and after; without it the two pictures stand side by side."""
SLIDER_HASH: Final = f"'sha256-{base64.b64encode(hashlib.sha256(SLIDER_SCRIPT.encode()).digest()).decode()}'"
"""Its digest, as a policy names it."""
SLIDER_POLICY: Final = f"{POLICY}; script-src {SLIDER_HASH}"
"""Allows that script and no other."""


@frozen(kw_only=True)
class Fact:
    """One line of small print: a name and what it is."""

    name: str
    says: str


@frozen(kw_only=True)
class Plate:
    """One picture with its caption; `file` is its name without an ending, `aspect` its width over its height."""

    file: str
    aspect: float
    title: str
    caption: str
    says: str


Paper = Literal["a4", "letter"]
"""What a PDF is set for: 210 × 297 mm (ISO 216), or 8.5 × 11 in (ANSI/ASME Y14.1, size A)."""
_PAPERS: Final[Mapping[Paper, str]] = {"a4": "a4", "letter": "us-letter"}
"""As Typst names them."""
_TYPES: Final[Mapping[str, str]] = {"jpg": "image/jpeg", "svg": "image/svg+xml"}
_JPEG_START: Final = b"\xff\xd8"
_FALLBACK_FONTS: Final = ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf")
"""Come with matplotlib; for letters that Typst's own font lacks, on machines without fonts."""


def render_page(template: str, **data: Any) -> str:
    """Return the text of an HTML file; every text in `data` is shown as it is, never read as markup.

    Parameters
    ----------
    template : str
        Name of the template's file.
    **data : Any
        Values that the template uses, by name.
    """
    given = {"colours": PART_COLOURS, "part_titles": PART_TITLES, "policy": POLICY} | data
    return _environment().get_template(template).render(given)


def ending_of(picture: bytes) -> str:
    """Return how the file of a picture ends: ``jpg`` or ``svg``.

    Parameters
    ----------
    picture : bytes
        Bytes of a JPEG or SVG.
    """
    return "jpg" if picture.startswith(_JPEG_START) else "svg"


def as_typed(text: str) -> AsIs:
    """Return what a person typed, or the name of a file, as pages show it: with its own words and units.

    Parameters
    ----------
    text : str
    """
    return AsIs(text)


def as_uri(picture: bytes) -> str:
    """Return a picture as a data URI.

    Parameters
    ----------
    picture : bytes
        Bytes of a JPEG or SVG.
    """
    return f"data:{_TYPES[ending_of(picture)]};base64," + base64.b64encode(picture).decode("ascii")


def typeset(
    template: str,
    data: Mapping[str, Any],
    *,
    pictures: Mapping[str, bytes] | None = None,
    made_on: date | None = None,
    paper: Paper = "a4",
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
    paper : {"a4", "letter"}
    """
    files = {
        "main.typ" if each.name == template else each.name: each.read_bytes()
        for each in resources.files("putt_posture.pages").joinpath("templates").iterdir()
        if each.name.endswith(".typ")
    }
    told = {**texts_in_shown_unit(data), "paper": _PAPERS[paper]}
    files["data.json"] = json.dumps(told, ensure_ascii=False, allow_nan=False).encode("utf-8", "replace")
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


@cache
def _environment() -> Environment:
    """Return the one environment, which compiles each template once."""
    return Environment(
        loader=PackageLoader("putt_posture.pages", "templates"), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True, auto_reload=False, finalize=say_in_place,
    )  # fmt: skip


@pass_context  # so that a template that was compiled for centimetres serves for inches too
def say_in_place(_context: Context, value: Any) -> Any:
    """Return what is set at one place of a template: plain text in the unit that is shown; pictures and markup stay.

    Parameters
    ----------
    _context : Context
        Of the template; it is not used.
    value : Any
        What stands in the template.
    """
    if not isinstance(value, str) or isinstance(value, Markup) or value.startswith("data:"):
        return value
    return plain(value if isinstance(value, AsIs) else say_in_shown_unit(value))
