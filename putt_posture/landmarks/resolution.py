"""The resolution of a picture of a student: the size of the smallest detail that it shows.

A picture that was enlarged, or blurred by motion, has more pixels than details. To measure this, the picture is made
smaller and then larger again. A sharp picture loses detail by that. An enlarged one does not, until it is made smaller
than it was before.
"""

from typing import Final

import cv2
import numpy as np

from putt_posture.values import Floats, Picture

__all__ = ["find_resolution"]

STEPS: Final = (1.5, 2.0, 3.0, 4.0, 6.0, 8.0, 12.0, 16.0)
"""Factors by which the picture is made smaller, in this order."""
COARSE: Final = 24.0
"""At this factor only the body's shape is left."""
LOST: Final = 0.12
"""Share of the detail, as root mean square, whose loss does not count. By the first step, sharp pictures of rendered
golfers and of people lost 0.13 to 0.30; enlarged ones lost this much at a half to a third of their enlargement."""
ROOM: Final = 0.05


def find_resolution(picture: Picture, points_px: Floats) -> float:
    """Find the size of the smallest detail that a picture of a student shows, pixels.

    Parameters
    ----------
    picture : (H, W, 3) uint8
    points_px : (33, 2)
        Where the student is; NaN where unseen.

    Returns
    -------
    float
        1 in a sharp picture; a half to a third of k in one that was enlarged k times.
    """
    body = _cut(picture, points_px)
    if body is None:
        return 1.0
    whole = _lost(body, COARSE)
    resolution = 1.0
    for step in STEPS:
        if min(body.shape) < 2 * step or _lost(body, step) > LOST * whole:
            break
        resolution = step
    return resolution


def _lost(body: Floats, times: float) -> float:
    """Return the root mean square of what is lost when the picture is made smaller by a factor, and larger again."""
    height, width = body.shape
    size = (max(round(width / times), 1), max(round(height / times), 1))
    small = cv2.resize(body, size, interpolation=cv2.INTER_AREA)
    again = cv2.resize(small, (width, height), interpolation=cv2.INTER_CUBIC)
    return float(np.sqrt(np.mean((again - body) ** 2)))


def _cut(picture: Picture, points_px: Floats) -> Floats | None:
    """Return the student's part of the picture in grey, 0 to 255; None where no point is seen."""
    seen = points_px[np.isfinite(points_px).all(axis=1)]
    if len(seen) == 0:
        return None
    low, high = seen.min(axis=0), seen.max(axis=0)
    room = ROOM * float((high - low).max())
    (u0, v0), (u1, v1) = np.maximum(low - room, 0).astype(int), (high + room).astype(int)
    part = picture[v0:v1, u0:u1]
    if min(part.shape[:2]) < 2:
        return None
    return np.asarray(cv2.cvtColor(part, cv2.COLOR_RGB2GRAY).astype(np.float64))
