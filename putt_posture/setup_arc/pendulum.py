"""Arms and putter of a setup as a pendulum that hangs from the shoulders."""

from typing import Final

import numpy as np

from putt_posture.body import predict_joint_length
from putt_posture.figures import format_value
from putt_posture.fitting.inputs import USUAL_LIE
from putt_posture.fitting.propagation import propagate
from putt_posture.measures.arms import ELBOW_BEND_LEAD, ELBOW_BEND_TRAIL, HAND_HEIGHT, HAND_OFFSET
from putt_posture.measures.club import SHAFT_LIE
from putt_posture.values import Estimate, Floats, Pendulum, Posture, Student, absent

__all__ = ["find_reach", "hang_pendulum", "read_pendulum"]

USUAL_ELBOW_BEND: Final = Estimate(value=30.0, standard_uncertainty=15.0, unit="deg", method="common practice")
HALF_HANDS_CM: Final = 3.0
"""Half of the distance between the two hand centres across the shaft, cm (judged)."""
LIE_RANGE_DEG: Final = (50.0, 90.0)
"""A measured lie outside comes from wrong ends of the shaft."""


def find_reach(posture: Posture, student: Student) -> Estimate:
    """Find the distance from the middle of the shoulders to the hand centre, cm.

    Lengths are from the body tables; the bend is the mean of the elbows measured, or a usual one.

    Parameters
    ----------
    posture : Posture
    student : Student
    """
    bends = [one for one in (posture[ELBOW_BEND_LEAD.name], posture[ELBOW_BEND_TRAIL.name]) if one]
    bend = _mean(bends) if bends else USUAL_ELBOW_BEND

    def length(name: str) -> Estimate:
        return predict_joint_length(name, student.stature_cm, student.sex, wrist_floor_cm=student.wrist_floor_cm)

    def reach(upper_arm: Floats, forearm: Floats, hand: Floats, width: Floats, bend: Floats) -> Floats:
        lower = forearm + hand
        square = upper_arm**2 + lower**2 + 2 * upper_arm * lower * np.cos(np.radians(np.clip(bend, 0.0, 150.0)))
        # The hands meet in front of the body: the sideways part of an arm is lost in the plane.
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


def read_pendulum(posture: Posture, student: Student) -> Pendulum:
    """Read the pendulum of a posture.

    The height of the shoulders over the hands is not measured itself: it follows from the reach of the arms (body
    tables, elbows bent as measured) and the offset of the hands.

    Parameters
    ----------
    posture : Posture
        Needs ``hand_offset`` and ``hand_height``; without a ``shaft_lie`` that is possible for a putter, the usual lie
        is used.
    student : Student

    Returns
    -------
    Pendulum
        Its missing parts are absent.
    """
    lie = posture[SHAFT_LIE.name]
    if not lie or not LIE_RANGE_DEG[0] <= lie.value <= LIE_RANGE_DEG[1]:
        lie = USUAL_LIE
    return hang_pendulum(
        hand_offset=posture[HAND_OFFSET.name],
        hand_height=posture[HAND_HEIGHT.name],
        lie=lie,
        reach=find_reach(posture, student),
    )


def hang_pendulum(*, hand_offset: Estimate, hand_height: Estimate, lie: Estimate, reach: Estimate) -> Pendulum:
    """Hang a pendulum from arms of a known reach, cm, shoulders to hand centre in the plane.

    Parameters
    ----------
    hand_offset : Estimate
        Hand centre from the plumb line under the shoulders, cm, + toward the ball.
    hand_height : Estimate
        Hand centre above the ground, cm.
    lie : Estimate
        Shaft to ground, deg.
    reach : Estimate
        Shoulders to hand centre in the plane, cm.
    """
    drop = _find_drop(hand_offset, reach)
    return Pendulum(hand_offset=hand_offset, shoulder_drop=drop, hand_height=hand_height, lie=lie)


def _mean(bends: list[Estimate]) -> Estimate:
    # The two elbows are seen by the same camera, so their errors do not average out.
    return Estimate(
        value=sum(one.value for one in bends) / len(bends),
        standard_uncertainty=max(one.standard_uncertainty for one in bends),
        unit="deg",
        method="mean of the elbows measured",
    )


def _find_drop(offset: Estimate, reach: Estimate) -> Estimate:
    for name, part in (("hand offset", offset), ("reach of the arms", reach)):
        if not part:
            return absent(f"The {name} is missing: {part.absent}", unit="cm", view="down_the_line")
    if abs(offset.value) >= reach.value:
        far = format_value(abs(offset.value), "cm")
        reason = f"The hands are {far} from below the shoulders, farther than the arms reach."
        return absent(reason, unit="cm", view="down_the_line")

    def drop(offset: Floats, reach: Floats) -> Floats:
        return np.asarray(np.sqrt(np.maximum(reach**2 - offset**2, 0.0)))

    value, uncertainty = propagate(drop, offset=offset, reach=reach)
    return Estimate(
        value=value,
        standard_uncertainty=uncertainty,
        unit="cm",
        view="down_the_line",
        frames=offset.frames,
        method=reach.method,
    )
