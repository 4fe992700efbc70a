"""A stored lesson with its files, wherever they lie."""

from collections.abc import Callable
from pathlib import Path
from typing import Final

from attrs import field, frozen

from putt_posture.values import VIEWS, LessonRecord

__all__ = ["FILES_WITHOUT_PICTURES", "FILES_WITH_PICTURES", "KeptLesson", "shows_student"]

FILES_WITH_PICTURES: Final = frozenset(
    {"report.html", "report.pdf", "landmarks.npz", "stills/ghost.png"}
    | {f"stills/{view}{ending}" for view in VIEWS for ending in (".png", "_plain.jpg")}
)
"""What of a result folder shows the student, outlines included."""

FILES_WITHOUT_PICTURES: Final = frozenset(
    {"measures.json", "measures.csv", "spec_sheet.html", "spec_sheet.pdf", "spec_sheet.json"}
    | {"stills/curves.svg", "stills/arc.svg"}
)
"""The rest of what `store_lesson` writes: numbers and charts."""


def shows_student(name: str) -> bool:
    """Tell whether a file shows the student, or may: of what `store_lesson` did not write, nobody knows."""
    return name not in FILES_WITHOUT_PICTURES


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
    says : tuple of str
        Sentences for whoever looks at it: what of it is held back, and why.
    """

    title: str
    record: LessonRecord
    names: frozenset[str]
    read: Callable[[str], bytes] = field(repr=False)
    files: tuple[Path, ...] = ()
    says: tuple[str, ...] = ()
