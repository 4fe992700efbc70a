"""The pictures inside a stored `report.html`, changed."""

import base64
import io
import re
from collections.abc import Sequence
from typing import Final

import numpy as np
from attrs import field, frozen
from PIL import Image

from putt_posture.report.page import as_uri
from putt_posture.report.stills import as_jpeg
from putt_posture.report.store import EMBEDDED_BYTES
from putt_posture.report.wording import FACES, FACES_HIDDEN
from putt_posture.values import Picture

__all__ = ["ALIKE", "Redrawn", "find_difference", "hide_faces_in_page"]

ALIKE: Final = 6.0
"""Levels (of 255) that an embedded picture and its PNG may differ by in the mean; JPEG alone makes about 1, another
picture of the same lesson more than 10."""

_URI: Final = re.compile(r"data:([a-z]+/[a-z+.-]+);base64,([A-Za-z0-9+/=]*)")
_EVERY_URI: Final = re.compile(r"(?<!img-src )data:", re.IGNORECASE)
"""However it is written; but not what the page says of where its pictures may come from."""
_RASTER_IN_SVG: Final = b"<image"


@frozen(kw_only=True, eq=False)
class Redrawn:
    """A picture with the faces and the same without, both (H, W, 3) uint8."""

    before: Picture = field(repr=False)
    after: Picture = field(repr=False)


def hide_faces_in_page(page: str, pictures: Sequence[Redrawn]) -> str | None:
    """Put the pictures without faces in the place of those with, and say so among the facts at the top.

    Embedded pictures are told by what they show, so that it makes no odds which JPEG library wrote them.

    Parameters
    ----------
    page : str
        The text of a `report.html`.
    pictures : sequence of Redrawn

    Returns
    -------
    str or None
        None where a picture is in the page that is none of these: then nobody can say what it shows.
    """
    found = list(_URI.finditer(page))
    if len(found) != len(_EVERY_URI.findall(page)):
        return None
    parts, done = [], 0
    for uri in found:
        kind, data = uri[1], base64.b64decode(uri[2])
        new = _redraw(data, pictures) if kind != "image/svg+xml" else _keep_drawing(uri[0], data)
        if new is None:
            return None
        parts += [page[done : uri.start()], new]
        done = uri.end()
    changed = "".join([*parts, page[done:]])
    if f"<dt>{FACES}</dt>" in changed:
        return changed
    return changed.replace("</dl>", f"<dt>{FACES}</dt><dd>{FACES_HIDDEN}</dd>\n</dl>", 1)


def _keep_drawing(uri: str, data: bytes) -> str | None:
    return None if _RASTER_IN_SVG in data else uri


def _redraw(data: bytes, pictures: Sequence[Redrawn]) -> str | None:
    try:
        embedded = Image.open(io.BytesIO(data)).convert("RGB")
    except OSError:
        return None
    gaps = [find_difference(embedded, each.before) for each in pictures]
    if not gaps or min(gaps) > ALIKE:
        return None
    after = pictures[int(np.argmin(gaps))].after
    return as_uri(as_jpeg(after, most_bytes=EMBEDDED_BYTES))


def find_difference(embedded: Image.Image, picture: Picture) -> float:
    """Return the mean difference in levels; infinite where the shapes differ.

    Parameters
    ----------
    embedded : Image
        As a page holds it, of any size.
    picture : (H, W, 3) uint8
        RGB.
    """
    high, wide = picture.shape[:2]
    if abs(embedded.width / embedded.height - wide / high) > 2 / min(embedded.size):
        return float("inf")
    shown = np.asarray(Image.fromarray(picture).resize(embedded.size, Image.Resampling.BOX), dtype=np.int16)
    return float(np.abs(shown - np.asarray(embedded)).mean())
