"""Students, lessons and pictures erased for good: their rows, their files, and what is left in the database's file.

Backups that were made before the erasure still hold them.
"""

from collections.abc import Collection, Iterable, Iterator
from contextlib import contextmanager
from datetime import date
from typing import Final

from attrs import frozen
from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.db.rows import row_of_lesson
from putt_posture.archive.db.tables import Erasure, LessonFile, LessonRow
from putt_posture.archive.db.texts import clean
from putt_posture.archive.db.vacuum import request_vacuum, vacuum
from putt_posture.archive.files.pending import clear_left_over, mark_for_deletion
from putt_posture.archive.files.reserve import keep_reserve, let_reserve_go
from putt_posture.archive.lessons.histories import update_summary
from putt_posture.archive.people.students import row_of

__all__ = [
    "Erased",
    "erase_lesson",
    "erase_pictures",
    "erase_student",
    "erase_students",
    "let_go",
    "load_erasures",
    "room_to_erase",
]

_PAGE: Final = 500


@frozen(kw_only=True)
class Erased:
    """How much was erased."""

    students: int = 0
    lessons: int = 0
    files: int = 0


def erase_student(archive: Archive, number: int, *, today: date, reason: str) -> Erased:
    """Erase a student with all their data; only a record of the day and the reason is left, without a name.

    Parameters
    ----------
    archive : Archive
    number : int
        Number of the student.
    today : date
        The day by which consent and ages are judged.
    reason : str
        Why, in one sentence without a name; it is kept.

    Raises
    ------
    NotInArchive
    """
    return erase_students(archive, [number], today=today, reason=reason)


def erase_students(archive: Archive, numbers: Iterable[int], *, today: date, reason: str) -> Erased:
    """Erase several students, each as `erase_student` does, in one transaction.

    Parameters
    ----------
    archive : Archive
    numbers : Iterable[int]
        Numbers of the students.
    today : date
        The day by which consent and ages are judged.
    reason : str
        Why, in one sentence without a name; it is kept.
    """
    lessons = files = students = 0
    with _erasing(archive) as session:
        for number in numbers:
            row = row_of(session, number)
            owned = list(session.scalars(select(LessonRow.id).where(LessonRow.student_id == number)))
            gone = _forget_files(session, owned)
            session.delete(row)
            session.flush()
            session.add(Erasure(day=today, lessons=len(owned), files=gone, reason=clean(reason)))
            lessons, files, students = lessons + len(owned), files + gone, students + 1
    return Erased(students=students, lessons=lessons, files=files)


def erase_lesson(archive: Archive, number: int) -> Erased:
    """Erase one lesson. Raises NotInArchive.

    Parameters
    ----------
    archive : Archive
    number : int
        Number of the lesson.
    """
    with _erasing(archive) as session:
        lesson = row_of_lesson(session, number)
        student = lesson.student_id
        gone = _forget_files(session, [number])
        session.delete(lesson)
        session.flush()
        update_summary(session, student)
    return Erased(lessons=1, files=gone)


def erase_pictures(archive: Archive, lessons: Iterable[int]) -> Erased:
    """Erase clips, stills, reports and outlines of lessons; their measures and landmarks stay.

    Parameters
    ----------
    archive : Archive
    lessons : Iterable[int]
        Numbers of the lessons.
    """
    chosen = list(lessons)
    with _erasing(archive) as session:
        gone = _forget_files(session, chosen, pictures_only=True)
    return Erased(lessons=len(chosen), files=gone)


def load_erasures(archive: Archive) -> tuple[tuple[date, int, int, str], ...]:
    """Load the record of erasures: day, lessons, files and reason of each.

    Parameters
    ----------
    archive : Archive
    """
    with archive.read() as session:
        rows = session.scalars(select(Erasure).order_by(Erasure.id)).all()
        return tuple((row.day, row.lessons, row.files, row.reason) for row in rows)


def _forget_files(session: Session, lessons: list[int], *, pictures_only: bool = False) -> int:
    """Remove the files from the lessons, and delete those that no other lesson uses; return how many."""
    request_vacuum(session)
    gone = 0
    for start in range(0, len(lessons), _PAGE):
        theirs = LessonFile.lesson_id.in_(lessons[start : start + _PAGE])
        chosen = theirs & LessonFile.shows_student if pictures_only else theirs
        digests = set(session.scalars(select(LessonFile.digest).where(chosen)))
        session.execute(delete(LessonFile).where(chosen))
        gone += let_go(session, digests)
    return gone


def let_go(session: Session, digests: Collection[str]) -> int:
    """Delete those of the given files that no lesson uses any more, in an open transaction; return how many.

    Parameters
    ----------
    session : Session
        Open transaction.
    digests : Collection[str]
        SHA-256 of each content.
    """
    still = set(session.scalars(select(LessonFile.digest).where(LessonFile.digest.in_(digests))))
    return mark_for_deletion(session, set(digests) - still)


@contextmanager
def _erasing(archive: Archive) -> Iterator[Session]:
    """Yield a session for erasing, also on a full disk; if it succeeds, the data is gone for good."""
    with room_to_erase(archive), archive.write(keep=False) as session:
        yield session


@contextmanager
def room_to_erase(archive: Archive) -> Iterator[None]:
    """Make room for transactions that erase; if the block succeeds, the data is gone for good.

    Parameters
    ----------
    archive : Archive
    """
    archive.check_writable()
    had = let_reserve_go(archive.place)
    try:
        yield
        _finish(archive)
    finally:
        keep_reserve(archive.place, had=had)


def _finish(archive: Archive) -> None:
    clear_left_over(archive)
    vacuum(archive)
