"""Where the feet and the ball are in a picture: nothing may be written on them, or on the way over them.

A foot is told from its landmarks, as a hull of discs about heel, tip of the toe and ankle, and from the student's
outline, of which counts what is near that hull or below the lower ankle. Pixels of the full-size picture, v down.
"""

import math
from collections.abc import Iterator
from typing import Final

import cv2
import numpy as np
from attrs import frozen
from numpy.typing import NDArray
from PIL import Image

from putt_posture.drawing.placing import Crop
from putt_posture.values import LANDMARK_INDEX, Floats, KeptView, Point, ViewResult

__all__ = ["BALL_CM", "Standing", "find_feet_and_ball"]

BALL_CM: Final = 2.135
"""Radius; 42.67 mm across, the least that the Equipment Rules allow."""
_SHOE_CM: Final = 2.5
"""What counts as foot about its landmarks even where no outline is seen (judged)."""
_SHOE_SHARE: Final = 0.017
"""The same as a share of the outline's height, where there is no scale."""
_NEAR: Final = 3.5
"""How far about the landmarks the outline counts as foot, in the same: soles lie below the landmarks."""
_SURE: Final = 128
_CELL: Final = 4
"""Pixels of the still to a cell."""


@frozen(kw_only=True, eq=False)
class Standing:
    """What stands on the ground in one view.

    Attributes
    ----------
    joints_px : (33, 2)
        Joint centres, full-size pixels, in the order of `LANDMARK_NAMES`; NaN where unseen.
    outline : (h, w) uint8
        Probability that each pixel of `outline_box_px` is the student, 0 to 255; may be empty.
    outline_corner_px : (u, v)
        Top left of the outline in the full-size picture.
    ball_px : Point or None
    px_per_cm : float or None
    """

    joints_px: Floats
    outline: NDArray[np.uint8]
    outline_corner_px: tuple[int, int]
    ball_px: Point | None
    px_per_cm: float | None

    @classmethod
    def of(cls, view: ViewResult | KeptView) -> "Standing":
        """Take it from a view, measured or kept.

        Parameters
        ----------
        view : ViewResult or KeptView
        """
        if isinstance(view, KeptView):
            scale = view.record.px_per_cm
            return cls(
                joints_px=view.joints_px,
                outline=view.outline,
                outline_corner_px=view.outline_box_px[:2],
                ball_px=view.record.ball_px,
                px_per_cm=scale.value if scale else None,
            )
        marks, row, scale = view.landmarks, view.still_index, view.scene.px_per_cm
        return cls(
            joints_px=view.joints.points_px[row],
            outline=marks.outlines[row] if len(marks.outlines) else np.zeros((0, 0), np.uint8),
            outline_corner_px=(int(marks.mask_box_px[0]), int(marks.mask_box_px[1])),
            ball_px=view.scene.ball_px,
            px_per_cm=scale.value if scale else None,
        )

    @property
    def shoe_px(self) -> float:
        """What counts as foot about its landmarks, full-size pixels."""
        if self.px_per_cm is not None:
            return _SHOE_CM * self.px_per_cm
        return _SHOE_SHARE * float(max(self.outline.shape[0], 1))

    def foot(self, side: str) -> Floats:
        """Return heel, tip of the toe and ankle of a side as far as they are seen, (N, 2) full-size pixels.

        Parameters
        ----------
        side : {"left", "right"}
        """
        points = np.array([self.joints_px[LANDMARK_INDEX[f"{side}_{n}"]] for n in ("heel", "foot_index", "ankle")])
        return np.asarray(points[np.isfinite(points).all(axis=1)])


def find_feet_and_ball(standing: Standing, crop: Crop) -> NDArray[np.bool_]:
    """Find the cells of a still that are feet or ball, (rows, columns) spread evenly over it.

    Parameters
    ----------
    standing : Standing
    crop : Crop
        The still.
    """
    size = -(-crop.size[0] // _CELL), -(-crop.size[1] // _CELL)
    found = np.zeros(size[::-1], dtype=np.uint8)
    cells = size[0] / crop.size[0] * crop.scale
    person = _outline_on(standing, crop, size)
    ankles = [standing.joints_px[LANDMARK_INDEX[f"{side}_ankle"], 1] for side in ("left", "right")]
    if np.isfinite(ankles).any():
        below = (float(np.nanmax(ankles)) - crop.box_px[1]) * cells
        found |= person & (np.arange(size[1]) >= math.floor(below))[:, None].astype(np.uint8)
    for points in _feet(standing):
        spots = (points - crop.box_px[:2]) * cells
        reach = standing.shoe_px * cells
        found |= _hull(spots, reach, size)
        found |= _hull(spots, _NEAR * reach, size) & person
    if standing.ball_px is not None and standing.px_per_cm is not None:
        middle = (np.array([standing.ball_px]) - crop.box_px[:2]) * cells
        found |= _hull(middle, BALL_CM * standing.px_per_cm * cells, size)
    return found.astype(bool)


def _feet(standing: Standing) -> Iterator[Floats]:
    for side in ("left", "right"):
        points = standing.foot(side)
        if len(points):
            yield points


def _outline_on(standing: Standing, crop: Crop, size: tuple[int, int]) -> NDArray[np.uint8]:
    if not standing.outline.size:
        return np.zeros(size[::-1], dtype=np.uint8)
    (u0, v0), (left, top, right, bottom) = standing.outline_corner_px, crop.box_px
    window = Image.fromarray(standing.outline).crop((left - u0, top - v0, right - u0, bottom - v0))
    return (np.asarray(window.resize(size, Image.Resampling.BOX)) >= _SURE).astype(np.uint8)


def _hull(points: Floats, reach: float, size: tuple[int, int]) -> NDArray[np.uint8]:
    """Return the hull of discs about points, cells; each is rounded up."""
    canvas = np.zeros(size[::-1], dtype=np.uint8)
    angle = np.linspace(0.0, 2 * np.pi, 24, endpoint=False)
    rim = points[:, None, :] + (reach + 1.0) * np.stack([np.cos(angle), np.sin(angle)], axis=-1)
    ring = cv2.convexHull(np.clip(rim.reshape(-1, 2), -1e4, 1e4).astype(np.float32))
    cv2.fillConvexPoly(canvas, np.rint(ring).astype(np.int32), 1)
    return canvas
