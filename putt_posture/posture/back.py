"""The outline of the back, and how rounded it is.

The outline is read off the person's refined mask along lines square to the spine line (mid-hip to mid-shoulder):
station t = 0 is the hip joints, 1 the shoulder joints; the outline's distance r behind the spine line is in the same
unit as the spine line's length. It is a contour of clothes and skin, not of vertebrae, and no clinical angle.

Where the tangents are taken: the top of the pelvis (iliac crest) stands at 0.30 of the height from trochanter
to acromion and the base of the neck (C7) at 1.14, from the mean heights of ANSUR II 2012 (men: trochanterion
901 mm, iliocristale 1062 mm, acromion 1441 mm, cervicale 1517 mm).
"""

import math
from typing import Final

import numpy as np
from attrs import field, frozen
from scipy.ndimage import gaussian_filter1d

from putt_posture.posture.rays import find_exits
from putt_posture.values import Floats, Landmarks, Point

__all__ = ["BackOutline", "read_back_outline"]

LOW_WINDOW: Final = (0.30, 0.52)
"""Just above the pelvis: from the iliac crest up."""
HIGH_WINDOW: Final = (1.05, 1.25)
"""The base of the neck, on both sides of C7."""

_STATIONS: Final = np.linspace(-0.1, 1.30, 113)
_REACH: Final = 0.75
_SMOOTH: Final = 3.0
_MIN_STATIONS: Final = 40
_MIN_IN_WINDOW: Final = 10


@frozen(kw_only=True, eq=False)
class BackOutline:
    """The back of one frame.

    Attributes
    ----------
    hip_px, shoulder_px : (2,)
        Ends of the spine line, pixels.
    rear : (2,)
        Unit vector square to the spine line, toward the back, in the picture.
    stations : (N,)
        Where along the spine line (0 hips, 1 shoulders).
    behind : (N,)
        Distance of the outline behind the spine line, in lengths of it; NaN where not found.
    """

    hip_px: Floats
    shoulder_px: Floats
    rear: Floats
    stations: Floats = field(repr=False)
    behind: Floats = field(repr=False)

    @property
    def length_px(self) -> float:
        """Length of the spine line, pixels."""
        return float(np.hypot(*(self.shoulder_px - self.hip_px)))

    def behind_at(self, station: float) -> float:
        """Return the distance of the outline behind the spine line at a station, in lengths of it; NaN if unseen."""
        seen = np.isfinite(self.behind)
        if not seen.any() or not self.stations[seen][0] <= station <= self.stations[seen][-1]:
            return math.nan
        return float(np.interp(station, self.stations[seen], self.behind[seen]))

    def rounding_deg(self) -> float:
        """Return the angle between the tangents above the pelvis and at the base of the neck, deg; + = rounded."""
        low, high = self._tangent(LOW_WINDOW), self._tangent(HIGH_WINDOW)
        return math.degrees(math.atan(low[1]) - math.atan(high[1]))

    def polyline(self) -> tuple[Point, ...]:
        """Return the outline from pelvis to neck in pixels."""
        seen = np.isfinite(self.behind) & (self.stations >= LOW_WINDOW[0] - 0.1) & (self.stations <= HIGH_WINDOW[1])
        pairs = zip(self.stations[seen], self.behind[seen], strict=True)
        return tuple(self._place(float(station), float(behind)) for station, behind in pairs)

    def tangents(self, *, reach: float = 0.28) -> tuple[Point, ...]:
        """Return low point, a point up its tangent, high point, a point up its tangent, pixels; empty if unseen."""
        points: list[Point] = []
        for window in (LOW_WINDOW, HIGH_WINDOW):
            middle, (start, steep) = sum(window) / 2, self._tangent(window)
            points += [self._place(middle, start), self._place(middle + reach, start + reach * steep)]
        return tuple(points) if np.isfinite(points).all() else ()

    def _tangent(self, window: tuple[float, float]) -> tuple[float, float]:
        """Return the distance behind the spine line in the middle of a window and its slope there; NaN if unseen."""
        inside = np.isfinite(self.behind) & (self.stations >= window[0]) & (self.stations <= window[1])
        if inside.sum() < _MIN_IN_WINDOW:
            return math.nan, math.nan
        slope, start = np.polyfit(self.stations[inside] - sum(window) / 2, self.behind[inside], 1)
        return float(start), float(slope)

    def _place(self, station: float, behind: float) -> Point:
        spine = self.shoulder_px - self.hip_px
        point = self.hip_px + station * spine + behind * float(np.hypot(*spine)) * self.rear
        return float(point[0]), float(point[1])


def read_back_outline(landmarks: Landmarks, index: int, *, forward: int) -> BackOutline:
    """Read the outline of the back in one frame, down the line.

    Parameters
    ----------
    landmarks : Landmarks
        With its outlines.
    index : int
        Which frame.
    forward : int
        +1 where the ball side is to the right of the picture, else −1.

    Returns
    -------
    BackOutline
        `behind` is NaN at stations where the spine line leaves the person or the outline leaves the mask.
    """
    hip, shoulder = landmarks.middle("hip")[index], landmarks.middle("shoulder")[index]
    spine = shoulder - hip
    length = float(np.hypot(*spine))
    rear = forward * np.array([spine[1], -spine[0]]) / length
    behind = np.full(_STATIONS.size, np.nan)
    if math.isfinite(length) and length > 0:
        starts = hip + _STATIONS[:, None] * spine
        behind = _smooth(find_exits(landmarks, index, starts_px=starts, ray_px=length * rear, reach=_REACH))
    return BackOutline(hip_px=hip, shoulder_px=shoulder, rear=rear, stations=_STATIONS, behind=behind)


def _smooth(behind: Floats) -> Floats:
    seen = np.isfinite(behind)
    if seen.sum() < _MIN_STATIONS:
        return behind
    filled = np.interp(np.arange(behind.size), np.flatnonzero(seen), behind[seen])
    return np.where(seen, gaussian_filter1d(filled, _SMOOTH, mode="nearest"), np.nan)
