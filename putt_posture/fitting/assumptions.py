"""What a suggestion rests on, in sentences."""

import math
from collections.abc import Iterator, Mapping

from putt_posture.figures import format_apart, format_given, format_margin, format_value
from putt_posture.fitting.inputs import FilmedSetup
from putt_posture.fitting.putter_in_use import GRIP_DOWN_SD_CM
from putt_posture.values import NORMAL_95, Estimate, Evidence, Student, WantedSetup

__all__ = ["list_assumptions"]


def list_assumptions(
    filmed: FilmedSetup | None,
    student: Student,
    wanted: WantedSetup,
    *,
    setup: Mapping[str, Estimate],
    hold_cm: float,
    evidence: tuple[Evidence, ...],
) -> Iterator[str]:
    """Yield what a suggestion rests on, a sentence or two each.

    Parameters
    ----------
    filmed : FilmedSetup or None
    student : Student
    wanted : WantedSetup
    setup : mapping of str to Estimate
        The wanted setup as this student holds it, named as in `Fit.setup`.
    hold_cm : float
        Butt to hand centre along the shaft.
    evidence : tuple of Evidence
    """
    yield "The length runs from the top of the grip along the shaft's axis to the sole; some shops measure otherwise."
    yield _say_wanted(wanted, setup)
    down = f", and {format_given(wanted.grip_down_cm, 'cm')} more for gripping down" if wanted.grip_down_cm else ""
    yield (
        f"The hands' centre is taken {format_value(hold_cm, 'cm')} down from the top of the grip (hand size by "
        "tables, hold by "
        f"common practice){down}."
    )
    if filmed is None:
        yield "Nothing was filmed: a body of this size was taken from tables, so the interval is wide."
        return
    if filmed.missing:
        yield f"{filmed.missing} The length is that of a body of this size from tables, so the interval is wide."
        return
    yield filmed.lie_says
    yield (
        "The filmed hand height"
        + (", the putter in use" if student.putter_length_cm is not None else "")
        + (" and the filmed eyes" if filmed.eye_offset else "")
        + " correct the body tables by their precision; errors of tilt, offset and hand height go together as the "
        "accuracy study found."
    )
    if student.putter_length_cm is not None:
        yield (
            "A student may grip the putter in use down or up from the usual hold by "
            f"± {format_value(NORMAL_95 * GRIP_DOWN_SD_CM, 'cm')} (common practice)."
        )
    tilt = setup["spine_tilt"].value
    if round(tilt) > round(filmed.tilt.value):
        yield (
            f"Tilting to {format_value(tilt, 'deg')} loads the back more than "
            f"{format_value(filmed.tilt.value, 'deg')}: try it for a short time, stop "
            "at pain, and ask a clinician first where the back is bad."
        )
    if mismatch := _say_mismatch({one.name: one for one in evidence}):
        yield mismatch


def _say_wanted(wanted: WantedSetup, setup: Mapping[str, Estimate]) -> str:
    eyes = "over" if abs(wanted.eye_offset_cm) < 0.5 else "inside" if wanted.eye_offset_cm < 0 else "beyond"
    by = "" if eyes == "over" else f"{format_given(abs(wanted.eye_offset_cm), 'cm')} "
    hands = (
        "straight under the shoulders"
        if abs(wanted.hand_offset_cm) < 0.5
        else f"{format_value(wanted.hand_offset_cm, 'cm', signed=True)} off the shoulders"
    )
    whose = " (common practice)" if wanted == WantedSetup() else ""
    return (
        f"Wanted{whose}: hands {hands}, elbows at the front of the ribs, weight at "
        f"{format_given(wanted.balance_percent, '%')} of the "
        f"foot, eyes {by}{eyes} the ball, knees bent by {format_given(wanted.knee_flex_deg, 'deg')}, back rounded by "
        f"{format_given(wanted.back_rounding_deg, 'deg')}. That takes a tilt of "
        f"{format_margin(setup['spine_tilt'])}, with the elbows bent by "
        f"{format_value(setup['elbow_bend'].value, 'deg')}."
    )


def _say_mismatch(names: Mapping[str, Evidence]) -> str | None:
    """Say where the putter in use does not fit the filmed hands."""
    if not {"current_putter", "measured_setup"} <= names.keys():
        return None
    putter, setup = names["current_putter"].length, names["measured_setup"].length
    difference = putter.value - setup.value
    if abs(difference) <= NORMAL_95 * math.hypot(putter.standard_uncertainty, setup.standard_uncertainty):
        return None
    cause = "the student grips down" if difference > 0 else "the hands sit at the very top of the grip"
    return (
        f"The putter in use is {format_apart(putter.value, setup.value)} {'longer' if difference > 0 else 'shorter'} "
        "than the filmed "
        f"hands suggest: either {cause}, or the scale is off."
    )
