"""Permissions of an archive: only its owner may read it; and whether this process may write to it."""

import os
from collections.abc import Iterator
from pathlib import Path

from putt_posture.archive.place import DATABASE_FILE, Place
from putt_posture.disk.reading import close_to_others

__all__ = ["close_archive", "close_doors", "is_read_only"]


def is_read_only(place: Place) -> bool:
    """Tell whether the archive's files are read-only, by their permissions or as the disk is mounted.

    Parameters
    ----------
    place : Place
        Where the archive is.
    """
    return any(each.exists() and not os.access(each, os.W_OK) for each in _doors(place))


def close_doors(place: Place) -> int:
    """Remove other users' permissions on the folders and the database, so that they cannot reach any file.

    Parameters
    ----------
    place : Place
        Where the archive is.

    Returns
    -------
    int
        How many of them others could read.
    """
    return sum(close_to_others(each) for each in _doors(place))


def close_archive(place: Place) -> int:
    """Remove other users' permissions on every file and folder of an archive; return how many they could read.

    Parameters
    ----------
    place : Place
        Where the archive is.
    """
    tops = [place.folder] if place.folder is not None else []
    if _lies_on_disk(place.files):
        tops.append(Path(place.files))
    found = {each for top in tops for each in (top, *_inside(top))}
    return sum(close_to_others(each) for each in found)


def _doors(place: Place) -> Iterator[Path]:
    if place.folder is not None:
        yield place.folder
        yield from (place.folder / f"{DATABASE_FILE}{end}" for end in ("", "-wal", "-shm"))
    if _lies_on_disk(place.files):
        yield Path(place.files)


def _inside(top: Path) -> Iterator[Path]:
    for folder, folders, files in os.walk(top):
        yield from (Path(folder, name) for name in (*folders, *files))


def _lies_on_disk(files: str) -> bool:
    return "://" not in files
