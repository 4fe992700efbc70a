"""A student's lessons and practice tests out of the rows, and where each student stands.

It is worked out anew in every transaction that changes a student's lessons, so that the overview asks an index and not
every lesson.
"""

from collections import defaultdict
from datetime import date
from typing import cast

from sqlalchemy import Connection, delete, select
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.db.rows import as_visit
from putt_posture.archive.db.tables import ClipRow, FitRow, LessonRow, MeasureRow, Standing, StudentRow
from putt_posture.archive.lessons.measured_again import find_replaced
from putt_posture.archive.lessons.practice import practice_of
from putt_posture.archive.people.consents import permission_of
from putt_posture.changes import find_changes
from putt_posture.history import find_verdicts
from putt_posture.values import History, Visit

__all__ = ["find_standing", "load_history", "settle_standing", "settle_standings", "visits_of"]


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
    replaced = find_replaced(rows, clips)
    rows = [row for row in rows if row.id not in replaced]
    fits = {fit.lesson_id: fit for fit in session.scalars(select(FitRow).where(FitRow.lesson_id.in_(numbers)))}
    return tuple(as_visit(row, fits.get(row.id), measures[row.id], clips[row.id]) for row in rows)


def settle_standing(session: Session, number: int) -> None:
    """Work out where a student stands and write it down, in a transaction that is open.

    Parameters
    ----------
    session : Session
        Open transaction.
    number : int
        Number of the student.
    """
    session.execute(delete(Standing).where(Standing.student_id == number))
    session.flush()
    found = find_standing(session, number)
    if found is not None:
        session.add(found)


def settle_standings(connection: Connection) -> None:
    """Work out where every student stands, in a transaction that is alone in writing and has this program's tables.

    Parameters
    ----------
    connection : Connection
        Open connection to the database.
    """
    with Session(connection) as session:
        for number in session.scalars(select(StudentRow.id).order_by(StudentRow.id)).all():
            settle_standing(session, number)
            session.flush()
            session.expunge_all()


def find_standing(session: Session, number: int) -> Standing | None:
    """Work out where a student stands; None where there is no lesson.

    What drifted back is what the pages of the student's history say has gone back.

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
    return Standing(student_id=number, lessons=len(visits), last_day=visits[-1].day, drifted=len(drifts), drifts=drifts)
