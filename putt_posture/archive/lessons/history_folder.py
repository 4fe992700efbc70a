"""A student's history from the archive, laid out as a page or written as a folder of pages."""

from collections.abc import Mapping
from datetime import date
from functools import cache
from pathlib import Path

from attrs import evolve

from putt_posture.archive.archive import Archive, check_outside
from putt_posture.archive.lessons.histories import load_history
from putt_posture.archive.lessons.last_plan import take_up_last_plan
from putt_posture.archive.lessons.lessons import open_lesson
from putt_posture.archive.lessons.practice_beside import compare_last_with_tests
from putt_posture.changes import Repeats, find_changes, warn_filming
from putt_posture.errors import UsageError
from putt_posture.figures import format_day
from putt_posture.history import FindChanges
from putt_posture.pages import HistoryLayout, Paper, lay_out_history, store_history
from putt_posture.values import Changes, History, LessonRecord, Measured, MeasureName, Progress, Visit

__all__ = ["lay_out_student_history", "store_student_history"]


def lay_out_student_history(archive: Archive, number: int, *, today: date) -> HistoryLayout:
    """Lay out a student's history as a page with charts; nothing is written.

    Parameters
    ----------
    archive : Archive
    number : int
        The student's.
    today : date
        The day to print on the page, and for consent.

    Raises
    ------
    NotInArchive
    NotAllowed
        If the consent for keeping measures does not count today.
    UsageError
        If there is nothing to show.
    """
    history = _load(archive, number, today=today)
    return lay_out_history(history, find_changes=_warning_of_filming(archive, history, today), made_on=today)


def store_student_history(
    archive: Archive,
    number: int,
    folder: Path | str,
    *,
    today: date,
    replace: bool = False,
    paper: Paper = "a4",
    progress: Progress | None = None,
) -> History:
    """Write a student's history into a folder, and return it.

    Parameters
    ----------
    archive : Archive
    number : int
        The student's.
    folder : Path or str
        See `store_history` for its content.
    today : date
        The day to print on the pages, and for consent.
    replace, paper, progress
        As for `store_history`.

    Raises
    ------
    NotInArchive
    NotAllowed
        If the consent for keeping measures does not count today.
    UsageError
        If there is nothing to show, or the folder would be in the archive.
    OutputError
        If the folder is in use or cannot be written.
    ArchiveError
        If a file of the archive is missing. After any of these errors nothing is left behind.
    """
    check_outside(archive, folder)
    history = _load(archive, number, today=today)
    store_history(
        history,
        folder,
        find_changes=_warning_of_filming(archive, history, today),
        replace=replace,
        made_on=today,
        paper=paper,
        keep=archive.place.paths,
        private=True,
        progress=progress,
    )
    return history


def _load(archive: Archive, number: int, *, today: date) -> History:
    """Load the history, with what became of the last plan and what practice tests say beside the findings."""
    history = load_history(archive, number, today=today)
    if not (history.visits or history.practice):
        raise UsageError(
            f"Nothing is filed of student {number}, {history.name}, so there is no history. "
            "File a lesson with archive file, or write down putts with archive practice."
        )
    return evolve(
        history,
        taken_up=take_up_last_plan(archive, number, today=today),
        tests_say=compare_last_with_tests(archive, number, today=today),
    )


def _warning_of_filming(archive: Archive, history: History, today: date) -> FindChanges:
    """Return a function that finds the changes between two visits and names the days that are hard to compare."""

    @cache
    def record_of(lesson: int) -> LessonRecord:
        return open_lesson(archive, lesson, today=today, pictures=False).record

    def visit_of(measured: Measured) -> Visit:
        return next(each for each in history.visits if each.measured is measured)

    def find(before: Measured, after: Measured, *, repeats: Mapping[MeasureName, Repeats]) -> Changes:
        one, two = visit_of(before), visit_of(after)
        days = f"{format_day(one.day)} and {format_day(two.day)}" if one.day != two.day else format_day(one.day)
        says = warn_filming(record_of(one.lesson), record_of(two.lesson))
        return evolve(find_changes(before, after, repeats=repeats), warnings=tuple(f"{days}: {each}" for each in says))

    return find
