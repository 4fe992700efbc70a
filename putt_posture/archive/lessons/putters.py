"""Whether the putter typed for a lesson is the one that was typed for the student before."""

from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.db.tables import LessonRow
from putt_posture.archive.people.consents import permission_of
from putt_posture.figures import format_day, format_length
from putt_posture.history import IN_USE_STEP_CM

__all__ = ["ask_about_putter"]


def ask_about_putter(
    archive: Archive, number: int, *, length_cm: float | None, day: date, today: date, lesson: int | None = None
) -> str:
    """Ask whether it is another putter, where another length was typed for the student last.

    Nobody has to answer: another putter is what lessons are for. But 33 typed for 36 in moves every length of a lesson.

    Parameters
    ----------
    archive : Archive
    number : int
        The student's.
    length_cm : float or None
        As typed for this lesson; None asks nothing.
    day : date
        Of this lesson.
    today : date
        What is allowed on it is told.
    lesson : int, optional
        Its number, where it is filed already.

    Returns
    -------
    str
        One question, and below which number it can be taken back; empty where there is nothing to ask.
    """
    if length_cm is None:
        return ""
    with archive.read() as session:
        if permission_of(session, number).showing(today) == "nothing":
            return ""
        known = _find_last(session, number, day=day, but=lesson)
    if known is None or abs(known[1] - length_cm) < IN_USE_STEP_CM:
        return ""
    seen_on, before_cm = known
    now, before = map(format_length, (length_cm, before_cm))
    says = f"The putter typed is {now}, and on {format_day(seen_on)} it was {before}. Is it another one?"
    if lesson is None:
        return f"{says} If not, stop with Ctrl-C and type its length again: every length of the lesson rests on it."
    return (
        f"{says} If not, one of the two is mistyped, and every length of that lesson rests on it: take it back with "
        f"archive erase-lesson (this one is {lesson}) and file it again with the right --putter-length."
    )


def _find_last(session: Session, number: int, *, day: date, but: int | None) -> tuple[date, float] | None:
    """Return the day and the length of the putter typed last until a day."""
    query = (
        select(LessonRow.day, LessonRow.putter_length_cm)
        .where(LessonRow.student_id == number, LessonRow.putter_length_cm.is_not(None), LessonRow.day <= day)
        .order_by(LessonRow.day.desc(), LessonRow.id.desc())
        .limit(1)
    )
    row = session.execute(query if but is None else query.where(LessonRow.id != but)).first()
    return None if row is None or row.putter_length_cm is None else (row.day, row.putter_length_cm)
