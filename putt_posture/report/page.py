"""Text and pictures to one HTML file that carries everything and asks for nothing else."""

import base64
from collections.abc import Mapping
from functools import cache
from typing import Any, Final

from jinja2 import Environment, PackageLoader, StrictUndefined

from putt_posture.report.colours import PART_COLOURS, PART_TITLES

__all__ = ["as_uri", "ending_of", "render_page"]

_TYPES: Final[Mapping[str, str]] = {"jpg": "image/jpeg", "svg": "image/svg+xml"}
_JPEG_START: Final = b"\xff\xd8"


def render_page(template: str, **data: Any) -> str:
    """Return the text of an HTML file; every text in `data` is shown as it is, never read as markup."""
    return _environment().get_template(template).render(colours=PART_COLOURS, part_titles=PART_TITLES, **data)


@cache
def _environment() -> Environment:
    """Return the one environment, which compiles each template once."""
    return Environment(
        loader=PackageLoader("putt_posture.report", "templates"), autoescape=True, undefined=StrictUndefined,
        trim_blocks=True, lstrip_blocks=True, auto_reload=False,
    )  # fmt: skip


def ending_of(picture: bytes) -> str:
    """Return how the file of a picture ends: ``jpg`` or ``svg``."""
    return "jpg" if picture.startswith(_JPEG_START) else "svg"


def as_uri(picture: bytes) -> str:
    """Return a picture as a data URI."""
    return f"data:{_TYPES[ending_of(picture)]};base64," + base64.b64encode(picture).decode("ascii")
