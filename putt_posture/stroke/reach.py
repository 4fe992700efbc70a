"""How far the hands hang from the shoulders, elbows bent as they are, in the plane across the target line."""

from typing import Final

import numpy as np

from putt_posture.body import predict_joint_length
from putt_posture.fitting.propagation import propagate
from putt_posture.values import Estimate, Floats, Posture, Student

__all__ = ["find_reach"]

USUAL_ELBOW_BEND: Final = Estimate(value=30.0, standard_uncertainty=15.0, unit="deg", method="common practice")

HALF_HANDS_CM: Final = 3.0
"""Half of the distance between the two hand centres across the shaft, cm (judged)."""


def find_reach(posture: Posture, student: Student) -> Estimate:
    """Find the distance from the middle of the shoulders to the hand centre, cm.

    Lengths are from the body tables; the bend is the mean of the elbows measured, or a usual one.
    """
    bends = [one for one in (posture["elbow_bend_lead"], posture["elbow_bend_trail"]) if one]
    bend = _mean(bends) if bends else USUAL_ELBOW_BEND

    def length(name: str) -> Estimate:
        return predict_joint_length(name, student.stature_cm, student.sex, wrist_floor_cm=student.wrist_floor_cm)

    def reach(upper_arm: Floats, forearm: Floats, hand: Floats, width: Floats, bend: Floats) -> Floats:
        lower = forearm + hand
        square = upper_arm**2 + lower**2 + 2 * upper_arm * lower * np.cos(np.radians(np.clip(bend, 0.0, 150.0)))
        # The hands meet in front of the body: what an arm spans sideways is lost to the plane.
        inward = width / 2 - HALF_HANDS_CM
        return np.asarray(np.sqrt(np.maximum(square - inward**2, (0.3 * upper_arm) ** 2)))

    value, uncertainty = propagate(
        reach,
        upper_arm=length("upper_arm"),
        forearm=length("forearm"),
        hand=length("wrist_to_hand_centre"),
        width=length("shoulder_width"),
        bend=bend,
    )
    return Estimate(value=value, standard_uncertainty=uncertainty, unit="cm", method="body tables, elbows bent")


def _mean(bends: list[Estimate]) -> Estimate:
    # The two elbows are seen by the same camera, so their errors are not taken to average out.
    return Estimate(
        value=sum(one.value for one in bends) / len(bends),
        standard_uncertainty=max(one.standard_uncertainty for one in bends),
        unit="deg",
        method="mean of the elbows measured",
    )
