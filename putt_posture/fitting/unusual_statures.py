"""Statures at the edge of the body tables and beyond: less is known of them, and then nothing."""

from typing import Final

from putt_posture.body import TABLE_STATURES_CM, find_table_widening
from putt_posture.figures import format_given
from putt_posture.values import Student

__all__ = ["FITTED_STATURES_CM", "say_beyond_tables", "say_outside_tables"]

FITTED_STATURES_CM: Final = (120.0, 220.0)
"""Statures that a length is suggested for, cm (judged): the tables' people and about as far again on either side."""


def say_beyond_tables(student: Student) -> str | None:
    """Say why a student of this stature gets no length; None where they get one.

    Examples
    --------
    >>> say_beyond_tables(Student(stature_cm=120.0, handed="right")) is None
    True
    """
    low, high = FITTED_STATURES_CM
    if low <= student.stature_cm <= high:
        return None
    return (
        f"A stature of {format_given(student.stature_cm, 'cm')} is too far from the people of the body tables for a "
        f"length (adult soldiers, ANSUR II 2012; {low:g} to {high:g} cm is fitted); check the stature, or try putters "
        "out."
    )


def say_outside_tables(student: Student) -> str | None:
    """Say that the interval is wider because the tables hold nobody of this stature; None where they do.

    Examples
    --------
    >>> say_outside_tables(Student(stature_cm=178.0, handed="right")) is None
    True
    """
    wider = find_table_widening(student.stature_cm, student.sex)
    if wider <= 1.0:
        return None
    low, high = TABLE_STATURES_CM[student.sex]
    juniors = "; juniors have other proportions" if student.stature_cm < low else ""
    return (
        f"The body tables are of adult soldiers (ANSUR II 2012) and hold nearly nobody outside {low:g} to {high:g} "
        f"cm{juniors}: for {format_given(student.stature_cm, 'cm')} what they leave open is taken {wider:.1f} times as "
        "wide, and so the interval is wider."
    )
