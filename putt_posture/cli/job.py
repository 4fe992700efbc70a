"""The main job with its progress bar: measure a lesson, then store it, or keep it in memory for the archive."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, TypeVar

from putt_posture.cli.terminal import show_progress

if TYPE_CHECKING:
    from putt_posture.values import Lesson, Progress, Student, View

__all__ = ["measure_and_store", "measure_into_memory"]

_Made = TypeVar("_Made")
_STORING: Final = 0.1
"""Share of the bar for storing; about what it takes of a lesson from two clips."""


def measure_and_store(
    clips: Mapping[View, Path],
    *,
    student: Student,
    out: Path,
    replace: bool,
    given: Mapping[str, Any] | None = None,
    hide: bool = False,
    day: date | None = None,
    prefix: str = "",
) -> Lesson:
    """Measure a lesson and store it.

    Parameters
    ----------
    clips : mapping of View to Path
    student : Student
    out : Path
        The folder for the report.
    replace : bool
        Whether the folder may be replaced.
    given : mapping of str to object, optional
        Further arguments of `measure_lesson`.
    hide : bool
        Whether faces are hidden in everything that is stored.
    day : date, optional
        The day of the lesson; today without it.
    prefix : str
        What stands before the texts of the progress bar.

    Returns
    -------
    Lesson
    """
    from putt_posture.disk.folders import check_folder
    from putt_posture.pages import store_lesson

    def store(lesson: Lesson, progress: Progress | None) -> None:
        store_lesson(lesson, out, replace=replace, made_on=day or date.today(), progress=progress)

    check_folder(out, replace=replace, keep=clips.values())
    lesson, _ = _measure(clips, student=student, given=given, hide=hide, prefix=prefix, then=store)
    return lesson


def measure_into_memory(
    clips: Mapping[View, Path], *, student: Student, given: Mapping[str, Any] | None = None, hide: bool = False
) -> tuple[Lesson, dict[str, bytes]]:
    """Measure a lesson and return it with its files by name, under today's date; nothing is written.

    Parameters
    ----------
    clips, student, given, hide
        As for `measure_and_store`.
    """
    from putt_posture.pages import lesson_as_files

    def write(lesson: Lesson, progress: Progress | None) -> dict[str, bytes]:
        return lesson_as_files(lesson, made_on=date.today(), progress=progress)

    return _measure(clips, student=student, given=given, hide=hide, then=write)


def _measure(
    clips: Mapping[View, Path],
    *,
    student: Student,
    given: Mapping[str, Any] | None,
    hide: bool,
    then: Callable[[Lesson, Progress | None], _Made],
    prefix: str = "",
) -> tuple[Lesson, _Made]:
    from putt_posture.drawing import hide_faces
    from putt_posture.lesson import measure_lesson

    with show_progress(prefix=prefix) as progress:
        lesson = measure_lesson(
            student=student,
            down_the_line=clips.get("down_the_line"),
            face_on=clips.get("face_on"),
            progress=progress and (lambda doing, share: progress(doing, share * (1 - _STORING))),
            **(given or {}),
        )
        if hide:
            lesson = hide_faces(lesson)
        made = then(lesson, progress and (lambda doing, share: progress(doing, 1 - _STORING + share * _STORING)))
    return lesson, made
