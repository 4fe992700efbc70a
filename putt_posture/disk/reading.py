"""Files that only the owner can read, and safe reading of files that may come from others.

Windows protects the folders of a user's own data from other users; nothing is done there.
"""

import os
import stat
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path, PurePosixPath
from typing import Final

from putt_posture.errors import UsageError

__all__ = [
    "FILE_RIGHTS",
    "FOLDER_RIGHTS",
    "close_to_others",
    "is_there",
    "make_private_file",
    "make_private_folder",
    "open_privately",
    "read_inside",
    "read_limited",
]

FOLDER_RIGHTS: Final = 0o700
FILE_RIGHTS: Final = 0o600
_POSIX: Final = os.name == "posix"
_KINDS: Final[tuple[tuple[Callable[[int], bool], str], ...]] = (
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISLNK, "a symbolic link"),
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISSOCK, "a socket"),
    (stat.S_ISCHR, "a device"),
    (stat.S_ISBLK, "a device"),
)
_READ: Final = (
    os.O_RDONLY
    | getattr(os, "O_BINARY", 0)
    | getattr(os, "O_CLOEXEC", 0)
    | getattr(os, "O_NOCTTY", 0)
    | getattr(os, "O_NONBLOCK", 0)
)
"""Opening never blocks, even if the file was replaced by a pipe after it was checked."""
_NO_LINK: Final = getattr(os, "O_NOFOLLOW", 0)
_FOLDER: Final = os.O_RDONLY | getattr(os, "O_DIRECTORY", 0) | getattr(os, "O_CLOEXEC", 0)
_BY_FOLDER: Final = {os.open, os.stat} <= os.supports_dir_fd
"""Whether the system can open a name relative to an open folder; Windows cannot."""


def make_private_folder(folder: Path) -> None:
    """Make a folder, and missing ones above it, for the owner only; an existing folder stays as it is.

    Parameters
    ----------
    folder : Path
    """
    missing = []
    place = folder
    while not place.exists():
        missing.append(place)
        place = place.parent
    for each in reversed(missing):
        with suppress(FileExistsError):  # another program made it in between
            each.mkdir(mode=FOLDER_RIGHTS)
            each.chmod(FOLDER_RIGHTS)
    folder.mkdir(exist_ok=True)  # raises where it is a file


def open_privately(path: str, flags: int) -> int:
    """Open a file, as the ``opener`` of `open`; only the owner can read a new one.

    Parameters
    ----------
    path : str
        Of the file.
    flags : int
        As for `os.open`.
    """
    number = os.open(path, flags | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0), FILE_RIGHTS)
    if hasattr(os, "fchmod"):
        os.fchmod(number, FILE_RIGHTS)
    return number


def make_private_file(path: Path) -> None:
    """Make an empty file that only the owner can read; an existing file stays as it is.

    Parameters
    ----------
    path : Path
    """
    with suppress(FileExistsError):
        os.close(open_privately(str(path), os.O_CREAT | os.O_EXCL | os.O_WRONLY))


def close_to_others(path: Path) -> bool:
    """Remove the permissions of other users on a file or folder, and return whether they had any.

    Files of another user and links stay as they are.

    Parameters
    ----------
    path : Path
        Of a file or folder.
    """
    if not _POSIX:
        return False
    with suppress(OSError):
        found = path.lstat()
        if not stat.S_ISLNK(found.st_mode) and stat.S_IMODE(found.st_mode) & 0o077:
            path.chmod(stat.S_IMODE(found.st_mode) & 0o700)
            return True
    return False


def read_limited(path: Path | str, *, most_bytes: int, what: str) -> bytes:
    """Read a file that the user named; links are followed.

    Parameters
    ----------
    path : Path or str
        Of the file.
    most_bytes : int
        A larger file is refused unread.
    what : str
        What the file is, for the message: ``coach file``.

    Raises
    ------
    UsageError
        If it is missing, not an ordinary file, too large, or cannot be read.
    """
    with _one_sentence(path, what):
        _check(os.stat(path), path, most_bytes=most_bytes, what=what)
        return _read(os.open(path, _READ), path, most_bytes=most_bytes, what=what)


def read_inside(folder: Path, name: str, *, most_bytes: int, what: str) -> bytes:
    """Read a file in a folder without following links.

    Parameters
    ----------
    folder : Path
        It may itself be a link, as the user named it.
    name : str
        The path in the folder, with forward slashes: ``stills/face_on.png``.
    most_bytes, what
        As for `read_limited`.

    Raises
    ------
    UsageError
        As for `read_limited`; also where a part of `name` is a symbolic link.
    """
    path = folder / name
    with _one_sentence(path, what), _parent(folder, name, what) as parent:
        last = PurePosixPath(name).name if parent is not None else os.fspath(path)
        found = os.stat(last, dir_fd=parent, follow_symlinks=False)
        _check(found, path, most_bytes=most_bytes, what=what)
        number = os.open(last, _READ | _NO_LINK, dir_fd=parent)
        return _read(number, path, most_bytes=most_bytes, what=what, looked_at=found)


def is_there(folder: Path, name: str) -> bool:
    """Tell whether a name exists in a folder, as a file or anything else; links are not followed.

    Parameters
    ----------
    folder : Path
    name : str
        With forward slashes.
    """
    return os.path.lexists(folder / name)


@contextmanager
def _parent(folder: Path, name: str, what: str) -> Iterator[int | None]:
    """Yield an open descriptor of the folder that holds `name`, with each part of the path checked; None on Windows."""
    parts = PurePosixPath(name).parts
    if not parts or parts[0] == "/" or ".." in parts:
        raise UsageError(f"The {what} {name!r} is not in {folder}. Give the name of a file in it.")
    place, number = folder, os.open(folder, _FOLDER) if _BY_FOLDER else None
    try:
        for part in parts[:-1]:
            place = place / part
            found = os.lstat(place) if number is None else os.stat(part, dir_fd=number, follow_symlinks=False)
            if not stat.S_ISDIR(found.st_mode) or _is_junction(place):
                raise UsageError(
                    f"{place} is {_kind_of(found.st_mode)}, and a folder was needed that holds the {what}. "
                    "Give the folder as the program wrote it."
                )
            if number is not None:
                inner = os.open(part, _FOLDER | _NO_LINK, dir_fd=number)
                os.close(number)
                number = inner
        yield number
    finally:
        if number is not None:
            os.close(number)


def _is_junction(place: Path) -> bool:
    """Tell whether a Windows folder is a link to another."""
    return bool(getattr(os.lstat(place), "st_reparse_tag", 0)) if os.name == "nt" else False


def _read(
    number: int, path: Path | str, *, most_bytes: int, what: str, looked_at: os.stat_result | None = None
) -> bytes:
    """Read an open descriptor and close it; the open file is checked once more."""
    with os.fdopen(number, "rb") as stream:
        found = os.fstat(stream.fileno())
        _check(found, path, most_bytes=most_bytes, what=what)
        if looked_at is not None and (found.st_dev, found.st_ino) != (looked_at.st_dev, looked_at.st_ino):
            raise UsageError(
                f"The {what} {path} was replaced while it was read. Try again when no other program writes there."
            )
        data = stream.read(most_bytes + 1)
    if len(data) > most_bytes:
        raise UsageError(_too_large(path, len(data), most_bytes=most_bytes, what=what))
    return data


def _check(found: os.stat_result, path: Path | str, *, most_bytes: int, what: str) -> None:
    if not stat.S_ISREG(found.st_mode):
        raise UsageError(
            f"The {what} {path} is {_kind_of(found.st_mode)}, and an ordinary file was needed. "
            "Put the file itself there, or give another one."
        )
    if found.st_size > most_bytes:
        raise UsageError(_too_large(path, found.st_size, most_bytes=most_bytes, what=what))


def _too_large(path: Path | str, size: int, *, most_bytes: int, what: str) -> str:
    return f"The {what} {path} has {size:,} bytes, and at most {most_bytes:,} are taken. Give another file."


def _kind_of(mode: int) -> str:
    return next((kind for belongs, kind in _KINDS if belongs(mode)), "an ordinary file")


@contextmanager
def _one_sentence(path: Path | str, what: str) -> Iterator[None]:
    try:
        yield
    except UsageError:
        raise
    except FileNotFoundError:
        raise UsageError(f"The {what} {path} is not there. Check the path.") from None
    except (OSError, ValueError) as error:  # ValueError: a name with a null character
        reason = getattr(error, "strerror", None) or str(error)
        raise UsageError(f"The {what} {path} cannot be read: {reason}.") from None
