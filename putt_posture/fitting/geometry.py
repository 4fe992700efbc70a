"""Putter and hands in the plane across the target line.

Angles are degrees, lengths centimetres; every argument may be a number or an array, and they broadcast. Lie is from the
horizontal.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from putt_posture.values import Floats

__all__ = ["find_hand_height", "find_length", "find_lie", "find_putter_length", "find_toe_lift"]

_LIE_LIMITS_DEG: Final = (30.0, 90.0)
"""Least and greatest lie in the spread, so that no sine comes near 0."""


def find_putter_length(hand_height: ArrayLike, lie: ArrayLike, grip_distance: ArrayLike) -> Floats:
    """Find the length along the shaft, butt to sole, that reaches the ground from hands at a height.

    length = hand height / sin(lie) + distance from the butt to the hand centre.

    Parameters
    ----------
    hand_height : float or array
        Hand centre above the ground, cm.
    lie : float or array
        Shaft to ground, deg.
    grip_distance : float or array
        Butt to hand centre along the shaft, cm.

    Examples
    --------
    >>> round(float(find_putter_length(71.0, 71.0, 8.0)), 1)
    83.1
    """
    length: Floats = np.asarray(hand_height) / np.sin(np.radians(lie)) + np.asarray(grip_distance)
    return length


def find_length(hand_height: ArrayLike, lie: ArrayLike, grip_distance: ArrayLike) -> Floats:
    """Find the putter length, cm, with the spread of the lie cut off before the sine comes near 0.

    Parameters
    ----------
    hand_height : float or array
        Hand centre above the ground, cm.
    lie : float or array
        Shaft to ground, deg.
    grip_distance : float or array
        Butt to hand centre along the shaft, cm.
    """
    return find_putter_length(hand_height, np.clip(lie, *_LIE_LIMITS_DEG), grip_distance)


def find_hand_height(putter_length: ArrayLike, lie: ArrayLike, grip_distance: ArrayLike) -> Floats:
    """Find how high a putter of a length holds the hands; the inverse of `find_putter_length`.

    Parameters
    ----------
    putter_length : float or array
        Butt to sole along the shaft, cm.
    lie : float or array
        Shaft to ground, deg.
    grip_distance : float or array
        Butt to hand centre along the shaft, cm.
    """
    height: Floats = (np.asarray(putter_length) - np.asarray(grip_distance)) * np.sin(np.radians(lie))
    return height


def find_lie(putter_length: ArrayLike, hand_height: ArrayLike, grip_distance: ArrayLike) -> Floats:
    """Find the lie at which a putter reaches the ground from hands at a height, deg.

    NaN where the putter is too short to reach.

    Parameters
    ----------
    putter_length : float or array
        Butt to sole along the shaft, cm.
    hand_height : float or array
        Hand centre above the ground, cm.
    grip_distance : float or array
        Butt to hand centre along the shaft, cm.
    """
    below = np.asarray(putter_length, dtype=np.float64) - np.asarray(grip_distance)
    with np.errstate(divide="ignore", invalid="ignore"):
        sine = np.asarray(hand_height) / below
    reaches = (sine > 0) & (sine <= 1)
    lie: Floats = np.where(reaches, np.degrees(np.arcsin(np.where(reaches, sine, 0.0))), np.nan)
    return lie


def find_toe_lift(putter_lie: ArrayLike, shaft_lie: ArrayLike, head_length: ArrayLike) -> Floats:
    """Find how far the toe of a putter head is off the ground where the shaft is not at the putter's own lie, cm.

    lift = head length · sin(lie of the putter − lie of the shaft): with the hands lower than the putter was made for
    the heel rests and the toe rises (+); with the hands higher the heel rises (−).

    Parameters
    ----------
    putter_lie : float or array
        Lie of the putter itself, deg.
    shaft_lie : float or array
        Shaft to ground as it is held, deg.
    head_length : float or array
        Heel to toe, cm.

    Examples
    --------
    >>> round(float(find_toe_lift(71.0, 69.0, 11.5)), 2)
    0.4
    """
    turn = np.asarray(putter_lie, dtype=np.float64) - np.asarray(shaft_lie)
    return np.asarray(np.asarray(head_length) * np.sin(np.radians(turn)))
