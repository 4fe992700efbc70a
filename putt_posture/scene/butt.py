"""Where a butt end is that the down-the-line picture does not show."""

import math
from typing import Final

from putt_posture.values import Estimate

__all__ = ["GRIP_LENGTH_CM", "judge_butt"]

GRIP_LENGTH_CM: Final = 26.7
"""A putter grip from butt to lower end: 10.5 in (common practice)."""
GRIP_LENGTH_SD_CM: Final = 2.5
"""Between grips, one sigma (judged); grips for long putters are half as long again."""
HABIT_SD_CM: Final = 2.5
"""How much more a grip may show above the hands than is usual, one sigma (judged)."""
_APART: Final = 2.0
"""Further apart than so many joint sigmas, the two ways do not average; half of what parts them is uncertainty."""


def judge_butt(grip_end: float | None, grip_distance: Estimate, *, px_per_cm: float) -> tuple[float, float]:
    """Judge a hidden butt end from two sides: where hands usually sit on a grip, and how long grips usually are.

    Parameters
    ----------
    grip_end : float or None
        Where the grip ends below the hands, px along the shaft from the hand centre; None where that is hidden too.
    grip_distance : Estimate
        From the butt to the hand centre with the usual hold, cm.
    px_per_cm : float

    Returns
    -------
    distance : float
        Along the shaft from the hand centre, px; negative, since the butt is above.
    standard_uncertainty : float
        Cm.
    """
    hands_sd = math.hypot(grip_distance.standard_uncertainty, HABIT_SD_CM)
    if grip_end is None:
        return -grip_distance.value * px_per_cm, hands_sd
    by_grip = GRIP_LENGTH_CM - grip_end / px_per_cm
    weight = hands_sd**2 / (hands_sd**2 + GRIP_LENGTH_SD_CM**2)
    above = max(weight * by_grip + (1 - weight) * grip_distance.value, 0.0)
    joint = math.sqrt(weight) * GRIP_LENGTH_SD_CM
    apart = abs(by_grip - grip_distance.value)
    if apart > _APART * math.hypot(hands_sd, GRIP_LENGTH_SD_CM):
        joint = math.hypot(joint, apart / 2)
    return -above * px_per_cm, joint
