"""Where each student stands: seen last when, drifted back or not.

It is worked out anew in every transaction that changes a student's lessons, so that the overview asks an index and not
every lesson.
"""

from sqlalchemy import Connection, delete, select
from sqlalchemy.orm import Session

from putt_posture.archive.histories import visits_of
from putt_posture.archive.tables import Standing, StudentRow
from putt_posture.changes import find_changes
from putt_posture.history import find_verdicts
from putt_posture.values import History

__all__ = ["find_standing", "settle_standing", "settle_standings"]


def settle_standing(session: Session, number: int) -> None:
    """Work out where a student stands and write it down, in a transaction that is open."""
    session.execute(delete(Standing).where(Standing.student_id == number))
    session.flush()
    found = find_standing(session, number)
    if found is not None:
        session.add(found)


def settle_standings(connection: Connection) -> None:
    """Work out where every student stands, in a transaction that is alone in writing and has this program's tables."""
    with Session(connection) as session:
        for number in session.scalars(select(StudentRow.id).order_by(StudentRow.id)).all():
            settle_standing(session, number)
            session.flush()
            session.expunge_all()


def find_standing(session: Session, number: int) -> Standing | None:
    """Work out where a student stands; None where there is no lesson.

    What drifted back is what the pages of the student's history say has gone back.
    """
    visits = visits_of(session, number)
    if not visits:
        return None
    verdicts = find_verdicts(History(name="", visits=visits), find_changes=find_changes)
    drifts: list[str] = [name for name, verdict in verdicts.items() if verdict == "back"]
    return Standing(student_id=number, lessons=len(visits), last_day=visits[-1].day, drifted=len(drifts), drifts=drifts)
