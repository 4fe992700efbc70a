"""Lessons that were measured again: filed beside the first result of the same clips, and counted in its place.

A lesson that was measured again says so in its versions, and its clips have the digests of the first. So the link
holds after a backup, after faces were hidden, and in an archive into which the lesson was filed from a folder.
"""

from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from sqlalchemy import select
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.db.tables import ClipRow, LessonRow
from putt_posture.errors import NotInArchive

__all__ = ["MEASURED_AGAIN", "find_replaced", "load_first_and_newest", "load_newest_lessons"]

MEASURED_AGAIN: Final = "measured_again"
"""Among the versions of a lesson: the day on which it was measured again."""


def find_replaced(rows: Sequence[LessonRow], clips: Mapping[int, Iterable[ClipRow]]) -> frozenset[int]:
    """Return the numbers of those lessons of a student that were measured again since.

    Parameters
    ----------
    rows : sequence of LessonRow
        All lessons of the student.
    clips : mapping of int to iterable of ClipRow
        By the number of the lesson.
    """
    replaced: set[int] = set()
    for group in _groups(rows, clips):
        newest = max((row.id for row in group if MEASURED_AGAIN in row.versions), default=None)
        if newest is not None:
            replaced |= {row.id for row in group if row.id < newest}
    return frozenset(replaced)


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
        row = session.get(LessonRow, number)
        if row is None:
            raise NotInArchive(f"There is no lesson {number} in the archive. Look for it with archive show.")
        rows, clips = _load(session, row.student_id)
        group = next(each for each in _groups(rows, clips) if any(other.id == number for other in each))
        first = group[0].id
        return first, max((each.id for each in group if MEASURED_AGAIN in each.versions), default=number)


def load_newest_lessons(archive: Archive) -> tuple[int, ...]:
    """Return the numbers of all lessons that were not measured again since, by student and number.

    Parameters
    ----------
    archive : Archive
    """
    found: list[int] = []
    with archive.read() as session:
        students = session.scalars(select(LessonRow.student_id).distinct().order_by(LessonRow.student_id)).all()
        for student in students:
            rows, clips = _load(session, student)
            replaced = find_replaced(rows, clips)
            found += [row.id for row in rows if row.id not in replaced]
            session.expunge_all()
    return tuple(found)


def _load(session: Session, student: int) -> tuple[Sequence[LessonRow], dict[int, list[ClipRow]]]:
    rows = session.scalars(select(LessonRow).where(LessonRow.student_id == student).order_by(LessonRow.id)).all()
    clips: dict[int, list[ClipRow]] = {row.id: [] for row in rows}
    for clip in session.scalars(select(ClipRow).where(ClipRow.lesson_id.in_(clips))):
        clips[clip.lesson_id].append(clip)
    return rows, clips


def _groups(rows: Sequence[LessonRow], clips: Mapping[int, Iterable[ClipRow]]) -> list[list[LessonRow]]:
    """Return the lessons of the same clips together: each that was measured again with the first before it."""
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
