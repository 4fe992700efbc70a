"""The sole: where the head of the putter ends and the floor begins, below the bare shaft."""

from typing import Final

import cv2
import numpy as np

from putt_posture.scene.refine import STEP_CM, Shank
from putt_posture.scene.strip import Strip
from putt_posture.values import Floats, Picture

__all__ = ["find_sole"]

_LEAST_LEVELS: Final = 5.0
"""Colours nearer than this, of 255, are the same."""
_FLOOR_Z: Final = 3.5
"""So many spreads of the floor's colour away is no floor."""
_AXIS_HALF_CM: Final = 1.0
_ASIDE_CM: Final = 7.0
_STEP_WINDOW_CM: Final = 0.8
_SHADOW_CM: Final = 2.0
_GAP_CM: Final = 0.6
_LEAST_HEAD_CM: Final = 1.7
_HEAD_CM: Final = 6.0
"""From the end of the bare shaft to the ground there is no less and no more head than this (common practice: heads are
2.5 to 4 cm high, with a neck)."""
_LEAST_FLOOR: Final = 500


def find_sole(picture: Picture, shank: Shank, *, px_per_cm: float) -> float | None:
    """Return the distance of the sole's visible edge along the shaft, px; None where the floor does not tell.

    Parameters
    ----------
    picture : (H, W, 3) uint8
    shank : Shank
    px_per_cm : float
    """
    across = float(shank.line.along[1])
    start = np.array(shank.line.start_px + shank.bottom * shank.line.along)
    upright = Strip(
        start_px=start,
        along=np.array([0.0, 1.0]),
        step_px=STEP_CM * px_per_cm,
        first=-1.5 * px_per_cm,
        last=20 * px_per_cm,
        half_width=(_ASIDE_CM + 2 * _AXIS_HALF_CM) * px_per_cm,
    )
    cut = upright.cut(picture)
    below, offsets = upright.distances / px_per_cm, upright.offsets / px_per_cm
    around = cut[below > _HEAD_CM + 1].reshape(-1, 3)
    around = around[np.isfinite(around).all(axis=1)]
    if len(around) < _LEAST_FLOOR:
        return None
    middle = np.median(around, axis=0)
    spread = np.maximum(1.48 * np.median(np.abs(around - middle), axis=0), _LEAST_LEVELS)
    # The shaft still leans across while the head is passed.
    leans = np.clip(below * shank.line.along[0] / across, -_ASIDE_CM, _ASIDE_CM)
    axis = np.stack([_near(row, offsets, at=lean) for row, lean in zip(cut, leans, strict=True)])
    axis = cv2.blur(axis, (1, 3)).reshape(axis.shape)
    strange = np.linalg.norm((axis - middle) / spread, axis=1) > _FLOOR_Z
    first = int(np.argmax(below > 0.0))
    run, gap = first, round(_GAP_CM / STEP_CM)
    for row in range(first, len(below)):
        if strange[row]:
            run = row
        elif row - run > gap:
            break
    if below[run] > _HEAD_CM:
        return None
    deep = float(below[_last_step(axis, first=first, last=run)])
    return shank.bottom + deep * px_per_cm / across if deep >= _LEAST_HEAD_CM else None


def _near(row: Floats, offsets: Floats, *, at: float) -> Floats:
    return np.asarray(row[np.abs(offsets - at) < _AXIS_HALF_CM].mean(axis=0))


def _last_step(axis: Floats, *, first: int, last: int) -> int:
    """Return the row of the clearest change of colour not far above the last row that is no floor.

    Under a head lies its shadow, which is no floor either.
    """
    window, reach = round(_STEP_WINDOW_CM / STEP_CM), round(_SHADOW_CM / STEP_CM)
    rows = np.arange(max(first, last - reach, window), min(last + window // 2, len(axis) - window))
    if rows.size == 0:
        return last
    steps = [axis[row - window : row].mean(axis=0) - axis[row : row + window].mean(axis=0) for row in rows]
    return int(rows[int(np.argmax(np.linalg.norm(steps, axis=1)))])
