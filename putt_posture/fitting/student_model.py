"""The uncertain quantities of a student in a fit, wider where the body tables end."""

from collections.abc import Mapping
from typing import Final

from attrs import asdict

from putt_posture.body import SHOE_SOLE, TABLE_STATURES_CM, find_grip_distance, find_table_widening
from putt_posture.figures import format_given
from putt_posture.fitting.body_model import ClipLengths, Gaussian, find_lengths
from putt_posture.values import Estimate, Student, WantedSetup

__all__ = ["FITTED_STATURES_CM", "WANTED_SETUP_SD", "find_student_model", "say_beyond_tables", "say_outside_tables"]

FITTED_STATURES_CM: Final = (120.0, 220.0)
"""Statures for which a length is suggested, cm (judged): those of the tables and about as many again on either side."""
SLACK: Final = Estimate(value=0.0, standard_uncertainty=0.7, unit="cm", method="accuracy study")
"""How much higher the hands are than with stiff links, since shoulder blades slide and backs round elsewhere, cm: the
residual in rendered golfers whose lengths and angles are known."""
CHANGE: Final = Estimate(value=0.0, standard_uncertainty=1.0, unit="cm", method="judged")
"""How much that differs between the wanted and the filmed setup, one sigma, cm."""
WANTED_SETUP_SD: Final[Mapping[str, float]] = {
    "hand_offset_cm": 1.0, "elbow_depth_cm": 1.0, "eye_offset_cm": 1.5, "balance_percent": 5.0, "knee_flex_deg": 4.0,
    "back_rounding_deg": 6.0, "head_drop_deg": 4.0, "eyes_lowered_deg": 6.0, "elbow_bend_deg": 5.0, "tilt_deg": 2.0,
    "lie_deg": 0.5,
}  # fmt: skip
"""How far a coached student still is from the wanted setup, one sigma each (judged: what a coach accepts)."""
_HELD_EXACTLY: Final = frozenset({"grip_down_cm"})


def say_beyond_tables(student: Student) -> str | None:
    """Say why a student of this stature gets no length; None where they get one.

    Parameters
    ----------
    student : Student

    Examples
    --------
    >>> say_beyond_tables(Student(stature_cm=120.0, handed="right")) is None
    True
    """
    low, high = FITTED_STATURES_CM
    if low <= student.stature_cm <= high:
        return None
    return (
        f"A height of {format_given(student.stature_cm, 'cm')} is too far from the people of the body tables for a "
        f"length (adult soldiers, ANSUR II 2012; {low:g} to {high:g} cm can be fitted); check the height, or try out "
        "putters."
    )


def say_outside_tables(student: Student) -> str | None:
    """Say that the interval is wider because the tables have no one of this stature; None where they do.

    Parameters
    ----------
    student : Student

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
        f"The body tables are of adult soldiers (ANSUR II 2012), with almost no one outside {low:g} to {high:g} "
        f"cm{juniors}: for {format_given(student.stature_cm, 'cm')} their spread is taken {wider:.1f} times as wide, "
        "and so the interval is wider."
    )


def find_student_model(student: Student, wanted: WantedSetup, *, measured: ClipLengths | None = None) -> Gaussian:
    """Return the uncertain quantities for `find_setup`.

    Parameters
    ----------
    student : Student
    wanted : WantedSetup
    measured : ClipLengths, optional
        Lengths between joints from scaled clips.

    Returns
    -------
    Gaussian
        Lengths of the body, ``sole``, ``slack`` and its ``change``, ``hold``, the distance from the butt to the hand
        centre, and the departure from each wanted value under its name.
    """
    wanted_values = asdict(wanted)
    if wanted.tilt_deg is None:
        wanted_values["elbow_bend_deg"] = 0.0  # not asked for, so the usual one, from which it also departs
    departures = {
        name: Estimate(value=0.0, standard_uncertainty=WANTED_SETUP_SD[name], unit=name.rpartition("_")[2])
        for name, value in wanted_values.items()
        if value is not None and name not in _HELD_EXACTLY
    }
    others = {"sole": SHOE_SOLE, "slack": SLACK, "change": CHANGE, "hold": find_grip_distance(student)}
    return find_lengths(student, measured=measured).extend(others | departures)
