"""Disk space that an archive in a folder reserves, so that a student can be erased when the disk is full.

Erasing needs disk space: SQLite first writes what it deletes into its log, and then rewrites the whole database (see
`vacuum`). So a file of zeros as large as the database is kept beside it. It is removed before anything is erased, and
made again afterwards. It is not made when the disk is nearly full, so that it does not fill the disk itself.
"""

import os
import shutil
from contextlib import suppress
from pathlib import Path
from typing import Final

from putt_posture.archive.place import DATABASE_FILE, Place
from putt_posture.disk.reading import open_privately

__all__ = ["RESERVE_FILE", "keep_reserve", "let_reserve_go"]

RESERVE_FILE: Final = "reserve"
_MORE: Final = 1.1
"""Share of the size of the database; a log has 24 bytes for each page of 4096, and shared memory for its index."""
_LEAST_BYTES: Final = 1 << 20
_LEFT_FREE: Final = 2
"""So many times the reserve must be free before it is made."""


def keep_reserve(place: Place, *, had: int = 0) -> None:
    """Make the reserve, or adjust it to the size of the database; nothing happens if that is not possible.

    Parameters
    ----------
    place : Place
        An archive that is not in a folder has no reserve.
    had : int
        What `let_reserve_go` returned: so much is reserved again even if the disk is nearly full.
    """
    if place.folder is None:
        return
    with suppress(OSError):
        database, path = place.folder / DATABASE_FILE, place.folder / RESERVE_FILE
        wanted = int(database.stat().st_size * _MORE) + _LEAST_BYTES
        if path.is_file() and wanted <= path.stat().st_size <= 2 * wanted:
            return
        free = shutil.disk_usage(place.folder).free
        size = wanted if free >= _LEFT_FREE * wanted else min(wanted, had, free)
        if size > 0:
            _make(path, size)


def let_reserve_go(place: Place) -> int:
    """Remove the reserve to free its space; return its size, bytes.

    Parameters
    ----------
    place : Place
        Where the archive is.
    """
    if place.folder is None:
        return 0
    path = place.folder / RESERVE_FILE
    with suppress(OSError):
        size = path.stat().st_size
        path.unlink()
        return size
    return 0


def _make(path: Path, size: int) -> None:
    path.unlink(missing_ok=True)
    try:
        with open(path, "xb", opener=open_privately) as stream:
            if hasattr(os, "posix_fallocate"):
                os.posix_fallocate(stream.fileno(), 0, size)
                return
            noughts = bytes(_LEAST_BYTES)
            for start in range(0, size, _LEAST_BYTES):
                stream.write(noughts[: size - start])
    except BaseException:
        path.unlink(missing_ok=True)
        raise
