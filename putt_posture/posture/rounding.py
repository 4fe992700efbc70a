"""How rounded the back is: the angle between two tangents of the smooth curve through its outline.

A tangent fitted to a short part of the outline would follow folds of a shirt, a waistband or a collar.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np

from putt_posture.posture.back import BackOutline
from putt_posture.posture.back_curve import ABOVE_PELVIS, BELOW_NECK, NAPE_STATION, fit_curves
from putt_posture.posture.plane import Plane
from putt_posture.values import Floats

__all__ = ["CURVE_MISS_DEG", "back_rounding", "rounding_about"]

CURVE_MISS_DEG: Final = -1.3
"""Mean difference between the rounding of the skin and that of the cubic, deg (accuracy study)."""


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
