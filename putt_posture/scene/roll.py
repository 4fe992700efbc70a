"""Camera roll from the long verticals in a picture: door frames, posts, corners of walls.

Roll is positive where the picture's content is turned clockwise, so that a true vertical leans to the right at
its top. A camera that looks up or down makes verticals converge. So the lean is fitted as a straight line over the
picture's width and read in its middle.
"""

import math
from typing import Final

import cv2
import numpy as np
from scipy.optimize import least_squares

from putt_posture.values import Estimate, Floats, Picture, View

__all__ = ["ASSUMED_ROLL_SD_DEG", "find_roll", "given_roll", "level_roll"]

ASSUMED_ROLL_SD_DEG: Final = 1.3
"""One sigma of a phone set level by eye or by its own level (from memory)."""
GIVEN_ROLL_SD_DEG: Final = 0.2

_LONG_SIDE: Final = 1280
_MIN_LENGTH: Final = 0.10  # of the picture's height
_MIN_TOTAL: Final = 0.8  # of the picture's height, all lines together
_MIN_LINES: Final = 3
_MAX_LEAN_DEG: Final = 7.0
_SOFT_DEG: Final = 0.4
_MAX_SPREAD_DEG: Final = 0.6
_FLOOR_SD_DEG: Final = 0.25


def given_roll(roll_deg: float, *, view: View) -> Estimate:
    """Return the roll that the coach typed, deg.

    Parameters
    ----------
    roll_deg : float
        As typed, + = content turned clockwise.
    view : View
        For the label of the estimate.

    Returns
    -------
    Estimate
        Deg; one sigma 0.2.
    """
    return Estimate(
        value=roll_deg, standard_uncertainty=GIVEN_ROLL_SD_DEG, unit="deg", view=view, frames=1, method="given"
    )


def level_roll(*, view: View) -> Estimate:
    """Return the roll of a camera where no picture shows it, deg: level, with a wide uncertainty.

    Parameters
    ----------
    view : View
        For the label of the estimate.

    Returns
    -------
    Estimate
        0 deg; one sigma 1.3.
    """
    return Estimate(
        value=0.0,
        standard_uncertainty=ASSUMED_ROLL_SD_DEG,
        unit="deg",
        view=view,
        frames=1,
        method="taken as level: no clear verticals in the picture",
    )


def find_roll(picture: Picture, *, view: View, ignore_px: tuple[float, float, float, float] | None = None) -> Estimate:
    """Find the camera's roll; level with a wide uncertainty where the picture does not show it.

    Parameters
    ----------
    picture : (H, W, 3) uint8
        RGB, upright and not mirrored, full size.
    view : View
        For the label of the estimate.
    ignore_px : (float, float, float, float), optional
        Box u0, v0, u1, v1 of student and putter, px; lines that begin or end in it are left out.

    Returns
    -------
    Estimate
        Deg, + = content turned clockwise; `method` says whether verticals were found.
    """
    lines = _near_vertical_lines(picture, ignore_px)
    fitted = _fit_lean(lines, width=picture.shape[1], height=picture.shape[0]) if len(lines) >= _MIN_LINES else None
    if fitted is None:
        return level_roll(view=view)
    roll, uncertainty, used = fitted
    return Estimate(
        value=roll,
        standard_uncertainty=uncertainty,
        unit="deg",
        view=view,
        frames=1,
        method=f"{used} long verticals in the picture",
    )


def _near_vertical_lines(picture: Picture, ignore_px: tuple[float, float, float, float] | None) -> Floats:
    """Return (N, 3): u of the middle, lean in deg (+ = to the right at the top), length; full-size pixels."""
    height, width = picture.shape[:2]
    scale = min(1.0, _LONG_SIDE / max(height, width))
    gray = cv2.cvtColor(picture, cv2.COLOR_RGB2GRAY)
    small = cv2.resize(gray, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA) if scale < 1 else gray
    found = cv2.createLineSegmentDetector(cv2.LSD_REFINE_STD).detect(small)[0]
    if found is None:
        return np.empty((0, 3))
    ends = found.reshape(-1, 2, 2).astype(np.float64) / scale
    top = np.where((ends[:, 0, 1] < ends[:, 1, 1])[:, None], ends[:, 0], ends[:, 1])
    bottom = np.where((ends[:, 0, 1] < ends[:, 1, 1])[:, None], ends[:, 1], ends[:, 0])
    rise = bottom[:, 1] - top[:, 1]
    lean = np.degrees(np.arctan2(top[:, 0] - bottom[:, 0], np.maximum(rise, 1e-9)))
    keep = (np.abs(lean) <= _MAX_LEAN_DEG) & (rise >= _MIN_LENGTH * height)
    if ignore_px is not None:
        u0, v0, u1, v1 = ignore_px
        inside = (ends[..., 0] > u0) & (ends[..., 0] < u1) & (ends[..., 1] > v0) & (ends[..., 1] < v1)
        keep &= ~inside.any(axis=1)
    lines = np.column_stack([(top[:, 0] + bottom[:, 0]) / 2, lean, rise])
    return np.asarray(lines[keep])


def _fit_lean(lines: Floats, *, width: int, height: int) -> tuple[float, float, int] | None:
    across = (lines[:, 0] - width / 2) / (width / 2)
    weight = np.sqrt(lines[:, 2] / height)
    start = np.array([float(np.median(lines[:, 1])), 0.0])

    def residuals(guess: Floats) -> Floats:
        return np.asarray((guess[0] + guess[1] * across - lines[:, 1]) / _SOFT_DEG * weight)

    with_slope = least_squares(residuals, start, loss="soft_l1")
    guess = with_slope.x
    close = np.abs(guess[0] + guess[1] * across - lines[:, 1]) < 2 * _SOFT_DEG
    if close.sum() < _MIN_LINES or lines[close, 2].sum() < _MIN_TOTAL * height:
        return None
    used = lines[close]
    design = np.column_stack([np.ones(close.sum()), across[close]])
    # The slope is held near 0 where the lines are too close together to determine it.
    weights = used[:, 2] / height
    normal = design.T @ (design * weights[:, None]) + np.diag([0.0, 0.05])
    guess = np.linalg.solve(normal, design.T @ (weights * used[:, 1]))
    spread = math.sqrt(float(np.average((design @ guess - used[:, 1]) ** 2, weights=weights)))
    if spread > _MAX_SPREAD_DEG or abs(guess[0]) > _MAX_LEAN_DEG:
        return None
    uncertainty = math.hypot(_FLOOR_SD_DEG, spread / math.sqrt(len(used)))
    return float(guess[0]), uncertainty, len(used)
