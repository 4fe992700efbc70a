"""A zip written so that the same content gives the same bytes, with names that every system takes."""

import hashlib
import zipfile
from datetime import date
from pathlib import PurePosixPath
from typing import IO, Final

from attrs import field, frozen

from putt_posture.archive.safe_names import SafeNames

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
    _names: SafeNames = field(factory=SafeNames)

    def write(self, path: str, source: IO[bytes], *, day: date, size: int) -> Entry:
        """Write what is left in a stream.

        Parameters
        ----------
        path : str
            Where it should be, with forward strokes; characters that some system refuses are replaced.
        source : binary stream
        day : date
            What the entry is dated.
        size : int
            How many bytes to expect.
        """
        place = self._names.give(path)
        info = zipfile.ZipInfo(place, (max(day.year, _FIRST_YEAR), day.month, day.day, 0, 0, 0))
        info.compress_type = zipfile.ZIP_DEFLATED if PurePosixPath(place).suffix in _PACKED else zipfile.ZIP_STORED
        info.create_system = _MADE_ON_UNIX
        info.file_size = size  # so that a clip beyond 2 GB gets the room that it needs
        found, written = hashlib.sha256(), 0
        with self.out.open(info, "w") as target:
            while chunk := source.read(_CHUNK):
                found.update(chunk)
                written += target.write(chunk)
        return Entry(place=place, size=written, digest=found.hexdigest())
