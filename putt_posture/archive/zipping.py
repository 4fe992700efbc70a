"""A zip written so that the same content gives the same bytes."""

import hashlib
import zipfile
from datetime import date
from pathlib import PurePosixPath
from typing import IO, Final

from attrs import frozen

__all__ = ["Entry", "ZipWriter"]

_CHUNK: Final = 1 << 20
_PACKED: Final = frozenset({".csv", ".html", ".json", ".svg", ".txt"})
"""What gets smaller by packing; pictures and clips do not."""
_FIRST_YEAR: Final = 1980
"""A zip knows no earlier one."""
_MADE_ON_UNIX: Final = 3


@frozen(kw_only=True)
class Entry:
    """A file in the zip: where it is, how many bytes it has, and their SHA-256, hexadecimal."""

    place: str
    size: int
    digest: str


@frozen
class ZipWriter:
    """A zip that is being written into a file."""

    out: zipfile.ZipFile

    def write(self, path: str, source: IO[bytes], *, day: date, size: int) -> Entry:
        """Write what is left in a stream.

        Parameters
        ----------
        path : str
            Where it is to be, with forward strokes.
        source : binary stream
        day : date
            What the entry is dated.
        size : int
            How many bytes to expect.
        """
        info = zipfile.ZipInfo(path, (max(day.year, _FIRST_YEAR), day.month, day.day, 0, 0, 0))
        info.compress_type = zipfile.ZIP_DEFLATED if PurePosixPath(path).suffix in _PACKED else zipfile.ZIP_STORED
        info.create_system = _MADE_ON_UNIX
        info.file_size = size  # so that a clip beyond 2 GB gets the room that it needs
        found, written = hashlib.sha256(), 0
        with self.out.open(info, "w") as target:
            while chunk := source.read(_CHUNK):
                found.update(chunk)
                written += target.write(chunk)
        return Entry(place=path, size=written, digest=found.hexdigest())
