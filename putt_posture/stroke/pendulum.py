"""Arms and putter of a filmed setup as a pendulum."""

import numpy as np

from putt_posture.fitting.inputs import read_inputs
from putt_posture.fitting.propagation import propagate
from putt_posture.values import Estimate, Floats, Pendulum, Posture, Student, absent

__all__ = ["read_pendulum"]


def read_pendulum(posture: Posture, student: Student) -> Pendulum:
    """Read the pendulum of a posture.

    The height of the shoulders over the hands is no measure of its own: it follows from the reach of the arms (body
    tables, elbows bent as measured) and the offset of the hands.

    Parameters
    ----------
    posture : Posture
        Needs ``hand_offset`` and ``hand_height``; without ``shaft_lie`` the usual lie is taken.
    student : Student

    Returns
    -------
    Pendulum
        With what is missing absent.
    """
    inputs = read_inputs(posture, student)
    return Pendulum(
        hand_offset=inputs.offset,
        shoulder_drop=_find_drop(inputs.offset, inputs.reach),
        hand_height=inputs.hand_height,
        lie=inputs.lie,
    )


def _find_drop(offset: Estimate, reach: Estimate) -> Estimate:
    if not offset:
        return absent(f"The hand offset is missing: {offset.absent}", unit="cm", view="down_the_line")
    if abs(offset.value) >= reach.value:
        reason = f"The hands are {abs(offset.value):.0f} cm from under the shoulders, farther than the arms reach."
        return absent(reason, unit="cm", view="down_the_line")

    def drop(offset: Floats, reach: Floats) -> Floats:
        root: Floats = np.sqrt(np.maximum(reach**2 - offset**2, 0.0))
        return root

    value, uncertainty = propagate(drop, offset=offset, reach=reach)
    return Estimate(
        value=value,
        standard_uncertainty=uncertainty,
        unit="cm",
        view="down_the_line",
        frames=offset.frames,
        method="reach by body tables, elbows bent",
    )
