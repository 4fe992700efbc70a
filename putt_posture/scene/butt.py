"""The butt end where the down-the-line picture does not show it."""

import math
from typing import Final

from putt_posture.values import Estimate

__all__ = ["GRIP_LENGTH_CM", "estimate_hidden_butt"]

GRIP_LENGTH_CM: Final = 26.7
"""A putter grip from butt to lower end: 10.5 in (common practice)."""
GRIP_LENGTH_SD_CM: Final = 1.75
"""Between grips, one sigma: most are 10 to 11 in long (common practice), and some a little longer. Those that are half
as long again, for long putters, make the two ways below disagree."""
CHOKE_DOWN_CM: Final = 2.0
"""How far below the end most people hold a putter, cm: bought off the rack, it is too long for a bent stance more often
than too short (common practice), and it cannot be held above its butt."""
HABIT_SD_CM: Final = 3.0
"""How much that differs between people, one sigma, cm (judged)."""
_ABOVE_HANDS_CM: Final = (3.0, 22.0)
"""Range of the butt above the hand centre, cm; a grip end that gives another place is something else."""
_APART: Final = 2.0
"""Farther apart than this many combined sigmas, the two ways are not averaged; half of their difference is
uncertainty."""


def estimate_hidden_butt(grip_end: float | None, grip_distance: Estimate, *, px_per_cm: float) -> tuple[float, float]:
    """Estimate a hidden butt end in two ways: where hands usually are on a grip, and how long grips usually are.

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
    hands, hands_sd = grip_distance.value + CHOKE_DOWN_CM, math.hypot(grip_distance.standard_uncertainty, HABIT_SD_CM)
    by_grip = math.nan if grip_end is None else GRIP_LENGTH_CM - grip_end / px_per_cm
    low, high = _ABOVE_HANDS_CM
    if not low <= by_grip <= high:
        return -hands * px_per_cm, hands_sd
    weight = hands_sd**2 / (hands_sd**2 + GRIP_LENGTH_SD_CM**2)
    above = weight * by_grip + (1 - weight) * hands
    joint = math.sqrt(weight) * GRIP_LENGTH_SD_CM
    apart = abs(by_grip - hands)
    if apart > _APART * math.hypot(hands_sd, GRIP_LENGTH_SD_CM):
        joint = math.hypot(joint, apart / 2)
    return -above * px_per_cm, joint
