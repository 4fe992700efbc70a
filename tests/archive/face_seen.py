"""A known face looked for in whatever came out: every picture in a folder, in its pages, its PDFs and its zips."""

import base64
import io
import re
import zipfile
from collections.abc import Iterator, Sequence
from functools import lru_cache
from pathlib import Path

import cv2
import numpy as np
import pypdf
from PIL import Image

SCALES = np.geomspace(0.65, 2.0, 28)
"""Of what is looked for; outputs show a still so large beside `HIGH`."""
HIGH = 700
"""Pixels from top to bottom to which what is looked through is brought, for speed."""
FINE = 2.5
"""Pixels of the face as it is looked for; what is coarser, hiding leaves."""
SEEN = 0.5
"""Likeness from which the face counts as seen: 0.6 and more where nothing is drawn over it, 0.4 at most where it is
hidden, and in pictures of something else."""


class Face:
    """The face of one person in one picture, as small as it is looked for."""

    def __init__(self, picture: np.ndarray, centre: tuple[float, float], radius: float) -> None:
        (u, v), half = centre, 0.6 * radius
        cut = picture[round(v - half) : round(v + half), round(u - half) : round(u + half)]
        whole = Image.fromarray(cut).convert("L")
        size = (round(whole.width * SCALES[0]), round(whole.height * SCALES[0]))
        self.detail = _fine(whole.resize(size, Image.Resampling.LANCZOS))

    def likeness(self, detail: np.ndarray) -> float:
        """Return the likeness to the likeliest place of a picture's detail."""
        size, length = self.detail.shape, float(np.linalg.norm(self.detail))
        if detail.shape[0] < size[0] or detail.shape[1] < size[1]:
            return 0.0
        along = cv2.matchTemplate(detail, self.detail, cv2.TM_CCORR)
        rows, columns = along.shape
        there = cv2.boxFilter(detail**2, -1, size[::-1], anchor=(0, 0), normalize=False)[:rows, :columns]
        alike = along / (length * np.sqrt(np.maximum(there, 1.0)))
        return float(np.minimum(alike, along / length**2).max())


def likeness(faces: Sequence[Face], picture: np.ndarray) -> float:
    """Return how much of the fine detail of any face is in the likeliest place of a picture: 0 none, 1 all of it.

    It is the correlation, or the share of the detail's contrast where that is less: flat places resemble nothing. The
    faces stay as they are, and the picture is made smaller step by step.
    """
    whole = Image.fromarray(picture).convert("L")
    small = whole.resize((round(whole.width * HIGH / whole.height), HIGH), Image.Resampling.LANCZOS)
    best = 0.0
    for share in SCALES[0] / SCALES:
        size = (round(small.width * share), round(small.height * share))
        detail = _fine(small.resize(size, Image.Resampling.LANCZOS))
        best = max(best, *(face.likeness(detail) for face in faces))
    return best


def _fine(picture: Image.Image) -> np.ndarray:
    grey = np.asarray(picture, dtype=np.float32)
    return grey - cv2.GaussianBlur(grey, (0, 0), FINE * SCALES[0])


def pictures_in(path: Path) -> Iterator[tuple[str, np.ndarray]]:
    """Yield every raster picture in a file or folder with the name of where it is."""
    if path.is_dir():
        for each in sorted(each for each in path.rglob("*") if each.is_file()):
            yield from _pictures(each.relative_to(path).as_posix(), each.read_bytes())
    else:
        yield from _pictures(path.name, path.read_bytes())


@lru_cache(maxsize=64)
def _decode(data: bytes) -> np.ndarray:
    """Decode a picture; the same file is often in several places."""
    return np.asarray(Image.open(io.BytesIO(data)).convert("RGB"))


def _pictures(name: str, data: bytes) -> Iterator[tuple[str, np.ndarray]]:
    ending = Path(name).suffix
    if ending in (".png", ".jpg", ".jpeg"):
        yield name, _decode(data)
    elif ending in (".html", ".svg"):
        for at, uri in enumerate(re.findall(r"data:image/(?:jpeg|png);base64,([A-Za-z0-9+/=]+)", data.decode())):
            yield f"{name} {at}", _decode(base64.b64decode(uri))
    elif ending == ".pdf":
        images = [image for page in pypdf.PdfReader(io.BytesIO(data)).pages for image in page.images]
        for at, image in enumerate(images):
            yield f"{name} {at}", _decode(image.data)
    elif ending == ".zip":
        with zipfile.ZipFile(io.BytesIO(data)) as zipped:
            for each in zipped.namelist():
                yield from _pictures(each, zipped.read(each))
