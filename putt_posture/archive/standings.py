"""Where each student stands: seen last when, drifted back or not.

It is worked out anew in every transaction that changes a student's lessons, so that the overview asks an index and not
every lesson.
"""

from typing import Final

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from putt_posture.archive.histories import visits_of
from putt_posture.archive.tables import LessonRow, Standing
from putt_posture.changes import find_drift

__all__ = ["find_standing", "settle_standing"]

_BEFORE: Final = "before"
_AFTER: Final = "after"


def settle_standing(session: Session, number: int) -> None:
    """Work out where a student stands and write it down, in a transaction that is open."""
    session.execute(delete(Standing).where(Standing.student_id == number))
    session.flush()
    found = find_standing(session, number)
    if found is not None:
        session.add(found)


def find_standing(session: Session, number: int) -> Standing | None:
    """Work out where a student stands; None where there is no lesson."""
    lessons = session.execute(
        select(LessonRow.id, LessonRow.day, LessonRow.moment)
        .where(LessonRow.student_id == number)
        .order_by(LessonRow.day, LessonRow.id)
    ).all()
    if not lessons:
        return None
    last = lessons[-1]
    drifts = _find_drifts(session, number, [(each.id, each.moment) for each in lessons])
    return Standing(
        student_id=number,
        lessons=len(lessons),
        last_day=last.day,
        drifted=len(drifts),
        drifts=drifts,
    )


def _find_drifts(session: Session, number: int, lessons: list[tuple[int, str]]) -> list[str]:
    """Return the measures that went back since the setup was last rebuilt.

    Compared are the latest lesson, the last one "after" that came before it, and the one "before" (or else whichever)
    that came before that.
    """
    goal = next((at for at in range(len(lessons) - 2, -1, -1) if lessons[at][1] == _AFTER), None)
    if goal is None or goal == 0:
        return []
    start = next((at for at in range(goal - 1, -1, -1) if lessons[at][1] == _BEFORE), goal - 1)
    chosen = [lessons[at][0] for at in (start, goal, len(lessons) - 1)]
    measured = {visit.lesson: visit.measured for visit in visits_of(session, number, lessons=chosen)}
    found = find_drift(*(measured[each] for each in chosen))
    return [each.name for each in found]
