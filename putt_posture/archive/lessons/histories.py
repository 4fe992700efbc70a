"""A student's lessons and practice tests read from the rows, and the summary of each student.

The summary is recalculated in every transaction that changes a student's lessons, so that the overview reads an index
and not every lesson.
"""

from collections import defaultdict
from datetime import date
from typing import cast

from sqlalchemy import Connection, delete, select
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.db.rows import as_visit
from putt_posture.archive.db.tables import ClipRow, FitRow, LessonRow, MeasureRow, StudentRow, SummaryRow
from putt_posture.archive.lessons.measured_again import find_counting
from putt_posture.archive.lessons.practice import practice_of
from putt_posture.archive.people.consents import permission_of
from putt_posture.changes import find_changes
from putt_posture.history import find_verdicts
from putt_posture.values import History, Visit

__all__ = ["find_summary", "load_history", "update_summaries", "update_summary", "visits_of"]


def load_history(archive: Archive, number: int, *, today: date) -> History:
    """Load all lessons and practice tests of a student.

    Parameters
    ----------
    archive : Archive
    number : int
        Number of the student.
    today : date
        The day by which consent and ages are judged.

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
    """Return a student's lessons in the order of time, in a transaction that is open.

    Parameters
    ----------
    session : Session
        Open transaction.
    number : int
        Number of the student.
    """
    rows = session.scalars(select(LessonRow).where(LessonRow.student_id == number)).all()
    numbers = [row.id for row in rows]
    measures: defaultdict[int, list[MeasureRow]] = defaultdict(list)
    for measure in session.execute(select(MeasureRow.__table__).where(MeasureRow.lesson_id.in_(numbers))):
        measures[measure.lesson_id].append(
            cast(MeasureRow, measure)
        )  # same attributes; plain rows are faster and are only read
    clips: defaultdict[int, list[ClipRow]] = defaultdict(list)
    for clip in session.scalars(select(ClipRow).where(ClipRow.lesson_id.in_(numbers))):
        clips[clip.lesson_id].append(clip)
    fits = {fit.lesson_id: fit for fit in session.scalars(select(FitRow).where(FitRow.lesson_id.in_(numbers)))}
    counting = find_counting(rows, clips)
    return tuple(as_visit(row, fits.get(row.id), measures[row.id], clips[row.id]) for row in counting)


def update_summary(session: Session, number: int) -> None:
    """Recalculate a student's summary and store it, in an open transaction.

    Parameters
    ----------
    session : Session
        Open transaction.
    number : int
        Number of the student.
    """
    session.execute(delete(SummaryRow).where(SummaryRow.student_id == number))
    session.flush()
    found = find_summary(session, number)
    if found is not None:
        session.add(found)


def update_summaries(connection: Connection) -> None:
    """Recalculate every student's summary, in a write transaction on tables of this program's version.

    Parameters
    ----------
    connection : Connection
        Open connection to the database.
    """
    with Session(connection) as session:
        for number in session.scalars(select(StudentRow.id).order_by(StudentRow.id)).all():
            update_summary(session, number)
            session.flush()
            session.expunge_all()


def find_summary(session: Session, number: int) -> SummaryRow | None:
    """Calculate a student's summary; None if there is no lesson.

    A measure drifted back if the pages of the student's history say that it has gone back.

    Parameters
    ----------
    session : Session
        Open transaction.
    number : int
        Number of the student.
    """
    visits = visits_of(session, number)
    if not visits:
        return None
    verdicts = find_verdicts(History(name="", visits=visits), find_changes=find_changes)
    drifts: list[str] = [name for name, verdict in verdicts.items() if verdict == "back"]
    return SummaryRow(
        student_id=number, lessons=len(visits), last_day=visits[-1].day, drifted=len(drifts), drifts=drifts
    )
