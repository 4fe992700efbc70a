"""Two lessons of one student laid side by side: what changed, and the folder that shows it."""

import json
from datetime import date
from os import PathLike
from pathlib import Path
from typing import Any

from attrs import evolve

from putt_posture.changes import find_changes, warn_filming
from putt_posture.documents import DOCUMENT
from putt_posture.drawing import hide_faces as hide_faces_of
from putt_posture.errors import ArgumentError, UsageError
from putt_posture.findings import take_up_plan
from putt_posture.pages import Paper, store_comparison
from putt_posture.records import KeptLesson, hide_faces_in, load_strokes, load_view, read_result_folder
from putt_posture.records.measured import MeasuredLesson
from putt_posture.setup_arc import compare_arcs, find_arc, read_pendulum
from putt_posture.values import (
    ArcComparison,
    ComparedLesson,
    Comparison,
    Lesson,
    LessonRecord,
    Posture,
    Progress,
)
from putt_posture.values.checks import check_call, check_path

__all__ = ["Side", "compare", "load_side", "open_side", "refuse_unlike", "title_of"]

Side = MeasuredLesson | KeptLesson
"""A lesson as it is compared: measured just now, or stored."""


@check_call
def compare(
    before: Lesson | KeptLesson | Path | str,
    after: Lesson | KeptLesson | Path | str,
    folder: Path | str | None = None,
    *,
    hide_faces: bool = False,
    replace: bool = False,
    made_on: date | None = None,
    paper: Paper = "a4",
    progress: Progress | None = None,
) -> Comparison:
    """Find what changed between two lessons of one student, and write the pages about it where a folder is given.

    Parameters
    ----------
    before, after : Lesson, KeptLesson, Path or str
        A lesson as `measure_lesson` returns it, one that was stored, or the result folder of one. All give the same
        numbers.
    folder : Path or str, optional
        Where pages, pictures and tables are written, as `store_comparison` does; without it nothing is written.
    hide_faces : bool
        Whether every head that is found in the pictures is hidden. What is hidden already stays so.
    replace, made_on, paper, progress
        As for `store_comparison`; of use with a folder only.

    Returns
    -------
    Comparison
        With the pictures of the lessons, as far as they were kept.

    Raises
    ------
    UsageError
        If one of the two is no lesson, both are the same, the student putts with the other hand, or a file is damaged.
    OutputError
        If the folder is in use or cannot be written.

    Examples
    --------
    >>> compare(3, 4)
    Traceback (most recent call last):
    ...
    putt_posture.errors.ArgumentError: before is an int, 3; a lesson or its result folder is needed. Open a lesson of \
an archive with open_lesson.
    """
    if folder is not None:
        check_path(folder, "folder")
    first, second = open_side(before, "before", hide=hide_faces), open_side(after, "after", hide=hide_faces)
    titles = title_of(first, "before"), title_of(second, "after")
    refuse_unlike(first, second, titles)
    changes = find_changes(first.record.measured, second.record.measured)
    found = Comparison(
        before=load_side(first, titles[0]),
        after=load_side(second, titles[1]),
        changes=evolve(changes, warnings=warn_filming(first.record, second.record)),
        arcs=_find_arcs(first.record, second.record),
        taken_up=take_up_plan(first.record, second.record, changes),
    )
    if folder is not None:
        store_comparison(found, folder, replace=replace, made_on=made_on, paper=paper, progress=progress)
    return found


def open_side(lesson: object, name: str, *, hide: bool, day: date | None = None) -> Side:
    """Return a lesson as it is compared, its heads hidden where that is wanted.

    Parameters
    ----------
    lesson : Lesson, KeptLesson, Path or str
    name : str
        What the argument is called, for the message.
    hide : bool
    day : date, optional
        Of a lesson in memory, which does not carry one itself.

    Raises
    ------
    ArgumentError
        If it is no lesson.
    UsageError
        If a result folder cannot be read.
    """
    if isinstance(lesson, Lesson):
        return MeasuredLesson.of(hide_faces_of(lesson) if hide else lesson, day=day)
    kept = read_result_folder(Path(lesson)) if isinstance(lesson, str | PathLike) else lesson
    if not isinstance(kept, KeptLesson):
        kind = type(lesson).__name__
        raise ArgumentError(
            f"{name} is {'an' if kind[0] in 'aeiou' else 'a'} {kind}, {lesson!r:.60}; a lesson or its result folder is "
            "needed. Open a lesson of an archive with open_lesson."
        )
    return hide_faces_in(kept) if hide else kept


def title_of(side: Side, place: str) -> str:
    """Return what to call a lesson in a sentence.

    Parameters
    ----------
    side : Side
    place : str
        Its place among the lessons, for one that has no name of its own.
    """
    if isinstance(side, KeptLesson):
        return side.title
    files = " and ".join(view.file for view in side.record.views.values())
    return f"the lesson {place} ({files})"


def refuse_unlike(before: Side, after: Side, titles: tuple[str, str]) -> None:
    """Refuse to compare a lesson with itself, or a right-handed with a left-handed one.

    Lead and trail change sides with the hand, so a difference would not be a change.

    Parameters
    ----------
    before, after : Side
    titles : (str, str)
        What to call them.

    Raises
    ------
    UsageError
    """
    if _are_same(before, after):
        raise UsageError(
            f"{titles[0]} and {titles[1]} are the same lesson, so nothing can have changed. Give two lessons."
        )
    hands = before.record.student.handed, after.record.student.handed
    if hands[0] != hands[1]:
        raise UsageError(
            f"In {titles[0]} the student putts {hands[0]}-handed, in {titles[1]} {hands[1]}-handed, so they "
            "cannot be compared. Give two lessons with the same hand."
        )


def _are_same(before: Side, after: Side) -> bool:
    if isinstance(before, KeptLesson) and isinstance(after, KeptLesson):
        both = DOCUMENT in before.names and DOCUMENT in after.names
        return both and before.read(DOCUMENT) == after.read(DOCUMENT)
    one, two = _document(before), _document(after)
    return one is not None and one == two


def _document(side: Side) -> dict[str, Any] | None:
    """Return the document of a lesson without its day, which a lesson in memory lacks, and whether faces are hidden."""
    if isinstance(side, KeptLesson):
        if DOCUMENT not in side.names:
            return None
        values_of_file: dict[str, Any] = json.loads(side.read(DOCUMENT))
    else:
        values_of_file = json.loads(side.document)
    return {name: entry for name, entry in values_of_file.items() if name not in ("made_on", "faces_hidden")}


def load_side(side: Side, title: str) -> ComparedLesson:
    """Load the numbers of a lesson, and its pictures as far as they were kept.

    Parameters
    ----------
    side : Side
    title : str
        What to call it in a sentence.
    """
    if isinstance(side, MeasuredLesson):
        views = {view: side.view(view) for view in side.record.views}
        return ComparedLesson(title=title, record=side.record, views=views)
    found = {view: load_view(side, view) for view in side.record.views}
    return ComparedLesson(
        title=title,
        record=evolve(side.record, strokes=load_strokes(side)),
        views={view: seen for view, seen in found.items() if seen is not None},
        files=side.files,
        says=side.says,
    )


def _find_arcs(before: LessonRecord, after: LessonRecord) -> ArcComparison | None:
    """Return the arcs of the two filmed setups; None where either has none."""
    arcs = [find_arc(read_pendulum(Posture(estimates=each.measures), each.student)) for each in (before, after)]
    return compare_arcs(*arcs) if all(arcs) else None
