"""A stored lesson with its files, wherever they lie."""

from collections.abc import Callable
from pathlib import Path
from typing import Final

from attrs import field, frozen

from putt_posture.values import LessonRecord

__all__ = ["FILES_WITH_PICTURES", "KeptLesson", "shows_student"]

FILES_WITH_PICTURES: Final = ("report.html", "report.pdf", "landmarks.npz", "stills/")
"""What of a result folder shows the student, outlines included; an ending stroke stands for a whole folder."""


def shows_student(name: str) -> bool:
    """Tell whether a file of a result folder shows the student."""
    return any(name.startswith(each) if each.endswith("/") else name == each for each in FILES_WITH_PICTURES)


@frozen(kw_only=True, eq=False)
class KeptLesson:
    """A stored lesson.

    Attributes
    ----------
    title : str
        What to call it in a sentence: the folder, or the lesson's number and date.
    record : LessonRecord
    names : frozenset of str
        The files that are kept, by their place in the result folder, with forward strokes: ``stills/face_on.png``.
    read : callable
        Takes one of `names` and returns its bytes.
    files : tuple of Path
        Files on disk that must not be replaced by a report about the lesson.
    """

    title: str
    record: LessonRecord
    names: frozenset[str]
    read: Callable[[str], bytes] = field(repr=False)
    files: tuple[Path, ...] = ()
