"""Search for one thin, long, straight line near a place and a direction.

A ridge is brighter or darker, or of another colour, than what lies on *both* of its sides; so the edge of a door frame,
of a trouser leg or of a shadow is not one. Evidence is smoothed along the candidate line first, which removes floor
texture but not a shaft.
"""

from typing import Final

import cv2
import numpy as np
from attrs import frozen

from putt_posture.scene.strip import Strip
from putt_posture.values import Floats, Picture

__all__ = ["Line", "find_lines", "ridge_evidence"]

_STEP_CM: Final = 0.25
_COARSE_DEG: Final = 2.0
_FINE_DEG: Final = 0.2
_SMOOTH_CM: Final = 1.5
"""Along the line, one sigma."""
SIDE_CM: Final = 1.3
"""A shaft is 0.9 to 1.5 cm thick (common practice); at this distance to its side there is background, cm."""
_SOFT_LEVELS: Final = 6.0
"""Contrast, of 255, at which a ridge has half of the full evidence on a plain background."""
_LOCAL_CM: Final = 4.0
_KEEP: Final = 5
_APART_CM: Final = 2.0


@frozen(kw_only=True, eq=False)
class Line:
    """A line through a place near the start.

    Attributes
    ----------
    start_px : (2,)
        Its point at distance 0.
    along : (2,)
        Unit vector down it.
    score : float
        Mean evidence along it, 0 to 1.
    """

    start_px: Floats
    along: Floats
    score: float


def find_lines(
    picture: Picture,
    *,
    start_px: Floats,
    angles_deg: tuple[float, float],
    px_per_cm: float,
    first_cm: float,
    last_cm: float,
    offset_cm: float,
) -> list[Line]:
    """Return the best lines, best first; each a little apart from the better ones.

    Parameters
    ----------
    picture : (H, W, 3) uint8
    start_px : (2,)
        Lines pass within `offset_cm` of it.
    angles_deg : (float, float)
        Least and greatest angle of the downward line from the picture's vertical, + = to the right.
    px_per_cm : float
    first_cm, last_cm : float
        Evidence counts between these distances from the start.
    offset_cm : float
    """
    low, high = angles_deg
    centres = np.linspace(low, high, max(2, int(np.ceil((high - low) / _COARSE_DEG)) + 1))
    fine = np.arange(-_COARSE_DEG / 2, _COARSE_DEG / 2 + 1e-9, _FINE_DEG)
    found: list[Line] = []
    for centre in centres:
        turn = np.radians(centre)
        strip = Strip(
            start_px=start_px,
            along=np.array([np.sin(turn), np.cos(turn)]),
            step_px=_STEP_CM * px_per_cm,
            first=first_cm * px_per_cm,
            last=last_cm * px_per_cm,
            half_width=(offset_cm + 4.0) * px_per_cm,
        )
        evidence = ridge_evidence(strip.cut(picture), step_cm=_STEP_CM)
        scores = _sheared_means(evidence, strip, np.tan(np.radians(fine)), reach=offset_cm * px_per_cm)
        for row, column in _peaks(scores):
            offset = strip.step_px * (column - scores.shape[1] // 2)
            angle = turn + np.radians(fine[row])
            found.append(
                Line(
                    start_px=start_px + offset * strip.across,
                    along=np.array([np.sin(angle), np.cos(angle)]),
                    score=float(scores[row, column]),
                )
            )
    return _apart(found, reach=last_cm * px_per_cm, apart=_APART_CM * px_per_cm)


def ridge_evidence(strip: Floats, *, step_cm: float) -> Floats:
    """Return the evidence of a ridge down the strip at each place, (rows, columns), 0 to 1.

    Parameters
    ----------
    strip : (rows, columns, 3)
    step_cm : float
        Size of a sample.
    """
    smooth = cv2.GaussianBlur(np.nan_to_num(strip), (0, 0), sigmaX=0.25 / step_cm, sigmaY=_SMOOTH_CM / step_cm)
    away = round(SIDE_CM / step_cm)
    left, right = np.roll(smooth, away, axis=1), np.roll(smooth, -away, axis=1)
    over = np.minimum(smooth - left, smooth - right)
    under = np.minimum(left - smooth, right - smooth)
    ridge = np.maximum(np.maximum(over, under), 0.0)
    window = int(2 * _LOCAL_CM / step_cm) | 1
    noise = cv2.blur(ridge, (window, window), borderType=cv2.BORDER_REFLECT)
    # Each of the three by itself: NumPy takes several times as long over an axis of three.
    bright, red, yellow = np.moveaxis(ridge / (ridge + _SOFT_LEVELS + 2.0 * noise), -1, 0)
    evidence = np.maximum(np.maximum(bright, red), yellow)
    evidence[:, :away] = 0.0
    evidence[:, -away:] = 0.0
    bright, red, yellow = np.moveaxis(np.isnan(strip), -1, 0)
    evidence[bright | red | yellow] = 0.0
    return np.asarray(evidence, dtype=np.float64)


def _sheared_means(evidence: Floats, strip: Strip, slopes: Floats, *, reach: float) -> Floats:
    """Return the mean evidence along each (slope, offset), (slopes, offsets)."""
    middle = evidence.shape[1] // 2
    half = int(reach / strip.step_px)
    shift = strip.distances[:, None] / strip.step_px * slopes[None, :]
    offsets = np.arange(-half, half + 1)
    columns = np.rint(middle + offsets[None, None, :] + shift.T[:, :, None]).astype(int)
    np.clip(columns, 0, evidence.shape[1] - 1, out=columns)
    rows = np.arange(evidence.shape[0])[None, :, None]
    return np.asarray(evidence[rows, columns].mean(axis=1))


def _peaks(scores: Floats) -> list[tuple[int, int]]:
    best = np.argsort(scores, axis=None)[::-1][: 40 * _KEEP]
    rows, columns = np.unravel_index(best, scores.shape)
    kept: list[tuple[int, int]] = []
    for row, column in zip(rows.tolist(), columns.tolist(), strict=True):
        if all(abs(column - other) > 3 for _, other in kept):
            kept.append((row, column))
        if len(kept) == _KEEP:
            break
    return kept


def _apart(lines: list[Line], *, reach: float, apart: float) -> list[Line]:
    kept: list[Line] = []
    for line in sorted(lines, key=lambda one: -one.score):
        places = np.array([line.start_px, line.start_px + reach * line.along])
        others = [np.array([one.start_px, one.start_px + reach * one.along]) for one in kept]
        if all(np.linalg.norm(places - other, axis=1).max() > apart for other in others):
            kept.append(line)
        if len(kept) == _KEEP:
            break
    return kept
