"""The names under which a lesson knows its files, which come out of rows and go into paths."""

import re
from typing import Final, get_args

from putt_posture.archive.tables import CLIPS
from putt_posture.errors import ArchiveError
from putt_posture.records.kept import FILES_WITH_PICTURES, FILES_WITHOUT_PICTURES
from putt_posture.values import Moment, View

__all__ = ["check_moment", "check_name", "is_name"]

_WRITTEN: Final = FILES_WITH_PICTURES | FILES_WITHOUT_PICTURES
_CLIP: Final = re.compile(rf"{re.escape(CLIPS)}({'|'.join(get_args(View))})(\.[a-z0-9]{{1,20}})?")


def is_name(name: object) -> bool:
    """Tell whether a lesson can know a file under this name: one that the program writes, or a clip's.

    So it is relative, has no part that leads upwards, no drive and no control sign.

    Examples
    --------
    >>> is_name("clips/face_on.mov"), is_name("../measures.json")
    (True, False)
    """
    return isinstance(name, str) and (name in _WRITTEN or _CLIP.fullmatch(name) is not None)


def check_name(name: str, *, lesson: int) -> str:
    """Return a name that came out of a row, if it can be one. Raises ArchiveError."""
    if not is_name(name):
        raise ArchiveError(
            f"Lesson {lesson} knows a file under the name {name!r}, which this program never gives. "
            "Restore the archive from a backup, or erase the lesson; nothing was read or written."
        )
    return name


def check_moment(moment: str, *, lesson: int) -> str:
    """Return the moment of a lesson, which is part of a folder's name, if it can be one. Raises ArchiveError."""
    if moment not in get_args(Moment):
        raise ArchiveError(
            f"Lesson {lesson} is said to be of {moment!r}, and {', '.join(get_args(Moment))} are known. "
            "Restore the archive from a backup, or erase the lesson; nothing was read or written."
        )
    return moment
