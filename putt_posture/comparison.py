"""Two kept lessons of one student laid side by side: what changed, and the folder that shows it."""

from datetime import date
from pathlib import Path

from attrs import evolve

from putt_posture.changes import find_changes, warn_filming
from putt_posture.errors import UsageError
from putt_posture.pages import store_comparison
from putt_posture.records import KeptLesson, load_view
from putt_posture.setup_arc import compare_arcs, find_arc, read_pendulum
from putt_posture.values import ComparedLesson, Comparison, LessonRecord, Posture, Progress, StrokeComparison

__all__ = ["compare_lessons", "find_comparison"]


def compare_lessons(
    before: KeptLesson,
    after: KeptLesson,
    folder: Path | str,
    *,
    replace: bool = False,
    made_on: date | None = None,
    progress: Progress | None = None,
) -> Path:
    """Compare two lessons and write the pages, pictures and tables to a folder.

    Parameters
    ----------
    before, after : KeptLesson
    folder, replace, made_on, progress
        As for `store_comparison`.

    Returns
    -------
    Path
        The folder.

    Raises
    ------
    UsageError
        If the two cannot be compared, or a file of theirs is damaged.
    OutputError
        If the folder is in use or cannot be written.
    """
    comparison = find_comparison(before, after)
    return store_comparison(comparison, folder, replace=replace, made_on=made_on, progress=progress)


def find_comparison(before: KeptLesson, after: KeptLesson) -> Comparison:
    """Find what changed between two lessons, with their pictures where they were kept.

    Raises
    ------
    UsageError
        If both are the same lesson, the student putts with the other hand, or a file is damaged.
    """
    _refuse_unlike(before, after)
    changes = find_changes(before.record.measured, after.record.measured)
    return Comparison(
        before=_load(before),
        after=_load(after),
        changes=evolve(changes, warnings=warn_filming(before.record, after.record)),
        stroke=_find_stroke(before.record, after.record),
    )


def _refuse_unlike(before: KeptLesson, after: KeptLesson) -> None:
    """Refuse a lesson beside itself, and one right-handed beside one left-handed.

    Lead and trail change sides with the hand, so that the two are different setups and no difference is a change.
    """
    document = "measures.json"
    if document in before.names and document in after.names and before.read(document) == after.read(document):
        raise UsageError(
            f"{before.title} and {after.title} are the same lesson, so nothing can have changed. Give two lessons."
        )
    hands = before.record.student.handed, after.record.student.handed
    if hands[0] != hands[1]:
        raise UsageError(
            f"In {before.title} the student putts {hands[0]}-handed, in {after.title} {hands[1]}-handed: these are two "
            "setups and no change of one. Give two lessons with the same hand."
        )


def _load(lesson: KeptLesson) -> ComparedLesson:
    found = {view: load_view(lesson, view) for view in lesson.record.views}
    return ComparedLesson(
        title=lesson.title,
        record=lesson.record,
        views={view: seen for view, seen in found.items() if seen is not None},
        files=lesson.files,
        says=lesson.says,
    )


def _find_stroke(before: LessonRecord, after: LessonRecord) -> StrokeComparison | None:
    """Return the arcs of the two filmed setups; None where either has none."""
    arcs = [find_arc(read_pendulum(Posture(estimates=each.measures), each.student)) for each in (before, after)]
    return compare_arcs(*arcs) if all(arcs) else None
