"""The putter head: where the bare shaft enters it, and where its visible lower edge is."""

import math
from typing import Final

import cv2
import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from putt_posture.scene.shaft_line import STEP_CM, BareShaft
from putt_posture.scene.strip import Strip
from putt_posture.values import Floats, Picture, View

__all__ = ["PutterHead", "find_putter_head"]

Flags = NDArray[np.bool_]

_LEAST_LEVELS: Final = 5.0
"""Colours that differ by less than this, of 255, count as equal."""
_FLOOR_Z: Final = 3.5
"""A colour that differs from the floor's by more than this many spreads is not floor."""
_AXIS_HALF_CM: Final = 1.0
_ASIDE_CM: Final = 7.0
_FLANK_CM: Final = (1.05, 1.45)
"""Distances from the axis that lie beside a shaft and its blur, and within half of the depth of the slimmest head, cm
(common practice: heads are 2 cm deep and more)."""
_ABOVE_CM: Final = 8.0
"""The head is searched this far above the end of the line, cm: a dark shaft continues into a dark head."""
_BELOW_CM: Final = 9.0
_STEP_WINDOW_CM: Final = 0.8
_SHADOW_CM: Final = 2.0
_GAP_CM: Final = 0.6
_LEAST_HEAD_CM: Final = 1.7
_HEAD_CM: Final[dict[View, float]] = {"down_the_line": 6.0, "face_on": 10.0}
"""Greatest height of the head in the picture, from the end of the bare shaft down, cm (common practice: heads are 2.5
to 4 cm high, with a neck). Face on its length is seen as well, from above."""
_FLOOR_BELOW_CM: Final = 7.0
_LEAST_FLOOR: Final = 500
_ROWS: Final = 3
"""How many rows of head and floor are averaged."""


@frozen(kw_only=True)
class PutterHead:
    """The putter head on the shaft's line; distances along that line, px.

    Attributes
    ----------
    top : float
        Where something wider than the bare shaft begins; NaN where there is none.
    edge : float
        The lower edge that the camera sees; NaN where the floor does not show it.
    """

    top: float = math.nan
    edge: float = math.nan


def find_putter_head(picture: Picture, bare: BareShaft, *, px_per_cm: float, view: View) -> PutterHead:
    """Find the putter head at the lower end of the bare shaft.

    Parameters
    ----------
    picture : (H, W, 3) uint8
        RGB, upright and not mirrored, full size.
    bare : BareShaft
        As `refine_line` returns it.
    px_per_cm : float
        Scale of the picture, pixels per cm.
    view : View
        How high a head may look depends on it.

    Returns
    -------
    PutterHead
        Its distances run along the shaft's line, px.
    """
    across = float(bare.line.along[1])
    start = np.array(bare.line.start_px + bare.bottom * bare.line.along)
    upright = Strip(
        start_px=start,
        along=np.array([0.0, 1.0]),
        step_px=STEP_CM * px_per_cm,
        first=-(_ABOVE_CM + 1.5) * px_per_cm,
        last=20 * px_per_cm,
        half_width=(_ASIDE_CM + 2 * _AXIS_HALF_CM) * px_per_cm,
    )
    cut = upright.cut(picture)
    below, offsets = upright.distances / px_per_cm, upright.offsets / px_per_cm
    floor = cut[below > _FLOOR_BELOW_CM]

    if np.isfinite(floor).all(axis=-1).sum() < _LEAST_FLOOR:
        return PutterHead()
    # A shaft that leans is farther to the side in each lower row.
    leans = np.clip(below * bare.line.along[0] / across, -_ASIDE_CM, _ASIDE_CM)

    def strange(low: float, high: float) -> tuple[Flags, Floats]:
        rows = [_mean_between(row, offsets - lean, low, high) for row, lean in zip(cut, leans, strict=True)]
        colours = cv2.blur(np.stack(rows), (1, _ROWS)).reshape(len(rows), 3)
        middle, spread = _colours_of(floor, round((high - low) / STEP_CM))
        return np.linalg.norm((colours - middle) / spread, axis=1) > _FLOOR_Z, colours

    on_axis, axis = strange(-_AXIS_HALF_CM, _AXIS_HALF_CM)
    wide = on_axis & strange(*_FLANK_CM)[0] & strange(-_FLANK_CM[1], -_FLANK_CM[0])[0]
    wide &= (below > -_ABOVE_CM) & (below < _BELOW_CM)
    first, past = _last_run(wide, least=round(_LEAST_HEAD_CM / 2 / STEP_CM), gap=round(_GAP_CM / STEP_CM))
    if first == past:
        return PutterHead()
    run = past - 1
    while run + 1 < len(below) and on_axis[run + 1]:
        run += 1
    to_px = px_per_cm / across
    top = bare.bottom + float(below[first]) * to_px
    high = float(below[run] - below[first])
    if high > _HEAD_CM[view]:
        return PutterHead(top=top)
    deep = float(below[_last_step(axis, first=first, last=run)])
    edge = bare.bottom + deep * to_px if deep - below[first] >= _LEAST_HEAD_CM else math.nan
    return PutterHead(top=top, edge=edge)


def _colours_of(floor: Floats, width: int) -> tuple[Floats, Floats]:
    """Return middle and spread, (3,), of the floor's colours, averaged over `width` columns like the head's."""
    patches = cv2.blur(floor, (width, _ROWS)).reshape(-1, 3)
    patches = patches[np.isfinite(patches).all(axis=1)]
    middle = np.median(patches, axis=0)
    return middle, np.maximum(1.48 * np.median(np.abs(patches - middle), axis=0), _LEAST_LEVELS)


def _mean_between(row: Floats, offsets: Floats, low: float, high: float) -> Floats:
    return np.asarray(row[(offsets > low) & (offsets < high)].mean(axis=0))


def _last_run(flags: Flags, *, least: int, gap: int) -> tuple[int, int]:
    """Return first and one past last row of the lowest stretch of at least `least` rows; (0, 0) where there is none."""
    rows = np.flatnonzero(flags)
    if rows.size == 0:
        return 0, 0
    breaks = np.flatnonzero(np.diff(rows) > gap)
    starts, ends = np.append(rows[0], rows[breaks + 1]), np.append(rows[breaks], rows[-1])
    long = np.flatnonzero(ends - starts + 1 >= least)
    return (int(starts[long[-1]]), int(ends[long[-1]]) + 1) if long.size else (0, 0)


def _last_step(axis: Floats, *, first: int, last: int) -> int:
    """Return the row of the clearest change of colour not far above the last row that is not floor.

    Below a head lies its shadow, which does not look like floor either.
    """
    window, reach = round(_STEP_WINDOW_CM / STEP_CM), round(_SHADOW_CM / STEP_CM)
    rows = np.arange(max(first, last - reach, window), min(last + window // 2, len(axis) - window))
    if rows.size == 0:
        return last
    steps = [axis[row - window : row].mean(axis=0) - axis[row : row + window].mean(axis=0) for row in rows]
    return int(rows[int(np.argmax(np.linalg.norm(steps, axis=1)))])
