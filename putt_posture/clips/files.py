"""Checks of a file before it is opened: is it an ordinary file, what is in it, and is it small enough."""

import hashlib
import stat
from pathlib import Path
from typing import Final

from putt_posture.errors import ClipTooLarge, UnreadableClip

__all__ = ["MAX_PIXELS", "MAX_SIDE_PX", "check_file", "check_size", "read_digest"]

MAX_SIDE_PX: Final = 9000
"""Longest side accepted, pixels: above 8K video (7680) and a 50-megapixel phone picture (8160)."""

MAX_PIXELS: Final = 64_000_000
"""Most pixels accepted: one RGB picture of that size fills 192 MB."""


def check_file(path: Path) -> None:
    """Refuse a path that is not an ordinary, readable file with contents.

    Parameters
    ----------
    path : Path

    Raises
    ------
    UnreadableClip
        The file is missing, a folder, not an ordinary file, forbidden, or empty.
    """
    try:
        found = path.stat()
        if stat.S_ISDIR(found.st_mode):
            raise UnreadableClip(
                f"{path} is a folder, but a clip or picture was needed. Name the file in it.", path=path
            )
        if not stat.S_ISREG(found.st_mode):
            raise UnreadableClip(
                f"{path} is not an ordinary file. Copy the clip to a disk, and name the copy.", path=path
            )
        with path.open("rb") as file:
            file.read(1)
    except UnreadableClip:
        raise
    except FileNotFoundError as error:
        raise UnreadableClip(f"{path} was not found. Check the path.", path=path) from error
    except PermissionError as error:
        raise UnreadableClip(
            f"{path} may not be read by this user. Change its permissions, or copy it.", path=path
        ) from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise UnreadableClip(f"{path} cannot be opened: {reason}. Copy the clip again.", path=path) from error
    if found.st_size == 0:
        raise UnreadableClip(f"{path.name} is empty (0 bytes). Copy it from the phone again.", path=path)


def check_size(width: int, height: int, *, path: Path) -> None:
    """Refuse a picture with more pixels than the program takes.

    Parameters
    ----------
    width, height : int
        Pixels.
    path : Path

    Raises
    ------
    ClipTooLarge
    """
    if max(width, height) > MAX_SIDE_PX or width * height > MAX_PIXELS:
        raise ClipTooLarge(
            f"{path.name} is {width} × {height} pixels, but no side over {MAX_SIDE_PX} and no more than "
            f"{MAX_PIXELS // 1_000_000} megapixels are accepted. Make it smaller, or film in 4K or less.",
            path=path,
        )


def read_digest(path: Path) -> str:
    """Return the hexadecimal SHA-256 of the whole file, read in pieces.

    Parameters
    ----------
    path : Path
        The file, of any size.
    """
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
