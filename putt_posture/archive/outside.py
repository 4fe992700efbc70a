"""What is written from an archive must not be written into it."""

import os
from pathlib import Path

from putt_posture.archive.archive import Archive
from putt_posture.errors import UsageError

__all__ = ["check_outside", "is_within"]


def check_outside(archive: Archive, path: Path | str) -> None:
    """Refuse to write into the archive itself. Raises UsageError."""
    folders = [archive.place.folder] if archive.place.folder else []
    if "://" not in archive.place.files:
        folders.append(Path(archive.place.files))
    for folder in folders:
        if is_within(path, folder):
            raise UsageError(f"{path} lies in the archive itself. Give a place outside of {folder}.")


def is_within(path: Path | str, folder: Path | str) -> bool:
    """Tell whether a path is a folder or lies in it, wherever links lead; neither need be there."""
    return Path(os.path.realpath(path)).is_relative_to(os.path.realpath(folder))
