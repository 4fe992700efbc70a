"""How much a person looks like a golfer at address: bent, hands low and together.

All of it is in lengths of the trunk and angles, from pixels with v down, so that size and place do not matter.
Every share is 0 to 1.
"""

from typing import Final

import numpy as np

from putt_posture.landmarks.person import Person
from putt_posture.values import LANDMARK_INDEX, View

__all__ = ["address_likeness"]

HANDS_TOGETHER: Final = (0.35, 0.65)
"""Wrists this near each other are on one grip; this far, they are not (trunk lengths)."""

HANDS_LOW: Final = (0.35, 0.75)
"""Wrists this far below the shoulders are up; this far, they hang (trunk lengths)."""

BENT_DEG: Final = (8.0, 22.0)
"""Down the line: an upright trunk, and one that bends as the least bent putters do (common practice 20 to 50°)."""

HANDS_AHEAD: Final = (0.0, 0.25)
"""Down the line: wrists beside the hips, and in front of them (trunk lengths)."""

_LEAST_TRUNK: Final = 1.0


def address_likeness(person: Person, *, view: View) -> float:
    """Return how much a person looks like someone at address in the given view, 0 to 1.

    Parameters
    ----------
    person : Person
        In upright pixels.
    view : View
        Face on the bend of the trunk is hardly seen, so that only the hands count.
    """
    shoulders, hips = person.torso
    trunk = max(person.torso_length, _LEAST_TRUNK)
    wrists = person.points_px[[LANDMARK_INDEX["left_wrist"], LANDMARK_INDEX["right_wrist"]]]
    hands = wrists.mean(axis=0)
    likeness = 1 - _rise(np.hypot(*(wrists[0] - wrists[1])) / trunk, HANDS_TOGETHER)
    likeness *= _rise((hands[1] - shoulders[1]) / trunk, HANDS_LOW)
    if view == "down_the_line":
        lean_deg = float(np.degrees(np.arctan2(shoulders[0] - hips[0], hips[1] - shoulders[1])))
        likeness *= _rise(abs(lean_deg), BENT_DEG)
        likeness *= _rise(np.sign(lean_deg) * (hands[0] - hips[0]) / trunk, HANDS_AHEAD)
    return float(likeness)


def _rise(value: float, limits: tuple[float, float]) -> float:
    """0 up to the first limit, 1 from the second on, straight between."""
    low, high = limits
    return float(np.clip((value - low) / (high - low), 0.0, 1.0))
