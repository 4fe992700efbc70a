"""Straight lines from inside a person: where they leave the person's outline."""

import math
from typing import Final

import numpy as np

from putt_posture.values import Floats, Landmarks

__all__ = ["find_exits"]

INSIDE: Final = 127.5
"""Level of the outline (0 to 255) that is its edge."""
SOFT: Final = (0.16 * 255, 0.84 * 255)
"""Levels of the outline one sigma on either side of a blurred step."""
_STEP: Final = 0.005
_AROUND: Final = 0.08


def find_exits(
    landmarks: Landmarks, index: int, *, starts_px: Floats, ray_px: Floats, reach: float
) -> tuple[Floats, Floats]:
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
    exits : (N,)
        Lengths of `ray_px`; NaN where the start is not on the person or the person does not end within reach.
    widths : (N,)
        Width of the outline's edge there, in the same unit: small where the edge was seen in the picture.
    """
    from scipy.ndimage import map_coordinates  # imported here, so that the records of the measures do not load it

    steps = np.arange(0.0, reach + _STEP / 2, _STEP)
    u0, v0, *_ = landmarks.mask_box_px
    points = starts_px[:, None, :] + steps[None, :, None] * ray_px
    outline = landmarks.outlines[index].astype(np.float32)
    values = map_coordinates(outline, [points[..., 1] - v0, points[..., 0] - u0], order=1, cval=0.0)
    exits = np.array([_first_exit(ray, steps) for ray in values])
    soft = (values > SOFT[0]) & (values < SOFT[1]) & (np.abs(steps - exits[:, None]) < _AROUND)
    return exits, np.where(np.isfinite(exits), _STEP * soft.sum(axis=1), np.nan)


def _first_exit(ray: Floats, steps: Floats) -> float:
    outside = np.flatnonzero(ray < INSIDE)
    if outside.size == 0 or outside[0] == 0:
        return math.nan
    after = int(outside[0])
    share = (ray[after - 1] - INSIDE) / (ray[after - 1] - ray[after])
    return float(steps[after - 1] + share * (steps[after] - steps[after - 1]))
