"""The ways to a putter length, each with its interval; the rule of thumb by height is one of them."""

from typing import Final

import numpy as np

from putt_posture.body import SHORTEST_PUTTER_CM, find_grip_distance
from putt_posture.figures import format_given, format_value
from putt_posture.fitting.geometry import find_length
from putt_posture.fitting.inputs import FilmedSetup
from putt_posture.fitting.propagation import propagate
from putt_posture.fitting.solution import SetupSolution, solve_setup
from putt_posture.fitting.student_model import find_student_model
from putt_posture.units import CM_PER_INCH
from putt_posture.values import Estimate, Evidence, Floats, Student, WantedSetup

__all__ = ["find_by_body", "find_by_height_rule", "find_measured_setup", "name_current_putter", "solve_by_tables"]

_TRADE: Final = ((66.0, 32.0), (69.5, 33.0), (72.0, 34.0), (73.5, 35.0))
"""Stature and the putter usually fitted, inches: 5 ft 6, 5 ft 9 to 10, 6 ft 0, 6 ft 1 to 2 (common practice)."""
RULE_STATURES_IN: Final = (66.0, 74.0)
"""Statures that the rule covers, inches: 5 ft 6 to 6 ft 2 (common practice)."""
RULE_SD_IN: Final = 0.5
"""How far fitters differ from the rule, one sigma, inches (common practice: putters are cut to the half inch)."""
_BODY_TITLES: Final = {
    "body_model": "By the body model",
    "wrist_floor": "By the wrist height",
}


def find_by_height_rule(stature_cm: float) -> Evidence | None:
    """Find the length by the trade's rule of thumb: the straight line through what is usually fitted.

    None for a stature that the rule does not cover.

    Parameters
    ----------
    stature_cm : float
        Barefoot height, cm.

    Examples
    --------
    >>> find_by_height_rule(180.0).length.value / 2.54 > find_by_height_rule(170.0).length.value / 2.54
    True
    >>> find_by_height_rule(150.0) is None
    True
    """
    low, high = RULE_STATURES_IN
    if not low <= round(stature_cm / CM_PER_INCH, 1) <= high:
        return None
    statures, lengths = np.array(_TRADE).T
    slope, start = np.polyfit(statures, lengths, 1)
    value = float(start + slope * stature_cm / CM_PER_INCH) * CM_PER_INCH
    return Evidence(
        name="height_rule",
        title="By the rule of thumb",
        length=Estimate(
            value=value,
            standard_uncertainty=RULE_SD_IN * CM_PER_INCH,
            unit="cm",
            method="line through what is usually fitted to a height, common practice",
        ),
        says="What shops usually fit to this height (common practice); it uses neither arms nor setup, and is not part "
        "of the suggestion.",
    )


def solve_by_tables(student: Student, wanted: WantedSetup) -> SetupSolution:
    """Put a body of the tables into the wanted setup, whatever was filmed.

    Parameters
    ----------
    student : Student
        With the wrist height, or without.
    wanted : WantedSetup
    """
    model = find_student_model(student, wanted)
    return solve_setup(model, model.spread(), wanted, sex=student.sex)


def find_by_body(solution: SetupSolution, student: Student, *, name: str) -> Evidence | None:
    """Return the length for a body of the tables in the wanted setup; None where that is impossible.

    Parameters
    ----------
    solution : SetupSolution
        As `solve_by_tables` finds it.
    student : Student
        The same.
    name : {"body_model", "wrist_floor"}
    """
    if not solution.length:
        return None
    tilt, height = solution.setup["spine_tilt"], solution.setup["hand_height"]
    table = {"female": "women", "male": "men", None: "women and men together"}[student.sex]
    known = f"{format_given(student.stature_cm, 'cm')} by the table of {table}"
    if student.wrist_floor_cm is not None:
        known += f", wrists {format_given(student.wrist_floor_cm, 'cm')} above the floor"
    return Evidence(
        name=name,
        title=_BODY_TITLES[name],
        length=solution.length,
        says=f"A body of {known}, in shoes and in the wanted setup, tilts by {format_value(tilt.value, 'deg')} and "
        f"holds its hands {format_value(height.value, 'cm')} above the ground.",
    )


def find_measured_setup(filmed: FilmedSetup, student: Student, *, without_putter: bool = False) -> Evidence:
    """Find the length that the filmed setup holds; needs its `hand_height`.

    Parameters
    ----------
    filmed : FilmedSetup
    student : Student
    without_putter : bool
        Whether the hands held no putter, so that the lie is a usual one.
    """

    def length(hand_height: Floats, lie: Floats, grip: Floats) -> Floats:
        return find_length(hand_height, lie, grip)

    value, uncertainty = propagate(
        length, hand_height=filmed.hand_height, lie=filmed.lie, grip=find_grip_distance(student)
    )
    return Evidence(
        name="measured_setup",
        title="By the setup as filmed",
        length=Estimate(
            value=value,
            standard_uncertainty=uncertainty,
            unit="cm",
            view="down_the_line",
            frames=filmed.hand_height.frames,
            method="hand height, lie and hold",
            floor=SHORTEST_PUTTER_CM,
        ),
        says=_say_measured(filmed, without_putter=without_putter),
    )


def _say_measured(filmed: FilmedSetup, *, without_putter: bool) -> str:
    height = format_value(filmed.hand_height.value, "cm")
    if without_putter:
        return (
            f"The hands are {height} above the ground without a putter; a shaft at the usual "
            f"{format_given(filmed.lie.value, 'deg')} (common practice) would reach them."
        )
    return (
        f"The hands are {height} above the ground and the shaft lies at {format_value(filmed.lie.value, 'deg')}: the "
        "putter for the setup that the student has now."
    )


def name_current_putter(putter: Estimate, *, put_aside: bool) -> Evidence:
    """Return the putter in use as evidence.

    Parameters
    ----------
    putter : Estimate
        Its length, cm.
    put_aside : bool
        Whether its length is not used to find where the hands are.
    """
    says = "As measured by the coach, from the top of the grip along the shaft to the sole."
    if put_aside:
        says += " It is not part of the suggestion."
    return Evidence(
        name="current_putter",
        title="The putter in use" + (", put aside" if put_aside else ""),
        length=putter,
        says=says,
    )
