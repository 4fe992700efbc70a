"""A student's lessons and practice tests out of the rows."""

from collections import defaultdict
from datetime import date
from typing import cast

from sqlalchemy import select
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.consents import permission_of
from putt_posture.archive.practice import practice_of
from putt_posture.archive.rows import as_visit
from putt_posture.archive.tables import ClipRow, FitRow, LessonRow, MeasureRow
from putt_posture.values import History, Visit

__all__ = ["load_history", "visits_of"]


def load_history(archive: Archive, number: int, *, today: date) -> History:
    """Load all lessons and practice tests of a student.

    Raises
    ------
    NotInArchive
    NotAllowed
        If there is something, and no consent for keeping measures counts today.
    """
    with archive.read() as session:
        permission = permission_of(session, number)
        visits, practice = visits_of(session, number), practice_of(session, number)
        if visits or practice:
            permission.check_showing(today)
        return History(name=permission.person.name, visits=visits, practice=practice)


def visits_of(session: Session, number: int) -> tuple[Visit, ...]:
    """Return a student's lessons in the order of time, in a transaction that is open."""
    rows = session.scalars(
        select(LessonRow).where(LessonRow.student_id == number).order_by(LessonRow.day, LessonRow.id)
    ).all()
    numbers = [row.id for row in rows]
    measures: defaultdict[int, list[MeasureRow]] = defaultdict(list)
    for measure in session.execute(select(MeasureRow.__table__).where(MeasureRow.lesson_id.in_(numbers))):
        measures[measure.lesson_id].append(cast(MeasureRow, measure))  # alike, and the many are not to be changed
    clips: defaultdict[int, list[ClipRow]] = defaultdict(list)
    for clip in session.scalars(select(ClipRow).where(ClipRow.lesson_id.in_(numbers))):
        clips[clip.lesson_id].append(clip)
    fits = {fit.lesson_id: fit for fit in session.scalars(select(FitRow).where(FitRow.lesson_id.in_(numbers)))}
    return tuple(as_visit(row, fits.get(row.id), measures[row.id], clips[row.id]) for row in rows)
