"""Angles between points of a plane.

Points are (…, 2): along and up. Angles are degrees. A point that is NaN gives an angle that is NaN.
"""

import numpy as np

from putt_posture.values import Floats

__all__ = ["bend_at", "inclination", "slope"]


def inclination(low: Floats, high: Floats) -> Floats:
    """Return the angle between the vertical and the line from `low` to `high`, (…,) deg.

    Positive where the upper end is farther along; −180 to 180, and 0 is straight up.

    Parameters
    ----------
    low : (…, 2)
    high : (…, 2)
        Along and up.
    """
    along, up = np.moveaxis(high - low, -1, 0)
    return np.asarray(np.degrees(np.arctan2(along, up)))


def slope(first: Floats, second: Floats) -> Floats:
    """Return how much the line from `first` to `second` rises above the horizontal, (…,) deg.

    Positive where the second point is higher; −90 to 90, on either side.

    Parameters
    ----------
    first : (…, 2)
    second : (…, 2)
        Along and up.
    """
    along, up = np.moveaxis(second - first, -1, 0)
    return np.asarray(np.degrees(np.arctan2(up, np.abs(along))))


def bend_at(first: Floats, joint: Floats, last: Floats) -> Floats:
    """Return 180° minus the angle at a joint, (…,) deg: 0 is a straight limb.

    Works in two and in three dimensions.

    Parameters
    ----------
    first : (…, 2) or (…, 3)
    joint : (…, 2) or (…, 3)
    last : (…, 2) or (…, 3)
        Points of the limb, in order.
    """
    before, after = joint - first, last - joint
    size = np.linalg.norm(before, axis=-1) * np.linalg.norm(after, axis=-1)
    with np.errstate(invalid="ignore", divide="ignore"):
        cosine = np.sum(before * after, axis=-1) / size
    return np.asarray(np.degrees(np.arccos(np.clip(cosine, -1.0, 1.0))))
