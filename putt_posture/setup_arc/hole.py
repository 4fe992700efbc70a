"""The hole and the ball: how far off a start line may be, and the chance of holing a putt by direction alone.

A. Gelman and D. Nolan, "A probability model for golf putting", *Teaching Statistics* 24 (2002): start lines scatter
normally about the middle of the hole with one sigma σ, and the putt is holed where the whole ball passes within the
hole, within asin((R − r) / x) of the middle. Speed is left out.
"""

import math
from typing import Final

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtr

from putt_posture.errors import UsageError
from putt_posture.values import Floats

__all__ = [
    "BALL_DIAMETER_CM",
    "HOLE_DIAMETER_CM",
    "PUTT_RANGE_CM",
    "check_putt",
    "find_capture_angle",
    "find_capture_share",
    "find_make_probability",
    "find_threshold_angle",
]

HOLE_DIAMETER_CM: Final = 10.8
"""4¼ inches (108 mm): Rules of Golf, Definitions, "Hole"."""
BALL_DIAMETER_CM: Final = 4.267
"""1.680 inches (42.67 mm) at least: Equipment Rules, on balls."""
FASTEST_CENTRE_M_S: Final = 1.63
"""A ball that rolls faster over the middle of the hole stays out: B. W. Holmes, *American Journal of Physics* 59 (1991)
129 (seen in a text that quotes it)."""
STIMP_RELEASE_M_S: Final = 1.83
"""Speed at which a ball leaves the stimpmeter, 6.00 ft/s (Holmes 1986, from memory); it then rolls as many feet as the
green's stimp number."""
_M_PER_FOOT: Final = 0.3048
PUTT_RANGE_CM: Final = (30.0, 3000.0)
"""A foot to a hundred feet, cm; anything else is a wrong unit."""
_ROOM_CM: Final = (HOLE_DIAMETER_CM - BALL_DIAMETER_CM) / 2


def find_capture_angle(putt_cm: float) -> float:
    """Find how far off the start line may be to either side, deg, so that the ball's centre comes within the hole.

    atan(hole radius / length of the putt): a ball that dies at the hole then falls. So this is an upper limit: a faster
    ball must come nearer the middle, see `find_capture_share`. Slope and grain are left out.

    Parameters
    ----------
    putt_cm : float
        Ball to the middle of the hole, cm.

    Raises
    ------
    UsageError
        If no putt has this length.

    Examples
    --------
    >>> round(find_capture_angle(300.0), 3)
    1.031
    """
    return math.degrees(math.atan(HOLE_DIAMETER_CM / 2 / check_putt(putt_cm)))


def find_capture_share(past_cm: float, *, stimp_ft: float) -> float:
    """Find which share of the hole's width is left to a ball that would roll past it if there were no hole, 0 to 1.

    √(1 − v / 1.63 m/s), v the ball's speed at the hole: the fastest ball that falls slows with the square of how far
    its line passes from the middle (A. R. Penner, *Canadian Journal of Physics* 80 (2002) 83, from memory). Its
    deceleration is constant and follows from the stimpmeter.

    Parameters
    ----------
    past_cm : float
        How far it would roll past the hole.
    stimp_ft : float
        Speed of the green, feet.

    Examples
    --------
    >>> round(find_capture_share(0.0, stimp_ft=10.0), 2), round(find_capture_share(40.0, stimp_ft=10.0), 2)
    (1.0, 0.77)
    """
    deceleration = STIMP_RELEASE_M_S**2 / (2 * _M_PER_FOOT * stimp_ft)
    speed = math.sqrt(2 * deceleration * max(past_cm, 0.0) / 100)
    return math.sqrt(max(1 - speed / FASTEST_CENTRE_M_S, 0.0))


def check_putt(putt_cm: float) -> float:
    """Check that a length, cm, is possible for a putt and return it.

    Parameters
    ----------
    putt_cm : float
        Ball to the middle of the hole, cm.
    """
    low, high = PUTT_RANGE_CM
    if not low <= putt_cm <= high:
        raise UsageError(
            f"A putt of {putt_cm:g} cm was given; {low:g} cm to {high / 100:g} m is possible; check the number and its "
            "unit."
        )
    return putt_cm


def find_threshold_angle(putt_cm: ArrayLike) -> Floats:
    """Find within which angle of the middle the whole ball passes within the hole, deg; 90° where it starts there.

    Parameters
    ----------
    putt_cm : float or array
        Ball to the middle of the hole, cm.
    """
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
        One sigma of the start line, including aim and read; above 0.

    Examples
    --------
    >>> round(float(find_make_probability(304.8, sigma_deg=1.527)), 3)
    0.312
    """
    chance: Floats = 2 * ndtr(find_threshold_angle(putt_cm) / np.asarray(sigma_deg)) - 1
    return chance
