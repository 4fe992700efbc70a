"""The colours of a person's shirt and trousers, so that another person at the same place is not taken for the student.

They are kept in memory for as long as the student is followed, and nowhere else.
"""

from typing import Final

import cv2
import numpy as np

from putt_posture.landmarks import Person
from putt_posture.values import LANDMARK_INDEX, Floats, Picture

__all__ = ["OTHER_CLOTHES", "colour_distance", "read_clothes"]

OTHER_CLOTHES: Final = 16.0
"""Clothes that differ by more are another person's, in the units of CIELAB (ΔE 1976), the mean of shirt and trousers.
In the sample clips a golfer differed by 9 at most from the median of the whole clip, and two people by 20 to 43."""
LIGHTNESS_WEIGHT: Final = 0.5
"""A cloud and the camera's exposure change lightness more than colour (judged)."""
_TRUNK: Final = (0.25, 0.4, 0.55, 0.7)
"""Places along the line from the shoulders to the hips."""
_ASIDE: Final = (-0.08, 0.0, 0.08)
"""Places beside that line, trunk lengths."""
_THIGH: Final = (0.3, 0.45, 0.6, 0.75)
"""Places along each line from hip to knee."""


def read_clothes(picture: Picture, person: Person) -> Floats:
    """Read the colours of shirt and trousers.

    Parameters
    ----------
    picture : (H, W, 3) uint8
    person : Person
        In its pixels.

    Returns
    -------
    (2, 3)
        CIELAB of the shirt and of the trousers, medians; NaN where they lie outside the picture.
    """
    shoulders, hips = person.torso
    along = hips - shoulders
    square = np.array([-along[1], along[0]])
    shirt = [shoulders + share * along + aside * square for share in _TRUNK for aside in _ASIDE]
    trousers = []
    for side in ("left", "right"):
        hip, knee = (person.points_px[LANDMARK_INDEX[f"{side}_{part}"]] for part in ("hip", "knee"))
        trousers += [hip + share * (knee - hip) for share in _THIGH]
    return np.stack([_median_lab(picture, np.array(points)) for points in (shirt, trousers)])


def colour_distance(one: Floats, other: Floats) -> float:
    """Return how far the colours of two people's clothes are apart, the mean of what is known of both; 0 if nothing is.

    Parameters
    ----------
    one, other : (2, 3)
        As `read_clothes` returns them.
    """
    apart = (one - other) * (LIGHTNESS_WEIGHT, 1.0, 1.0)
    distances = np.linalg.norm(apart, axis=1)
    known = np.isfinite(distances)
    return float(distances[known].mean()) if known.any() else 0.0


def _median_lab(picture: Picture, points: Floats) -> Floats:
    height, width = picture.shape[:2]
    u, v = np.rint(points).astype(int).T
    inside = (u >= 0) & (u < width) & (v >= 0) & (v < height)
    if not inside.any():
        return np.full(3, np.nan)
    colours = picture[v[inside], u[inside]][None].astype(np.float32) / 255
    return np.asarray(np.median(cv2.cvtColor(colours, cv2.COLOR_RGB2LAB)[0], axis=0), dtype=float)
