"""The back in each frame: its outline, and how rounded it is.

The outline is found in the person's refined mask along lines square to the spine line (mid-hip to mid-shoulder):
station t = 0 is the hip joints, 1 the shoulder joints; the outline's distance r behind the spine line is in the same
unit as the spine line's length. It is a contour of clothes and skin, not of vertebrae, and not a clinical angle.

The rounding is the angle between two tangents of the smooth curve through the outline. A tangent to a short part of the
outline would follow folds of a shirt, a waistband or a collar.
"""

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from attrs import field, frozen

from putt_posture.joints.rays import find_exits
from putt_posture.posture.back_curve import ABOVE_PELVIS, BELOW_NECK, CURVE, NAPE_STATION, fit_curves
from putt_posture.posture.plane import Plane
from putt_posture.values import Floats, Landmarks, Point

__all__ = ["CURVE_MISS_DEG", "BackOutline", "back_rounding", "read_back_outline", "rounding_about"]

MISFIT_DEG: Final = 550.0
"""Uncertainty of the rounding per spine line of misfit, one sigma, deg (accuracy study)."""
SOFTNESS_DEG: Final = 90.0
"""Uncertainty of the rounding per spine line of softness, one sigma, deg (accuracy study)."""

DRAWN_SD_PX: Final = 2.0
"""How far a line that a person draws along an edge lies off it, one sigma, px (from memory); it counts like an edge
that is twice as wide."""
_FEWEST_DRAWN: Final = 4

_STATIONS: Final = np.linspace(-0.1, 1.40, 121)
_REACH: Final = 0.75
_SMOOTH: Final = 3.0
_MIN_STATIONS: Final = 40

CURVE_MISS_DEG: Final = -1.3
"""Mean difference between the rounding of the skin and that of the cubic, deg (accuracy study)."""


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
        Distance of the outline behind the spine line, in lengths of it, smoothed; NaN where not found.
    edge_px : (N, 2)
        The outline itself, pixels; NaN where not found.
    nape_px : (2,)
        The base of the neck, pixels; NaN where it is not known.
    nape : float
        Station of the base of the neck.
    curve : polynomial or None
        The smooth back: distance behind the spine line as a function of the station; None where too little was found.
    misfit : float
        How far the outline lies from the curve, spine lines: 1.48 times the median; NaN without a curve.
    softness : float
        Mean width of the outline's edge from body to background, spine lines; large where shirt and background have the
        same colour.
    """

    hip_px: Floats
    shoulder_px: Floats
    rear: Floats
    stations: Floats = field(repr=False)
    behind: Floats = field(repr=False)
    edge_px: Floats = field(repr=False)
    nape_px: Floats = field(factory=lambda: np.full(2, np.nan))
    nape: float = NAPE_STATION
    curve: np.polynomial.Polynomial | None = field(default=None, repr=False)
    misfit: float = math.nan
    softness: float = math.nan

    @property
    def length_px(self) -> float:
        """Length of the spine line, pixels."""
        return float(np.hypot(*(self.shoulder_px - self.hip_px)))

    def behind_at(self, station: float) -> float:
        """Return the distance of the outline behind the spine line at a station, in lengths of it; NaN if unseen.

        Parameters
        ----------
        station : float
            Where along the spine line: 0 hips, 1 shoulders.
        """
        seen = np.isfinite(self.behind)
        if not seen.any() or not self.stations[seen][0] <= station <= self.stations[seen][-1]:
            return math.nan
        return float(np.interp(station, self.stations[seen], self.behind[seen]))

    def rounding_sd_deg(self) -> float:
        """Return the uncertainty of the rounding from folds and a soft edge, one sigma, deg; NaN if unseen."""
        return math.hypot(MISFIT_DEG * self.misfit, SOFTNESS_DEG * self.softness)

    def polyline(self) -> tuple[Point, ...]:
        """Return the outline from pelvis to neck in pixels."""
        low, high = (share * self.nape for share in (ABOVE_PELVIS - 0.15, CURVE[1]))
        seen = np.isfinite(self.behind) & (self.stations >= low) & (self.stations <= high)
        pairs = zip(self.stations[seen], self.behind[seen], strict=True)
        return tuple(self._place(float(station), float(behind)) for station, behind in pairs)

    def tangents(self, *, reach: float = 0.28) -> tuple[Point, ...]:
        """Return low point, a point up its tangent, high point, a point up its tangent, pixels; empty if unseen.

        Parameters
        ----------
        reach : float
            How far up the tangents the second points are, lengths of the spine line.
        """
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


def read_back_outline(
    landmarks: Landmarks, index: int, *, forward: int, nape_px: Floats | None = None, drawn_px: Floats | None = None
) -> BackOutline:
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
        The base of the neck; without it, or where it is NaN, its usual place is assumed.
    drawn_px : (N, 2), optional
        The outline as a person drew it, pixels; it is used in place of the one in the mask.

    Returns
    -------
    BackOutline
        `behind` is NaN at stations where the spine line is outside the person or the outline is outside the mask.
    """
    hip, shoulder = landmarks.middle("hip")[index], landmarks.middle("shoulder")[index]
    spine = shoulder - hip
    length = float(np.hypot(*spine))
    rear = forward * np.array([spine[1], -spine[0]]) / length
    nape = NAPE_STATION if nape_px is None else float((nape_px - hip) @ spine) / length**2
    nape = nape if math.isfinite(nape) else NAPE_STATION
    behind, edge = np.full(_STATIONS.size, np.nan), np.full((_STATIONS.size, 2), np.nan)
    curve, misfit, softness = None, math.nan, math.nan
    if math.isfinite(length) and length > 0:
        starts = hip + _STATIONS[:, None] * spine
        if drawn_px is None:
            found, widths = find_exits(landmarks, index, starts_px=starts, ray_px=length * rear, reach=_REACH)
        else:
            found = _behind_along(drawn_px, hip=hip, spine=spine, rear=rear)
            widths = np.full(_STATIONS.size, 2 * DRAWN_SD_PX / length)
        behind, edge = _smooth(found), starts + found[:, None] * (length * rear)
        curves = fit_curves(_STATIONS[None], found[None], nape=np.array([nape]))
        misfit = float(curves.misfit[0])
        if math.isfinite(misfit):
            middle, half = float(curves.middle[0]), float(curves.half[0])
            curve = np.polynomial.Polynomial(curves.coefficients[0], domain=[middle - half, middle + half])
            part = (CURVE[0] * nape <= _STATIONS) & (CURVE[1] * nape >= _STATIONS) & np.isfinite(found)
            softness = float(widths[part].mean())
    return BackOutline(
        hip_px=hip,
        shoulder_px=shoulder,
        rear=rear,
        stations=_STATIONS,
        behind=behind,
        edge_px=edge,
        nape_px=np.full(2, np.nan) if nape_px is None else nape_px,
        nape=nape,
        curve=curve,
        misfit=misfit,
        softness=softness,
    )


def _behind_along(drawn_px: Floats, *, hip: Floats, spine: Floats, rear: Floats) -> Floats:
    """Return how far a drawn line lies behind the spine line at each station, in lengths of it; NaN beyond its ends."""
    from scipy.interpolate import PchipInterpolator  # imported here, so that the records of the measures do not load it

    length = float(np.hypot(*spine))
    offset = drawn_px - hip
    along, behind = offset @ spine / length**2, offset @ rear / length
    order = np.argsort(along, kind="stable")
    along, behind = along[order], behind[order]
    apart = np.concatenate([[True], np.diff(along) > 1e-6])  # of points at one station the first counts
    if apart.sum() < _FEWEST_DRAWN:
        return np.full(_STATIONS.size, np.nan)
    return np.asarray(PchipInterpolator(along[apart], behind[apart], extrapolate=False)(_STATIONS))


def back_rounding(plane: Plane, *, outlines: Sequence[BackOutline]) -> Floats:
    """Return the angle between the back's tangents above the pelvis and under the neck, (T,) deg; + = rounded forward.

    NaN where too little of the back was found. Down the line.

    Parameters
    ----------
    plane : Plane
        Of the frames of `outlines`, once or repeated.
    outlines : sequence of BackOutline
    """
    repeats = len(plane.points_px) // len(outlines)
    edge = plane.to_cm(np.array([outline.edge_px for outline in outlines]))
    nape = plane.to_cm(np.array([outline.nape_px for outline in outlines]))
    return rounding_about(
        plane.middle("hip"),
        plane.middle("shoulder"),
        edge=np.tile(edge, (repeats, 1, 1)),
        nape=np.tile(nape, (repeats, 1)),
    )


def rounding_about(hip: Floats, shoulder: Floats, *, edge: Floats, nape: Floats) -> Floats:
    """Return the rounding of M backs, (M,) deg; NaN where too little was found.

    Parameters
    ----------
    hip, shoulder : (M, 2)
        Ends of the spine line, toward the ball and up, any unit.
    edge : (M, N, 2)
        The outline of the back; NaN where it was not found.
    nape : (M, 2)
        The base of the neck; where it is NaN, its usual place is assumed.
    """
    spine = shoulder - hip
    square = np.sum(spine**2, axis=1)

    def placed(points: Floats) -> tuple[Floats, Floats]:
        offset = np.moveaxis(points, -2, 0) - hip
        along = np.sum(offset * spine, axis=-1) / square
        behind = (offset[..., 1] * spine[:, 0] - offset[..., 0] * spine[:, 1]) / square
        return along.T, behind.T

    with np.errstate(invalid="ignore", divide="ignore"):
        stations, behind = placed(edge)
        neck_station = placed(nape[:, None])[0][:, 0]
        ends = np.where(np.isfinite(neck_station), neck_station, NAPE_STATION)
        curves = fit_curves(stations, behind, nape=ends)
        low, high = (curves.lean_deg(share * ends) for share in (ABOVE_PELVIS, BELOW_NECK))
    return np.asarray(low - high - CURVE_MISS_DEG)


def _smooth(behind: Floats) -> Floats:
    seen = np.isfinite(behind)
    if seen.sum() < _MIN_STATIONS:
        return behind
    from scipy.ndimage import gaussian_filter1d  # imported here, so that the records of the measures do not load it

    filled = np.interp(np.arange(behind.size), np.flatnonzero(seen), behind[seen])
    return np.where(seen, gaussian_filter1d(filled, _SMOOTH, mode="nearest"), np.nan)
