"""One smooth curve through the back: a cubic from above the seat to the neck.

Relative to the spine line, mid-hip to mid-shoulder: a station is a share of its length (0 hips, 1 shoulders), and the
outline's distance behind it is in the same unit, the spine line's length. Folds of a shirt, a waistband or a collar are
outliers to the curve.
"""

from typing import Final

import numpy as np
from attrs import field, frozen

from putt_posture.values import Floats

__all__ = ["ABOVE_PELVIS", "BELOW_NECK", "CURVE", "NAPE_STATION", "Curves", "fit_curves"]

ABOVE_PELVIS: Final = 0.35
"""Station of the lower tangent, share of the way from the hip joints to the base of the neck: just above the crest of
the pelvis, which is at 0.26 of the height from trochanter to cervicale (ANSUR II 2012, men: trochanterion 901 mm,
iliocristale 1062 mm, cervicale 1517 mm)."""
BELOW_NECK: Final = 0.89
"""Station of the upper tangent, share of the same way: the ribs just below the base of the neck."""
CURVE: Final = (0.10, 1.03)
"""Range of the fit, shares of the same way: below it is the seat, above it the head."""
NAPE_STATION: Final = 1.19
"""Assumed base of the neck where it is not known, spine lines from the hips (accuracy study)."""

_DEGREE: Final = 3
_MIN_POINTS: Final = 40
_ROUNDS: Final = 8
_USUAL_MISFIT: Final = 0.006
"""Distance of the outline from the curve, spine lines, below which no point is an outlier."""


@frozen(kw_only=True, eq=False)
class Curves:
    """Cubics through M backs.

    Attributes
    ----------
    coefficients : (M, 4)
        Of the distance behind the spine line, constant first, in the station less `middle` in units of `half`; NaN
        where too little of a back was found.
    middle, half : (M,)
        Middle and half-width of the fitted stations.
    misfit : (M,)
        How far the outline lies from the curve, spine lines: 1.48 times the median; NaN without a curve.
    """

    coefficients: Floats = field(repr=False)
    middle: Floats
    half: Floats
    misfit: Floats

    def lean_deg(self, stations: Floats) -> Floats:
        """Return how steeply each curve leaves the spine line at its station, (M,) deg; + = farther behind it.

        Parameters
        ----------
        stations : (M,)
            One for each curve: 0 hips, 1 shoulders.
        """
        place = (stations - self.middle) / self.half
        powers = np.stack([np.zeros_like(place), np.ones_like(place), 2 * place, 3 * place**2], axis=1)
        return np.asarray(np.degrees(np.arctan(np.sum(self.coefficients * powers, axis=1) / self.half)))


def fit_curves(stations: Floats, behind: Floats, *, nape: Floats) -> Curves:
    """Fit a cubic to each of M backs by reweighted least squares (Cauchy's weights).

    Parameters
    ----------
    stations, behind : (M, N)
        The outline; NaN where it was not found.
    nape : (M,)
        Stations of the base of the neck.
    """
    low, high = (share * nape[:, None] for share in CURVE)
    part = (stations >= low) & (stations <= high) & np.isfinite(behind)
    fitted = part.sum(axis=1) >= _MIN_POINTS
    part &= fitted[:, None]
    count = part.sum(axis=1)
    first = np.where(fitted, np.where(part, stations, np.inf).min(axis=1), -1.0)
    last = np.where(fitted, np.where(part, stations, -np.inf).max(axis=1), 1.0)
    middle, half = (first + last) / 2, (last - first) / 2
    place = np.where(part, (stations - middle[:, None]) / half[:, None], 0.0)
    powers = place[..., None] ** np.arange(_DEGREE + 1)
    distance = np.where(part, behind, 0.0)
    weights = part.astype(np.float64)
    ridge = np.where(fitted, 0.0, 1.0)[:, None, None] * np.eye(_DEGREE + 1)
    for _ in range(_ROUNDS):
        weighed = powers * weights[..., None]
        square = np.swapaxes(weighed, 1, 2) @ powers + ridge
        found = np.linalg.solve(square, np.swapaxes(weighed, 1, 2) @ distance[..., None])
        left = np.abs(distance - (powers @ found)[..., 0])
        misfit = 1.48 * _medians(np.where(part, left, np.inf), count)
        weights = part / (1 + (left / (1.5 * np.maximum(misfit, _USUAL_MISFIT)[:, None])) ** 2)
    return Curves(
        coefficients=np.where(fitted[:, None], found[..., 0], np.nan),
        middle=middle,
        half=half,
        misfit=np.where(fitted, misfit, np.nan),
    )


def _medians(values: Floats, count: np.ndarray) -> Floats:
    """Return for each row of (M, N) values the median of its `count` smallest, (M,); 0 where there are none."""
    ordered, rows = np.sort(values, axis=1), np.arange(len(values))
    most = np.maximum(count, 1)
    middle = (ordered[rows, (most - 1) // 2] + ordered[rows, most // 2]) / 2
    return np.where(count > 0, middle, 0.0)
