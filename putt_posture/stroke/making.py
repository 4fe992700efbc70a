"""The chance of holing a putt by direction alone.

A. Gelman and D. Nolan, "A probability model for golf putting", *Teaching Statistics* 24 (2002): start lines scatter
normally about the middle of the hole with one sigma σ, and the putt is holed where the whole ball passes within the
hole, within asin((R − r) / x) of the middle. Speed is left out.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtr

from putt_posture.stroke.hole import BALL_DIAMETER_CM, HOLE_DIAMETER_CM
from putt_posture.values import Floats

__all__ = ["find_make_probability", "find_threshold_angle"]

_ROOM_CM: Final = (HOLE_DIAMETER_CM - BALL_DIAMETER_CM) / 2


def find_threshold_angle(putt_cm: ArrayLike) -> Floats:
    """Find within which angle of the middle the whole ball passes within the hole, deg; 90° where it starts there."""
    ratio = np.minimum(_ROOM_CM / np.maximum(np.asarray(putt_cm, dtype=np.float64), _ROOM_CM), 1.0)
    angle: Floats = np.degrees(np.arcsin(ratio))
    return angle


def find_make_probability(putt_cm: ArrayLike, *, sigma_deg: ArrayLike) -> Floats:
    """Find the chance of holing a putt, 0 to 1: 2 Φ(asin((R − r) / x) / σ) − 1.

    Parameters
    ----------
    putt_cm : float or array
        Ball to the middle of the hole.
    sigma_deg : float or array
        One sigma of the start line, aim and read included; above nought.

    Examples
    --------
    >>> round(float(find_make_probability(304.8, sigma_deg=1.527)), 3)
    0.312
    """
    chance: Floats = 2 * ndtr(find_threshold_angle(putt_cm) / np.asarray(sigma_deg)) - 1
    return chance
