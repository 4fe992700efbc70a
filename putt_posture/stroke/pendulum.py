"""Arms and putter of a setup as a pendulum."""

from typing import Final

import numpy as np

from putt_posture.figures import format_value
from putt_posture.fitting.inputs import USUAL_LIE
from putt_posture.fitting.propagation import propagate
from putt_posture.stroke.reach import find_reach
from putt_posture.values import Estimate, Floats, Pendulum, Posture, Student, absent

__all__ = ["hang_pendulum", "read_pendulum"]

LIE_RANGE_DEG: Final = (50.0, 90.0)
"""A measured lie outside is a slip of the shaft's ends, not a putter."""


def read_pendulum(posture: Posture, student: Student) -> Pendulum:
    """Read the pendulum of a posture.

    The height of the shoulders over the hands is no measure of its own: it follows from the reach of the arms (body
    tables, elbows bent as measured) and the offset of the hands.

    Parameters
    ----------
    posture : Posture
        Needs ``hand_offset`` and ``hand_height``; without a ``shaft_lie`` that can be a putter's, the usual lie is
        taken.
    student : Student

    Returns
    -------
    Pendulum
        With what is missing absent.
    """
    lie = posture["shaft_lie"]
    if not lie or not LIE_RANGE_DEG[0] <= lie.value <= LIE_RANGE_DEG[1]:
        lie = USUAL_LIE
    return hang_pendulum(
        hand_offset=posture["hand_offset"],
        hand_height=posture["hand_height"],
        lie=lie,
        reach=find_reach(posture, student),
    )


def hang_pendulum(*, hand_offset: Estimate, hand_height: Estimate, lie: Estimate, reach: Estimate) -> Pendulum:
    """Hang a pendulum from arms of a known reach, cm, shoulders to hand centre in the plane."""
    drop = _find_drop(hand_offset, reach)
    return Pendulum(hand_offset=hand_offset, shoulder_drop=drop, hand_height=hand_height, lie=lie)


def _find_drop(offset: Estimate, reach: Estimate) -> Estimate:
    for name, part in (("hand offset", offset), ("reach of the arms", reach)):
        if not part:
            return absent(f"The {name} is missing: {part.absent}", unit="cm", view="down_the_line")
    if abs(offset.value) >= reach.value:
        far = format_value(abs(offset.value), "cm")
        reason = f"The hands are {far} from under the shoulders, farther than the arms reach."
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
