"""What a fit starts from: the measures it needs, and tables or common practice where a measure is missing."""

from collections.abc import Mapping
from typing import Final

import numpy as np
from attrs import frozen

from putt_posture.body import find_grip_distance, predict_joint_length
from putt_posture.fitting.propagation import propagate
from putt_posture.values import Estimate, Floats, Posture, Student

__all__ = ["MEASURE_CORRELATION", "FitInputs", "read_inputs"]

MEASURE_CORRELATION: Final[Mapping[tuple[str, str], float]] = {
    ("tilt", "offset"): -0.48,
    ("offset", "hand_height"): -0.43,
    ("tilt", "hand_height"): -0.10,
}
"""Between the errors of the measures (accuracy study, 40 rendered golfers): shoulders placed too far toward the ball
raise the tilt and lower the offset. Named as the attributes of `FitInputs`."""

USUAL_LIE: Final = Estimate(
    value=71.0, standard_uncertainty=1.5, unit="deg", method="usual lie of putters sold, common practice"
)
"""Trade pages give 71°, adjustable, 70° to 72° typical."""

LIE_RANGE_DEG: Final = (50.0, 90.0)
"""A measured lie outside is a slip of the shaft's ends, not a putter."""

USUAL_ELBOW_BEND: Final = Estimate(value=30.0, standard_uncertainty=15.0, unit="deg", method="common practice")

USUAL_KNEE_FLEX: Final = Estimate(value=15.0, standard_uncertainty=8.0, unit="deg", method="common practice")

HALF_HANDS_CM: Final = 3.0
"""Half of the distance between the two hand centres across the shaft, cm (judged)."""


@frozen(kw_only=True)
class FitInputs:
    """Everything a fit is worked out from; `tilt`, `offset` and `hand_height` may be absent.

    Attributes
    ----------
    tilt, offset, hand_height : Estimate
        As measured, deg, cm, cm.
    lie : Estimate
        Measured, or the usual one, deg.
    lie_says : str
        One sentence: which lie it is.
    knee_flex, elbow_bend : Estimate
        Measured (elbows: mean of those measured), or usual, deg.
    trunk : Estimate
        Mid-hip to mid-shoulder, cm.
    reach : Estimate
        Shoulder to hand centre in the plane across the target line, elbows bent as they are, cm.
    reach_lost : Estimate
        How much shorter that is than a straight arm hanging at the side, cm.
    grip_distance : Estimate
        Butt to hand centre along the shaft, cm.
    """

    tilt: Estimate
    offset: Estimate
    hand_height: Estimate
    lie: Estimate
    lie_says: str
    knee_flex: Estimate
    elbow_bend: Estimate
    trunk: Estimate
    reach: Estimate
    reach_lost: Estimate
    grip_distance: Estimate


def read_inputs(posture: Posture, student: Student, *, trunk_length: Estimate | None = None) -> FitInputs:
    """Gather the inputs of a fit.

    Parameters
    ----------
    posture : Posture
    student : Student
    trunk_length : Estimate, optional
        Mid-hip to mid-shoulder where it was measured, cm; from the body tables otherwise.
    """
    lie, lie_says = _read_lie(posture["shaft_lie"])
    bends = [one for one in (posture["elbow_bend_lead"], posture["elbow_bend_trail"]) if one]
    bend = _mean(bends) if bends else USUAL_ELBOW_BEND
    reach, reach_lost = _find_reach(student, bend)
    return FitInputs(
        tilt=posture["spine_tilt"],
        offset=posture["hand_offset"],
        hand_height=posture["hand_height"],
        lie=lie,
        lie_says=lie_says,
        knee_flex=posture["knee_flex"] or USUAL_KNEE_FLEX,
        elbow_bend=bend,
        trunk=trunk_length or _predict(student, "trunk"),
        reach=reach,
        reach_lost=reach_lost,
        grip_distance=find_grip_distance(student),
    )


def _read_lie(measured: Estimate) -> tuple[Estimate, str]:
    low, high = LIE_RANGE_DEG
    if not measured:
        return USUAL_LIE, f"The lie was not measured; the usual {USUAL_LIE.value:g}° was taken (common practice)."
    if not low <= measured.value <= high:
        return USUAL_LIE, (
            f"The measured lie of {measured.value:.0f}° cannot be a putter's; the usual {USUAL_LIE.value:g}° was taken "
            "(common practice). Check the shaft's two ends."
        )
    return measured, f"The lie is kept as measured, {measured.value:.0f}°."


def _mean(estimates: list[Estimate]) -> Estimate:
    # The two elbows are seen by the same camera, so their errors are not taken to average out.
    return Estimate(
        value=sum(one.value for one in estimates) / len(estimates),
        standard_uncertainty=max(one.standard_uncertainty for one in estimates),
        unit=estimates[0].unit,
        method="mean of the elbows measured",
    )


def _find_reach(student: Student, bend: Estimate) -> tuple[Estimate, Estimate]:
    """Return the reach with bent elbows in the plane, and what it lacks to a straight arm at the side, cm."""
    parts = {
        "upper_arm": _predict(student, "upper_arm"),
        "forearm": _predict(student, "forearm"),
        "hand": _predict(student, "wrist_to_hand_centre"),
        "width": _predict(student, "shoulder_width"),
        "bend": bend,
    }

    def reach(upper_arm: Floats, forearm: Floats, hand: Floats, width: Floats, bend: Floats) -> Floats:
        lower = forearm + hand
        square = upper_arm**2 + lower**2 + 2 * upper_arm * lower * np.cos(np.radians(np.clip(bend, 0.0, 150.0)))
        # The hands meet in front of the body: what an arm spans sideways is lost to the plane.
        inward = width / 2 - HALF_HANDS_CM
        return np.sqrt(np.maximum(square - inward**2, (0.3 * upper_arm) ** 2))

    def lost(upper_arm: Floats, forearm: Floats, hand: Floats, width: Floats, bend: Floats) -> Floats:
        return upper_arm + forearm + hand - reach(upper_arm, forearm, hand, width, bend)

    found = (propagate(formula, **parts) for formula in (reach, lost))
    first, second = (
        Estimate(value=value, standard_uncertainty=uncertainty, unit="cm", method="body tables, elbows bent")
        for value, uncertainty in found
    )
    return first, second


def _predict(student: Student, length: str) -> Estimate:
    return predict_joint_length(length, student.stature_cm, student.sex, wrist_floor_cm=student.wrist_floor_cm)
