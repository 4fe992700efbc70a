"""Checks whether the putter given for a lesson is the same as the one given before for the student."""

from datetime import date

from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.lessons.measured_again import counting_lessons
from putt_posture.archive.people.consents import permission_of
from putt_posture.figures import format_day, format_length
from putt_posture.history import IN_USE_STEP_CM

__all__ = ["ask_about_putter"]


def ask_about_putter(
    archive: Archive, number: int, *, length_cm: float | None, day: date, today: date, lesson: int | None = None
) -> str:
    """Return a question if the length differs from the one given last for the student.

    It need not be answered, as lessons may lead to another putter. But 33 typed for 36 in changes every length of a
    lesson.

    Parameters
    ----------
    archive : Archive
    number : int
        The student's.
    length_cm : float or None
        As given for this lesson; None for no question.
    day : date
        Of this lesson.
    today : date
        Today, for consent.
    lesson : int, optional
        Its number, if it is filed already.

    Returns
    -------
    str
        One question, with the number of the lesson to erase if it is wrong; empty if there is nothing to ask.
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
    """Return the day and the length of the last putter given up to a day."""
    for row in reversed(counting_lessons(session, number)):
        if row.putter_length_cm is not None and row.day <= day and row.id != but:
            return row.day, row.putter_length_cm
    return None
