"""Putter, hands and trunk in the plane across the target line.

Angles are degrees, lengths centimetres; every argument may be a number or an array, and they broadcast. Tilt is from
the vertical, + toward the ball; lie is from the horizontal; offset is hands minus shoulders, + toward the ball.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from putt_posture.values import Floats

__all__ = [
    "TILT_RANGE_DEG",
    "find_hand_height",
    "find_hanging_height",
    "find_lie",
    "find_putter_length",
    "find_sine_over_hands",
    "find_tilt_over_hands",
]

TILT_RANGE_DEG: Final = (0.0, 60.0)
"""Tilts that are suggested. ISO 11226:2000 does not recommend holding the trunk beyond 60° (from memory)."""


def find_putter_length(hand_height: ArrayLike, lie: ArrayLike, grip_distance: ArrayLike) -> Floats:
    """Find the length along the shaft, butt to sole, that reaches the ground from hands at a height.

    length = hand height / sin(lie) + distance from the butt to the hand centre.

    Examples
    --------
    >>> round(float(find_putter_length(71.0, 71.0, 8.0)), 1)
    83.1
    """
    length: Floats = np.asarray(hand_height) / np.sin(np.radians(lie)) + np.asarray(grip_distance)
    return length


def find_hand_height(putter_length: ArrayLike, lie: ArrayLike, grip_distance: ArrayLike) -> Floats:
    """Find how high a putter of a length holds the hands; the inverse of `find_putter_length`."""
    height: Floats = (np.asarray(putter_length) - np.asarray(grip_distance)) * np.sin(np.radians(lie))
    return height


def find_lie(putter_length: ArrayLike, hand_height: ArrayLike, grip_distance: ArrayLike) -> Floats:
    """Find the lie at which a putter reaches the ground from hands at a height, deg.

    NaN where the putter is too short to reach.
    """
    below = np.asarray(putter_length, dtype=np.float64) - np.asarray(grip_distance)
    with np.errstate(divide="ignore", invalid="ignore"):
        sine = np.asarray(hand_height) / below
    reaches = (sine > 0) & (sine <= 1)
    lie: Floats = np.where(reaches, np.degrees(np.arcsin(np.where(reaches, sine, 0.0))), np.nan)
    return lie


def find_sine_over_hands(tilt: ArrayLike, offset: ArrayLike, trunk: ArrayLike, *, share: ArrayLike = 1.0) -> Floats:
    """Find the sine of the tilt that brings the shoulders over the hands; outside −1 to 1 where none does.

    The trunk turns about the hips by `share` of the offset, and the hands come in by the rest of it:
    sin θ' = sin θ + share · offset / trunk.
    """
    sine: Floats = np.sin(np.radians(tilt)) + np.asarray(share) * np.asarray(offset) / np.asarray(trunk)
    return sine


def find_tilt_over_hands(tilt: ArrayLike, offset: ArrayLike, trunk: ArrayLike, *, share: ArrayLike = 1.0) -> Floats:
    """Find the tilt that brings the shoulders over the hands, deg.

    Kept within `TILT_RANGE_DEG`, or on the near side of the present tilt where that is outside already.

    Examples
    --------
    >>> round(float(find_tilt_over_hands(26.0, 10.0, 50.0)), 1)
    39.7
    >>> round(float(find_tilt_over_hands(26.0, 10.0, 50.0, share=0.5)), 1)
    32.6
    """
    low, high = np.sin(np.radians(TILT_RANGE_DEG))
    now = np.sin(np.radians(tilt))
    sine = find_sine_over_hands(tilt, offset, trunk, share=share)
    wanted: Floats = np.degrees(np.arcsin(np.clip(sine, np.minimum(low, now), np.maximum(high, now))))
    return wanted


def find_hanging_height(
    hand_height: ArrayLike, offset: ArrayLike, reach: ArrayLike, *, shoulder_drop: ArrayLike = 0.0
) -> Floats:
    """Find the height of the hands once they hang straight under the shoulders.

    height' = height − drop of the shoulders − reach · (1 − cos α), where sin α = offset / reach: an arm that slants
    holds its hand higher under the shoulder than one that hangs.

    Parameters
    ----------
    hand_height, offset : array_like
        As measured, cm.
    reach : array_like
        Shoulder to hand centre in the plane, cm.
    shoulder_drop : array_like
        How far the shoulders come down meanwhile, cm.
    """
    sine = np.clip(np.asarray(offset) / np.asarray(reach), -1.0, 1.0)
    slack = np.asarray(reach) * (1.0 - np.sqrt(1.0 - sine**2))
    height: Floats = np.asarray(hand_height) - np.asarray(shoulder_drop) - slack
    return height
