"""The outline of the back, and how rounded it is.

The outline is read off the person's refined mask along lines square to the spine line (mid-hip to mid-shoulder):
station t = 0 is the hip joints, 1 the shoulder joints; the outline's distance r behind the spine line is in the same
unit as the spine line's length. It is a contour of clothes and skin, not of vertebrae, and no clinical angle.

The tangents are those of one smooth curve through the whole back, a cubic from above the seat to the neck. Folds of a
shirt, a waistband or a collar are outliers to it; a tangent fitted to a short stretch would follow them.
"""

import math
from typing import Final

import numpy as np
from attrs import field, frozen
from scipy.ndimage import gaussian_filter1d

from putt_posture.joints.rays import find_exits
from putt_posture.values import Floats, Landmarks, Point

__all__ = ["BackOutline", "read_back_outline"]

ABOVE_PELVIS: Final = 0.35
"""Where the lower tangent is taken, share of the way from the hip joints to the base of the neck: just above the crest
of the pelvis, which stands at 0.26 of the height from trochanter to cervicale (ANSUR II 2012, men: trochanterion
901 mm, iliocristale 1062 mm, cervicale 1517 mm)."""
BELOW_NECK: Final = 0.89
"""Where the upper tangent is taken: the last ribs under the base of the neck."""
CURVE: Final = (0.10, 1.03)
"""What the curve is fitted to, shares of the same way: below are the seat, above the head."""
CURVE_MISS_DEG: Final = -1.3
"""How much less than the skin's own tangents the cubic's turn, mean of the accuracy study."""
NAPE_STATION: Final = 1.19
"""Where the base of the neck is taken to be where it is not told, spine lines from the hips (accuracy study)."""

MISFIT_DEG: Final = 550.0
"""What one spine line of misfit adds to the rounding's uncertainty, one sigma, deg (accuracy study)."""
SOFTNESS_DEG: Final = 90.0
"""The same of softness."""

_STATIONS: Final = np.linspace(-0.1, 1.40, 121)
_REACH: Final = 0.75
_SMOOTH: Final = 3.0
_DEGREE: Final = 3
_MIN_STATIONS: Final = 40
_ROUNDS: Final = 8
_USUAL_MISFIT: Final = 0.006
"""Distance of the outline from the curve, spine lines, below which no point is an outlier."""


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
    nape : float
        Station of the base of the neck.
    curve : polynomial or None
        The smooth back: distance behind the spine line as a function of the station; None where too little was found.
    misfit : float
        How far the outline lies from the curve, spine lines: 1.48 times the median; NaN without a curve.
    softness : float
        Over how long a way the outline falls from body to background, mean, spine lines; large where shirt and
        background are of one colour.
    """

    hip_px: Floats
    shoulder_px: Floats
    rear: Floats
    stations: Floats = field(repr=False)
    behind: Floats = field(repr=False)
    nape: float = NAPE_STATION
    curve: np.polynomial.Polynomial | None = field(default=None, repr=False)
    misfit: float = math.nan
    softness: float = math.nan

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
        """Return the angle between the tangents above the pelvis and under the neck, deg; + = rounded, NaN unseen."""
        if self.curve is None:
            return math.nan
        steep = self.curve.deriv()
        low, high = (math.degrees(math.atan(steep(share * self.nape))) for share in (ABOVE_PELVIS, BELOW_NECK))
        return low - high - CURVE_MISS_DEG

    def rounding_sd_deg(self) -> float:
        """Return one sigma of what folds and an edge that is hard to see do to the rounding, deg; NaN if unseen."""
        return math.hypot(MISFIT_DEG * self.misfit, SOFTNESS_DEG * self.softness)

    def polyline(self) -> tuple[Point, ...]:
        """Return the outline from pelvis to neck in pixels."""
        low, high = (share * self.nape for share in (ABOVE_PELVIS - 0.15, CURVE[1]))
        seen = np.isfinite(self.behind) & (self.stations >= low) & (self.stations <= high)
        pairs = zip(self.stations[seen], self.behind[seen], strict=True)
        return tuple(self._place(float(station), float(behind)) for station, behind in pairs)

    def tangents(self, *, reach: float = 0.28) -> tuple[Point, ...]:
        """Return low point, a point up its tangent, high point, a point up its tangent, pixels; empty if unseen."""
        if self.curve is None:
            return ()
        points: list[Point] = []
        for share in (ABOVE_PELVIS, BELOW_NECK):
            at = share * self.nape
            start, steep = float(self.curve(at)), float(self.curve.deriv()(at))
            points += [self._place(at, start), self._place(at + reach, start + reach * steep)]
        return tuple(points)

    def _place(self, station: float, behind: float) -> Point:
        spine = self.shoulder_px - self.hip_px
        point = self.hip_px + station * spine + behind * float(np.hypot(*spine)) * self.rear
        return float(point[0]), float(point[1])


def read_back_outline(landmarks: Landmarks, index: int, *, forward: int, nape_px: Floats | None = None) -> BackOutline:
    """Read the outline of the back in one frame, down the line.

    Parameters
    ----------
    landmarks : Landmarks
        With its outlines.
    index : int
        Which frame.
    forward : int
        +1 where the ball side is to the right of the picture, else −1.
    nape_px : (2,), optional
        The base of the neck; without it, or where it is NaN, it is taken to be where it usually is.

    Returns
    -------
    BackOutline
        `behind` is NaN at stations where the spine line leaves the person or the outline leaves the mask.
    """
    hip, shoulder = landmarks.middle("hip")[index], landmarks.middle("shoulder")[index]
    spine = shoulder - hip
    length = float(np.hypot(*spine))
    rear = forward * np.array([spine[1], -spine[0]]) / length
    nape = NAPE_STATION if nape_px is None else float((nape_px - hip) @ spine) / length**2
    nape = nape if math.isfinite(nape) else NAPE_STATION
    behind = np.full(_STATIONS.size, np.nan)
    curve, misfit, softness = None, math.nan, math.nan
    if math.isfinite(length) and length > 0:
        starts = hip + _STATIONS[:, None] * spine
        found, widths = find_exits(landmarks, index, starts_px=starts, ray_px=length * rear, reach=_REACH)
        behind = _smooth(found)
        part = (CURVE[0] * nape <= _STATIONS) & (CURVE[1] * nape >= _STATIONS) & np.isfinite(found)
        if part.sum() >= _MIN_STATIONS:
            curve, misfit = _fit_curve(_STATIONS[part], found[part])
            softness = float(widths[part].mean())
    return BackOutline(
        hip_px=hip,
        shoulder_px=shoulder,
        rear=rear,
        stations=_STATIONS,
        behind=behind,
        nape=nape,
        curve=curve,
        misfit=misfit,
        softness=softness,
    )


def _fit_curve(stations: Floats, behind: Floats) -> tuple[np.polynomial.Polynomial, float]:
    """Fit a cubic by reweighted least squares (Cauchy's weights); return it and its misfit."""
    weights = np.ones_like(behind)
    for _ in range(_ROUNDS):
        curve = np.polynomial.Polynomial.fit(stations, behind, _DEGREE, w=weights)
        left = behind - curve(stations)
        misfit = 1.48 * float(np.median(np.abs(left)))
        weights = 1 / np.sqrt(1 + (left / (1.5 * max(misfit, _USUAL_MISFIT))) ** 2)
    return curve, misfit


def _smooth(behind: Floats) -> Floats:
    seen = np.isfinite(behind)
    if seen.sum() < _MIN_STATIONS:
        return behind
    filled = np.interp(np.arange(behind.size), np.flatnonzero(seen), behind[seen])
    return np.where(seen, gaussian_filter1d(filled, _SMOOTH, mode="nearest"), np.nan)
