"""The hole and the ball: how far off a start line may be."""

import math
from typing import Final

from putt_posture.errors import UsageError

__all__ = ["BALL_DIAMETER_CM", "HOLE_DIAMETER_CM", "PUTT_RANGE_CM", "check_putt", "find_capture_angle"]

HOLE_DIAMETER_CM: Final = 10.8
"""4¼ inches (108 mm): Rules of Golf, Definitions, "Hole"."""

BALL_DIAMETER_CM: Final = 4.267
"""1.680 inches (42.67 mm) at least: Equipment Rules, on balls."""

PUTT_RANGE_CM: Final = (30.0, 3000.0)
"""A foot to a hundred feet; anything else is a slip of the unit."""


def find_capture_angle(putt_cm: float) -> float:
    """Find how far off the start line may be to either side, deg, so that the ball's centre comes within the hole.

    atan(hole radius / length of the putt): a ball that dies at the hole then falls. A faster one needs to come nearer
    the middle; speed, slope and grain are left out.

    Raises
    ------
    UsageError
        If the length is no putt.

    Examples
    --------
    >>> round(find_capture_angle(300.0), 3)
    1.031
    """
    return math.degrees(math.atan(HOLE_DIAMETER_CM / 2 / check_putt(putt_cm)))


def check_putt(putt_cm: float) -> float:
    """Check that a length, cm, can be a putt's and return it."""
    low, high = PUTT_RANGE_CM
    if not low <= putt_cm <= high:
        raise UsageError(
            f"A putt of {putt_cm:g} cm was given; {low:g} cm to {high / 100:g} m is possible; check the number and its "
            "unit."
        )
    return putt_cm
