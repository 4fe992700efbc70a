"""Where straight lines from inside a person leave the person's outline."""

import math
from typing import Final

import numpy as np
from scipy.ndimage import map_coordinates

from putt_posture.values import Floats, Landmarks

__all__ = ["find_exits"]

INSIDE: Final = 127.5
"""Level of the outline (0 to 255) that is its edge."""
_STEP: Final = 0.005


def find_exits(landmarks: Landmarks, index: int, *, starts_px: Floats, ray_px: Floats, reach: float) -> Floats:
    """Find how far along parallel rays the person ends, to a part of a pixel.

    Parameters
    ----------
    landmarks : Landmarks
        With its outlines.
    index : int
        Which frame.
    starts_px : (N, 2)
        Where the rays start, pixels of the full-size picture.
    ray_px : (2,)
        Direction of all of them; its length is the unit of the result.
    reach : float
        How far to look, lengths of `ray_px`.

    Returns
    -------
    (N,)
        Lengths of `ray_px`; NaN where the start is not on the person or the person does not end within reach.
    """
    steps = np.arange(0.0, reach + _STEP / 2, _STEP)
    u0, v0, *_ = landmarks.mask_box_px
    points = starts_px[:, None, :] + steps[None, :, None] * ray_px
    outline = landmarks.outlines[index].astype(np.float32)
    values = map_coordinates(outline, [points[..., 1] - v0, points[..., 0] - u0], order=1, cval=0.0)
    return np.array([_first_exit(ray, steps) for ray in values])


def _first_exit(ray: Floats, steps: Floats) -> float:
    outside = np.flatnonzero(ray < INSIDE)
    if outside.size == 0 or outside[0] == 0:
        return math.nan
    after = int(outside[0])
    share = (ray[after - 1] - INSIDE) / (ray[after - 1] - ray[after])
    return float(steps[after - 1] + share * (steps[after] - steps[after - 1]))
