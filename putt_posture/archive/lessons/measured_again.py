"""Lessons that were measured again: filed beside the first result of the same clips, and counted in its place.

A lesson that was measured again says so in its versions, and its clips have the digests of the first. So the link
holds after a backup, after faces were hidden, and in an archive into which the lesson was filed from a folder.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from attrs import frozen
from sqlalchemy import select
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.db.rows import row_of_lesson
from putt_posture.archive.db.tables import ClipRow, LessonRow
from putt_posture.values import Moment, View

__all__ = [
    "GIVEN_AS_A_WHOLE",
    "MEASURED_AGAIN",
    "FiledResult",
    "counting_lessons",
    "find_counting",
    "find_lesson_of_clips",
    "load_base",
    "load_first_and_newest",
    "load_newest_results",
    "load_result",
]

MEASURED_AGAIN: Final = "measured_again"
"""Among the versions of a lesson: the day on which it was measured again."""
GIVEN_AS_A_WHOLE: Final = "given_as_a_whole"
"""Among the versions of a lesson that was measured again with all that counts by hand given at once: the number of the
newest correction of a landmark that there was, 0 for none. Only later ones count beside what was given."""

_PROGRAM: Final = "putt_posture"
"""Among the versions of a lesson: that of the program."""


@frozen(kw_only=True)
class FiledResult:
    """One result of a filed lesson.

    Attributes
    ----------
    lesson, student : int
        Their numbers.
    document : str
        Digest of its numbers and all that belongs to them.
    program : str
        Version of the program that measured it; empty where that is not known.
    """

    lesson: int
    student: int
    document: str
    program: str


def find_counting(rows: Sequence[LessonRow], clips: Mapping[int, Iterable[ClipRow]]) -> list[LessonRow]:
    """Return the newest result of each lesson of a student, each in the place of its first, in the order of time.

    Parameters
    ----------
    rows : sequence of LessonRow
        All lessons of the student.
    clips : mapping of int to iterable of ClipRow
        By the number of the lesson.
    """
    groups = sorted(_groups(rows, clips), key=lambda group: (group[0].day, group[0].id))
    return [group[-1] for group in groups]


def counting_lessons(session: Session, student: int) -> list[LessonRow]:
    """Return the lessons of a student as `find_counting` does, in a transaction that is open.

    Parameters
    ----------
    session : Session
        Open transaction.
    student : int
        Number of the student.
    """
    return find_counting(*_load(session, student))


def load_first_and_newest(archive: Archive, number: int) -> tuple[int, int]:
    """Return the numbers of the first and of the newest result of a lesson; both its own where there is one alone.

    Parameters
    ----------
    archive : Archive
    number : int
        The lesson's, of any of its results.

    Raises
    ------
    NotInArchive
    """
    with archive.read() as session:
        rows, clips = _load(session, row_of_lesson(session, number).student_id)
        group = next(each for each in _groups(rows, clips) if any(other.id == number for other in each))
        return group[0].id, group[-1].id


def load_base(archive: Archive, number: int) -> tuple[int, int]:
    """Return from which result of a lesson on the corrections of its landmarks count.

    Parameters
    ----------
    archive : Archive
    number : int
        The lesson's, of any of its results.

    Returns
    -------
    result : int
        The last result for which all that counts by hand was given at once, or else the first.
    correction : int
        The number of the newest correction that does not count beside it; 0 where all count.

    Raises
    ------
    NotInArchive
    """
    with archive.read() as session:
        rows, clips = _load(session, row_of_lesson(session, number).student_id)
        group = next(each for each in _groups(rows, clips) if any(other.id == number for other in each))
        for row in reversed(group[1:]):
            said = str(row.versions.get(GIVEN_AS_A_WHOLE, ""))
            if said.isdecimal():
                return row.id, int(said)
        return group[0].id, 0


def load_newest_results(archive: Archive, *, student: int | None = None) -> tuple[FiledResult, ...]:
    """Return the results that count, one for each lesson, by student and number.

    Parameters
    ----------
    archive : Archive
    student : int, optional
        The number of one student; all of them without it.
    """
    found: list[FiledResult] = []
    with archive.read() as session:
        rows = select(LessonRow.student_id).distinct().order_by(LessonRow.student_id)
        for each in session.scalars(rows if student is None else rows.where(LessonRow.student_id == student)).all():
            found += [_as_result(row) for row in sorted(counting_lessons(session, each), key=lambda row: row.id)]
            session.expunge_all()
    return tuple(found)


def load_result(archive: Archive, number: int) -> FiledResult | None:
    """Return one result of a lesson, whether it counts or not; None where there is none of the number.

    Parameters
    ----------
    archive : Archive
    number : int
    """
    with archive.read() as session:
        row = session.get(LessonRow, number)
        return None if row is None else _as_result(row)


def find_lesson_of_clips(archive: Archive, student: int, clips: Mapping[View, str], *, moment: Moment) -> int | None:
    """Return the number of the student's lesson that was measured from just these clips; None where there is none.

    Parameters
    ----------
    archive : Archive
    student : int
    clips : mapping of View to str
        Their SHA-256.
    moment : Moment
    """
    with archive.read() as session:
        rows = select(LessonRow.id).join(ClipRow).where(ClipRow.sha256.in_(clips.values()))
        for number in session.scalars(
            rows.where(LessonRow.student_id == student, LessonRow.moment == moment).distinct().order_by(LessonRow.id)
        ):
            there = session.execute(select(ClipRow.view, ClipRow.sha256).where(ClipRow.lesson_id == number))
            if {row.view: row.sha256 for row in there} == dict(clips):
                return number
    return None


def _as_result(row: LessonRow) -> FiledResult:
    return FiledResult(
        lesson=row.id, student=row.student_id, document=row.document, program=str(row.versions.get(_PROGRAM, ""))
    )


def _load(session: Session, student: int) -> tuple[Sequence[LessonRow], dict[int, list[ClipRow]]]:
    rows = session.scalars(select(LessonRow).where(LessonRow.student_id == student).order_by(LessonRow.id)).all()
    clips: dict[int, list[ClipRow]] = {row.id: [] for row in rows}
    for clip in session.scalars(select(ClipRow).where(ClipRow.lesson_id.in_(clips))):
        clips[clip.lesson_id].append(clip)
    return rows, clips


def _groups(rows: Sequence[LessonRow], clips: Mapping[int, Iterable[ClipRow]]) -> list[list[LessonRow]]:
    """Return the results of each lesson together: the first, and those that were measured again, by number."""
    groups: list[list[LessonRow]] = []
    of_clips: dict[frozenset[tuple[str, str]], list[LessonRow]] = {}
    for row in sorted(rows, key=lambda each: each.id):
        key = frozenset((clip.view, clip.sha256) for clip in clips.get(row.id, ()))
        if MEASURED_AGAIN in row.versions and key in of_clips:
            of_clips[key].append(row)
        else:
            of_clips[key] = [row]
            groups.append(of_clips[key])
    return groups
