"""Whether a gain of an earlier lesson was lost again."""

import math

from putt_posture.changes.change import find_changes
from putt_posture.values import MeasureChange, Measured

__all__ = ["find_drift"]


def find_drift(start: Measured | None, goal: Measured, latest: Measured) -> tuple[MeasureChange, ...]:
    """Find the measures that went back since a lesson by more than the noise.

    Parameters
    ----------
    start : Measured or None
        The setup as it was; None where it was not filmed, and then every real change since the goal counts.
    goal : Measured
        The setup as it was rebuilt.
    latest : Measured
        The setup now.

    Returns
    -------
    tuple of MeasureChange
        From goal to latest, in the order of `MEASURES`.
    """
    since = find_changes(goal, latest).measures
    gained = None if start is None else find_changes(start, goal).measures
    return tuple(
        change
        for name, change in since.items()
        if change.real and (gained is None or (gained[name].real and _opposite(gained[name], change)))
    )


def _opposite(gain: MeasureChange, loss: MeasureChange) -> bool:
    return math.copysign(1.0, gain.change.value) != math.copysign(1.0, loss.change.value)
