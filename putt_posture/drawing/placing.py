"""The part of a picture that a still shows, and the way between its pixels and centimetres."""

import math
from collections.abc import Iterable
from typing import Final

import numpy as np
from attrs import frozen
from numpy.typing import NDArray
from PIL import Image

from putt_posture.values import Floats, Frame, Picture, PlanePoint, Point, ViewResult

__all__ = ["Crop", "Placing", "find_crop"]


@frozen(kw_only=True)
class Placing:
    """The place of the golfer's plane in the picture.

    Attributes
    ----------
    anchor_px : Point
        A place on the ground, full-size pixels.
    anchor_cm : float
        How far along the plane that place is, cm.
    px_per_cm : float
    forward : {-1, +1}
        Sign of the picture's u toward the ball (down the line) or the target (face on).
    roll_deg : float
        Camera roll; + = a true vertical leans to the right at its top.
    """

    anchor_px: Point
    anchor_cm: float
    px_per_cm: float
    forward: int
    roll_deg: float

    def points(self, plane: Floats) -> list[Point]:
        """Map points, (N, 2) cm along and up from the ground, to the picture.

        Parameters
        ----------
        plane : Floats
            (..., 2) cm: ahead of the middle of the feet, above the ground.
        """
        roll = math.radians(self.roll_deg)
        along = self.px_per_cm * self.forward * (plane[:, 0] - self.anchor_cm)
        up = self.px_per_cm * plane[:, 1]
        u = self.anchor_px[0] + along * math.cos(roll) + up * math.sin(roll)
        v = self.anchor_px[1] + along * math.sin(roll) - up * math.cos(roll)
        return [(float(a), float(b)) for a, b in zip(u, v, strict=True)]

    def plane(self, points_px: Floats) -> Floats:
        """Map points of the picture, (N, 2) full-size pixels, to the plane, (N, 2) cm; the inverse of `points`.

        Parameters
        ----------
        points_px : Floats
            (N, 2) pixels of the whole picture.
        """
        roll = math.radians(self.roll_deg)
        du, dv = (points_px - np.array(self.anchor_px)).T
        along = (du * math.cos(roll) + dv * math.sin(roll)) * self.forward + self.px_per_cm * self.anchor_cm
        up = du * math.sin(roll) - dv * math.cos(roll)
        return np.stack([along, up], axis=-1) / self.px_per_cm

    def point(self, plane: PlanePoint) -> Point:
        """Map one point to the picture.

        Parameters
        ----------
        plane : PlanePoint
        """
        return self.points(np.array([plane]))[0]


STILL_SHORT_SIDE: Final = 1200
"""Pixels; sharp on a phone and in print at half a page's width."""
_MARGIN: Final = 0.10
"""Room around the student, in heights of the student's box."""
_BELOW: Final = 0.15
"""The same below the feet, where a label of the ball stands."""
_LEAST_ASPECT: Final = 0.72
_MOST_ASPECT: Final = 1.0
"""Preferred width over height: there is room for labels beside a standing figure."""
_SURE: Final = 128
"""Level of the mask (0 to 255) from which a pixel counts as the person."""
_SEEN: Final = 0.3
"""Visibility from which a landmark counts for the crop."""


@frozen(kw_only=True, eq=False)
class Crop:
    """A window of the full-size picture and its enlargement.

    Attributes
    ----------
    box_px : (u0, v0, u1, v1)
        In the full-size upright picture, whole pixels.
    size : (int, int)
        Width and height of the still, pixels.
    """

    box_px: tuple[int, int, int, int]
    size: tuple[int, int]

    @property
    def scale(self) -> float:
        """Pixels of the still per pixel of the full-size picture."""
        return self.size[0] / (self.box_px[2] - self.box_px[0])

    def place(self, point: Point) -> Point:
        """Map a point of the full-size picture to the still.

        Parameters
        ----------
        point : Point
            Pixels of the whole picture.
        """
        return (point[0] - self.box_px[0]) * self.scale, (point[1] - self.box_px[1]) * self.scale

    def cut(self, result: ViewResult) -> Picture:
        """Return the still's picture, (height, width, 3) RGB.

        Parameters
        ----------
        result : ViewResult
        """
        return self.cut_frame(result.still)

    def cut_frame(self, frame: Frame) -> Picture:
        """Return the same part of any picture of the clip, (height, width, 3) RGB.

        Parameters
        ----------
        frame : Frame
        """
        u0, v0, u1, v1 = (each * frame.scale for each in self.box_px)
        shown = Image.fromarray(frame.picture).resize(self.size, Image.Resampling.LANCZOS, box=(u0, v0, u1, v1))
        return np.asarray(shown)

    def cut_mask(self, result: ViewResult, size: tuple[int, int]) -> NDArray[np.float64]:
        """Return for each cell of a grid how likely it shows the student, (rows, columns), 0 to 1.

        Parameters
        ----------
        result : ViewResult
        size : tuple[int, int]
            Columns and rows of the grid.
        """
        marks = result.landmarks
        if not len(marks.masks) or not marks.masks[result.still_index].size:
            return np.zeros(size[::-1])
        u0, v0, _, _ = marks.mask_box_px
        whole = Image.fromarray(marks.masks[result.still_index])
        left, top, right, bottom = self.box_px
        window = whole.crop((left - u0, top - v0, right - u0, bottom - v0))
        return np.asarray(window.resize(size, Image.Resampling.BOX), dtype=np.float64) / 255


def find_crop(result: ViewResult, points: Iterable[Point]) -> Crop:
    """Find the window around the student.

    Parameters
    ----------
    result : ViewResult
    points : iterable of Point
        Further points that must be in it (the marks), full-size pixels.

    Returns
    -------
    Crop
        Inside the picture; its short side is `STILL_SHORT_SIDE` pixels of the still.
    """
    height = result.still.picture.shape[0] / result.still.scale
    width = result.still.picture.shape[1] / result.still.scale
    u0, v0, u1, v1 = _bounds(result, points, width=width, height=height)
    extent = max(v1 - v0, (u1 - u0) / 2, 1.0)
    margin, below = _MARGIN * extent, _BELOW * extent
    u0, v0, u1, v1 = u0 - margin, v0 - margin, u1 + margin, v1 + below
    wide, high = u1 - u0, v1 - v0
    if wide < _LEAST_ASPECT * high:
        wide = _LEAST_ASPECT * high
    elif wide > _MOST_ASPECT * high:
        high = wide / _MOST_ASPECT
    left, right = _fit((u0 + u1) / 2, wide, width)
    top, bottom = _fit((v0 + v1) / 2, high, height)
    scale = STILL_SHORT_SIDE / min(right - left, bottom - top)
    size = round((right - left) * scale), round((bottom - top) * scale)
    return Crop(box_px=(left, top, right, bottom), size=size)


def _bounds(
    result: ViewResult, points: Iterable[Point], *, width: float, height: float
) -> tuple[float, float, float, float]:
    """Return the box of everything that must be in the still; the whole picture if nothing is known."""
    marks, index, scene = result.landmarks, result.still_index, result.scene
    found = [*points, *(scene.shaft_px or ()), *([scene.ball_px] if scene.ball_px else [])]
    if len(marks.points_px):
        seen = marks.points_px[index][marks.visibility[index] >= _SEEN]
        found += [(float(u), float(v)) for u, v in seen]
    if len(marks.masks):
        rows, columns = np.nonzero(marks.masks[index] >= _SURE)
        if rows.size:
            u, v = marks.mask_box_px[:2]
            found += [
                (u + float(columns.min()), v + float(rows.min())),
                (u + float(columns.max()), v + float(rows.max())),
            ]
    inside = [
        (u, v) for u, v in found if math.isfinite(u) and math.isfinite(v) and 0 <= u <= width and 0 <= v <= height
    ]
    if not inside:
        return 0.0, 0.0, width, height
    us, vs = zip(*inside, strict=True)
    return min(us), min(vs), max(us), max(vs)


def _fit(middle: float, length: float, most: float) -> tuple[int, int]:
    """Return whole-pixel ends of a stretch of `length` around `middle`, moved and shortened to fit into 0 to `most`."""
    length = max(min(length, most), 1.0)
    low = min(max(middle - length / 2, 0.0), most - length)
    first = math.floor(low)
    return first, max(first + 1, min(math.floor(most), math.ceil(low + length)))
