"""The grip: where it ends at the bare shaft below the hands, and where its butt end is above them.

Where the picture does not show the butt end, it is estimated from hands and grip. Distances run down the shaft from the
hand centre, so that the butt's is negative.
"""

import math
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from putt_posture.scene.shaft_line import STEP_CM, BareShaft
from putt_posture.scene.strip import Strip
from putt_posture.values import Estimate, Floats, Picture

__all__ = ["GRIP_LENGTH_CM", "estimate_hidden_butt", "find_butt", "find_grip_end"]

Flags = NDArray[np.bool_]

_GRIP_ENDS_CM: Final = (4.0, 30.0)
"""Where a grip may end, below the hand centre, cm."""
_GRIP_HALF_CM: Final = 0.7
"""Half of the thickness of the thinnest grip, cm (common practice: 1.9 to 3.3 cm across)."""
_BUTT_REACH_CM: Final = (5.0, 18.5)
"""Least and greatest distance of the butt above the hand centre, cm; nearer, it may be the grip between two hands."""
_SQUARE_CM: Final = 0.4
_MAX_SLOPE: Final = 0.25
"""A butt is cut square to the shaft; the edge of an arm or a shirt that hides a grip is not."""
_BAND_CM: Final = 1.4
_MIN_COLUMNS: Final = 4
"""Half a centimetre of the grip's width must be visible."""
_WINDOW_CM: Final = 2.0
_CLEAR_LEVELS: Final = 12.0
"""Least difference of colour, of 255."""
_SOFT_LEVELS: Final = 20.0
_MIN_NARROWER: Final = 0.2
"""How much higher, of 1, the evidence of the wide grip is above its end than below."""
_LEAST_SAMPLE: Final = 40

GRIP_LENGTH_CM: Final = 26.7
"""A putter grip from butt to lower end: 10.5 in (common practice)."""
GRIP_LENGTH_SD_CM: Final = 1.75
"""How much the length differs between grips, one sigma, cm: most are 10 to 11 in long (common practice), some a little
longer. Grips of long putters are longer by half; with them the two estimates of a hidden butt disagree."""
CHOKE_DOWN_CM: Final = 2.0
"""How far below the butt most people hold a putter, cm: a putter off the rack is more often too long for a bent stance
than too short (common practice), and it cannot be held above its butt."""
HABIT_SD_CM: Final = 3.0
"""How much the hold differs between people, one sigma, cm (judged)."""
ABOVE_HANDS_CM: Final = (3.0, 22.0)
"""Range of the butt above the hand centre, cm; a grip end that gives another place is something else."""
_APART: Final = 2.0
"""Where the two estimates differ by more than this many combined sigmas, half of their difference is added to the
uncertainty."""


def find_grip_end(picture: Picture, bare: BareShaft, *, px_per_cm: float) -> float | None:
    """Find where the grip ends at the bare shaft below the hands; None where nothing changes clearly there.

    Parameters
    ----------
    picture : (H, W, 3) uint8
        RGB, upright and not mirrored, full size.
    bare : BareShaft
        As `refine_line` returns it.
    px_per_cm : float
        Scale of the picture, pixels per cm.

    Returns
    -------
    float or None
        Distance below the hand centre along the shaft, px.
    """
    strip = _strip(
        bare, first=_GRIP_ENDS_CM[0] * px_per_cm, last=_GRIP_ENDS_CM[1] * px_per_cm, px_per_cm=px_per_cm, half=3.0
    )
    cut = strip.cut(picture)
    cm = strip.offsets / px_per_cm
    smooth = cv2.GaussianBlur(np.nan_to_num(cut), (0, 0), sigmaX=0.6, sigmaY=2.0)
    wide = np.full(len(smooth), np.inf)
    for side in (-1, 1):
        flank = smooth[:, (side * cm > 0.7) & (side * cm < 1.0)].mean(axis=1)
        beyond = smooth[:, (side * cm > 1.8) & (side * cm < 2.4)].mean(axis=1)
        wide = np.minimum(wide, np.linalg.norm(flank - beyond, axis=1))
    # Saturated, so that a change of background behind the grip does not count as its end.
    sure = wide / (wide + _SOFT_LEVELS)
    window = round(_WINDOW_CM / STEP_CM)
    sums = np.cumsum(np.concatenate([[0.0], sure]))
    rows = np.arange(window, len(sure) - window)
    narrower = (2 * sums[rows] - sums[rows - window] - sums[rows + window]) / window
    best = int(np.argmax(narrower))
    if narrower[best] < _MIN_NARROWER:
        return None
    row = _half_way(wide, int(rows[best]), window=window)
    return float(strip.first + row * strip.step_px)


def find_butt(picture: Picture, bare: BareShaft, *, grip_end: float, px_per_cm: float) -> float | None:
    """Find the top of the grip above the hands; None where hands, arms or dark clothes hide it.

    Parameters
    ----------
    picture : (H, W, 3) uint8
        RGB, upright and not mirrored, full size.
    bare : BareShaft
        As `refine_line` returns it.
    grip_end : float
        Where the grip ends below the hands, px along the shaft; its colour is read just above.
    px_per_cm : float
        Scale of the picture, pixels per cm.

    Returns
    -------
    float or None
        Distance along the shaft from the hand centre, px; negative, since the butt is above.
    """
    reach = _BUTT_REACH_CM[1] + 4
    strip = _strip(bare, first=-reach * px_per_cm, last=grip_end, px_per_cm=px_per_cm, half=2.5)
    cut = cv2.GaussianBlur(strip.cut(picture), (0, 0), sigmaX=0.8, sigmaY=1.6)
    distances, cm = strip.distances / px_per_cm, strip.offsets / px_per_cm
    low_part = (distances > grip_end / px_per_cm - 4) & (distances < grip_end / px_per_cm - 0.8)
    sample = cut[low_part][:, np.abs(cm) < _GRIP_HALF_CM].reshape(-1, 3)
    if len(sample) < _LEAST_SAMPLE or not np.isfinite(sample).all():
        return None
    away = np.linalg.norm(cut - np.median(sample, axis=0), axis=-1)
    spread = float(np.median(np.linalg.norm(sample - np.median(sample, axis=0), axis=-1)))
    if spread > _CLEAR_LEVELS:
        return None
    # A forearm may cover one side of the grip.
    found = []
    for low, high in ((-_GRIP_HALF_CM, _GRIP_HALF_CM), (-_BAND_CM, 0.0), (0.0, _BAND_CM)):
        band = (cm > low) & (cm < high)
        for row in _rises(away[:, band].mean(axis=1), distances):
            top = _square_top(away, distances, cm, row=row, band=band, limit=max(_CLEAR_LEVELS, 4 * spread))
            if top is not None:
                found.append(top)
                break
    if not found or max(found) - min(found) > 4 * _SQUARE_CM:
        return None
    return float(np.mean(found)) * px_per_cm


def estimate_hidden_butt(grip_end: float | None, grip_distance: Estimate, *, px_per_cm: float) -> tuple[float, float]:
    """Estimate a hidden butt end in two ways: where hands usually are on a grip, and how long grips usually are.

    Parameters
    ----------
    grip_end : float or None
        Where the grip ends below the hands, px along the shaft from the hand centre; None where that is hidden too.
    grip_distance : Estimate
        From the butt to the hand centre with the usual hold, cm.
    px_per_cm : float
        Scale of the picture, pixels per cm.

    Returns
    -------
    distance : float
        Along the shaft from the hand centre, px; negative, since the butt is above.
    standard_uncertainty : float
        One sigma along the shaft, cm.
    """
    hands, hands_sd = grip_distance.value + CHOKE_DOWN_CM, math.hypot(grip_distance.standard_uncertainty, HABIT_SD_CM)
    by_grip = math.nan if grip_end is None else GRIP_LENGTH_CM - grip_end / px_per_cm
    low, high = ABOVE_HANDS_CM
    if not low <= by_grip <= high:
        return -hands * px_per_cm, hands_sd
    weight = hands_sd**2 / (hands_sd**2 + GRIP_LENGTH_SD_CM**2)
    above = weight * by_grip + (1 - weight) * hands
    joint = math.sqrt(weight) * GRIP_LENGTH_SD_CM
    apart = abs(by_grip - hands)
    if apart > _APART * math.hypot(hands_sd, GRIP_LENGTH_SD_CM):
        joint = math.hypot(joint, apart / 2)
    return -above * px_per_cm, joint


def _half_way(wide: Floats, row: int, *, window: int) -> float:
    """Return the row where the step at a row is half complete; where it is saturated it seems to come later."""
    low, high = max(row - window, 0), min(row + window, len(wide))
    above, below = float(np.median(wide[low:row])), float(np.median(wide[row:high]))
    half = (above + below) / 2
    under = np.flatnonzero((wide[low : high - 1] >= half) & (wide[low + 1 : high] < half)) + low
    if under.size == 0:
        return float(row)
    k = int(under[np.argmin(np.abs(under - row))])
    return k + float((wide[k] - half) / (wide[k] - wide[k + 1]))


def _rises(core: Floats, distances: Floats) -> list[int]:
    """Return the rows, strongest first, where the axis going up leaves the grip's colour."""
    window = round(_WINDOW_CM / STEP_CM)
    skip = round(0.4 / STEP_CM)
    sums = np.cumsum(np.concatenate([[0.0], core]))
    rows = np.arange(window + skip, len(core) - window - skip)
    over = (sums[rows - skip] - sums[rows - skip - window]) / window
    under = (sums[rows + skip + window] - sums[rows + skip]) / window
    rise = np.where(np.isfinite(over - under), over - under, 0.0)
    rise[(distances[rows] > -_BUTT_REACH_CM[0]) | (distances[rows] < -_BUTT_REACH_CM[1])] = 0.0
    tops = [k for k in range(1, len(rise) - 1) if rise[k] >= rise[k - 1] and rise[k] > rise[k + 1]]
    return [int(rows[k]) for k in sorted(tops, key=lambda k: -rise[k]) if rise[k] > _CLEAR_LEVELS]


def _square_top(away: Floats, distances: Floats, cm: Floats, *, row: int, band: Flags, limit: float) -> float | None:
    """Return the top of the grip near a row, cm, where it is cut square there and has an edge all around."""
    top = float(distances[row])
    above = (distances < top - 0.4) & (distances > top - 2.4)
    below = (distances > top + 0.4) & (distances < top + 2.4)
    alike = away < min(limit, float(away[above][:, band].mean() + away[below][:, band].mean()) / 2)
    shown = band & (alike[below].mean(axis=0) > 0.8)
    if shown.sum() < _MIN_COLUMNS or alike[above][:, shown].mean() > 0.15:
        return None
    if max(alike[below][:, cm < -1.9].mean(), alike[below][:, cm > 1.9].mean()) > 0.25:
        return None
    close = np.flatnonzero(np.abs(distances - top) < 2.4)
    tops = []
    for column in np.flatnonzero(shown):
        unlike = close[~alike[close, column]]
        unlike = unlike[distances[unlike] < top + 0.8]
        if unlike.size:
            tops.append(float(distances[unlike[-1]]) + STEP_CM / 2)
    ends = np.array(tops)
    if len(ends) < _MIN_COLUMNS:
        return None
    square = np.abs(ends - np.median(ends)) < _SQUARE_CM
    slope = abs(np.polyfit(np.arange(len(ends)), ends, 1)[0]) / STEP_CM
    return float(ends[square].mean()) if square.mean() > 0.8 and slope < _MAX_SLOPE else None


def _strip(bare: BareShaft, *, first: float, last: float, px_per_cm: float, half: float) -> Strip:
    return Strip(
        start_px=bare.line.start_px,
        along=bare.line.along,
        step_px=STEP_CM * px_per_cm,
        first=first,
        last=last,
        half_width=half * px_per_cm,
    )
