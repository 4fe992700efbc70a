"""Files and folders that nobody but their owner may look into, whatever the user's mask says.

Windows keeps the folders of a user's own data from other users by itself; nothing is done there.
"""

import os
import stat
from contextlib import suppress
from pathlib import Path
from typing import Final

__all__ = [
    "FILE_RIGHTS",
    "FOLDER_RIGHTS",
    "close_to_others",
    "make_private_file",
    "make_private_folder",
    "open_privately",
]

FOLDER_RIGHTS: Final = 0o700
FILE_RIGHTS: Final = 0o600
_POSIX: Final = os.name == "posix"


def make_private_folder(folder: Path) -> None:
    """Make a folder, and those above it that are missing, for the owner alone; one that is there stays as it is."""
    missing = []
    place = folder
    while not place.exists():
        missing.append(place)
        place = place.parent
    for each in reversed(missing):
        with suppress(FileExistsError):  # somebody else made it meanwhile
            each.mkdir(mode=FOLDER_RIGHTS)
            each.chmod(FOLDER_RIGHTS)
    folder.mkdir(exist_ok=True)  # raises where it is a file


def open_privately(path: str, flags: int) -> int:
    """Open a file for `open`, as its ``opener``; a new one is the owner's alone."""
    number = os.open(path, flags | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0), FILE_RIGHTS)
    if hasattr(os, "fchmod"):
        os.fchmod(number, FILE_RIGHTS)
    return number


def make_private_file(path: Path) -> None:
    """Make an empty file for the owner alone; one that is there stays as it is."""
    with suppress(FileExistsError):
        os.close(open_privately(str(path), os.O_CREAT | os.O_EXCL | os.O_WRONLY))


def close_to_others(path: Path) -> bool:
    """Take the rights of others to a file or folder away, and tell whether they had any.

    What belongs to another user stays as it is, and so does a link.
    """
    if not _POSIX:
        return False
    with suppress(OSError):
        found = path.lstat()
        if not stat.S_ISLNK(found.st_mode) and stat.S_IMODE(found.st_mode) & 0o077:
            path.chmod(stat.S_IMODE(found.st_mode) & 0o700)
            return True
    return False
