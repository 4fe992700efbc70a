"""The exact position of a shaft near a rough line: its middle in each row, and a straight line through them."""

from typing import Final

import cv2
import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from putt_posture.scene.ridge import Line, ridge_evidence
from putt_posture.scene.strip import Strip
from putt_posture.values import Floats, Picture

__all__ = ["BareShaft", "refine_line"]

STEP_CM: Final = 0.125
_HALF_CM: Final = 6.0
_INNER_CM: Final = 1.1
"""Half-width that contains the shaft and its blur, cm."""
_OUTER_CM: Final = 2.2
_SMOOTH_CM: Final = 1.0
_SURE: Final = 0.4
"""Evidence at which the shaft counts as visible in a row."""
_OFF_CM: Final = 0.5
_LONGEST_GAP_CM: Final = 6.0
"""Length of a shaft that a cuff, a shoelace or a bright patch may hide, cm."""
_HIDDEN_CM: Final = 14.0
"""Length that trousers, or a bright shoe beside a bright shaft, may hide where the shaft is visible again beyond,
cm."""
_AGAIN_CM: Final = 3.0
_BEYOND_CM: Final = 6.0
_INDEPENDENT_CM: Final = 2.5
_END_CM: Final = 3.0
_BESIDE_CM: Final = (1.6, 5.5)
_BESIDE: Final = 0.95
_CLEARER: Final = 0.08
_AS_CLEAR: Final = 0.7
_LEAST_CLEAR_CM: Final = 2.0
"""Length in cm, excess over 95 of 100 lines beside it, and share of its usual value: so long as there is a shaft,
evidence on the line has these; blades of grass beyond its end line up less well."""
_END_HALF_CM: Final = 0.75
"""Averaged evidence falls this much before the end of a shaft, cm."""
_MIN_ROWS: Final = 60


@frozen(kw_only=True, eq=False)
class BareShaft:
    """The bare shaft between grip and head.

    Attributes
    ----------
    line : Line
        Through its middle; `score` is the mean evidence between its ends.
    top, bottom : float
        Distances along the line between which it is visible, px.
    shown : float
        Share of the rows between them in which it is visible.
    scatter_px : float
        Of the middles about the line.
    angle_sd_deg : float
    """

    line: Line
    top: float
    bottom: float
    shown: float
    scatter_px: float
    angle_sd_deg: float


def refine_line(
    picture: Picture, rough: Line, *, px_per_cm: float, first_cm: float, again_cm: float, last_cm: float
) -> BareShaft | None:
    """Fit the shaft's middle near a rough line; None where too little of it is visible.

    Parameters
    ----------
    picture : (H, W, 3) uint8
    rough : Line
    px_per_cm : float
    first_cm : float
        Where along the line to begin.
    again_cm : float
        Down to where along it a hidden shaft may be visible again.
    last_cm : float
        Where along it the ground is at the farthest.
    """
    line, found = rough, None
    for _ in range(3):
        strip = Strip(
            start_px=line.start_px,
            along=line.along,
            step_px=STEP_CM * px_per_cm,
            first=first_cm * px_per_cm,
            last=(last_cm + _BEYOND_CM) * px_per_cm,
            half_width=_HALF_CM * px_per_cm,
        )
        cut = strip.cut(picture)
        evidence = ridge_evidence(cut, step_cm=STEP_CM)
        middle = evidence.shape[1] // 2
        near = round(0.4 / STEP_CM)
        sure = evidence[:, middle - near : middle + near + 1].max(axis=1)
        centres = _middles(cut, strip)
        run = _longest_run(sure > _SURE, gap=round(_LONGEST_GAP_CM / STEP_CM))
        down_to = round((again_cm - first_cm) / STEP_CM)
        run = _reach_up(sure > _SURE, run[0]), _reach_down(sure > _SURE, run[1], limit=down_to)
        run = run[0], _clear_end(evidence, sure > _SURE, strip, run)
        rows = np.arange(len(sure))
        used = (sure > _SURE) & (rows >= run[0]) & (rows < run[1]) & np.isfinite(centres)
        if used.sum() < _MIN_ROWS:
            return None
        distances = strip.distances
        slope, offset, used = _fit(distances, centres, used, off=_OFF_CM * px_per_cm)
        if used.sum() < _MIN_ROWS:
            return None
        scatter = float(np.std(distances[used] * slope + offset - centres[used]))
        length = distances[run[1] - 1] - distances[run[0]]
        independent = max(used.sum() * STEP_CM / _INDEPENDENT_CM, 3.0)
        along = line.along + slope * strip.across
        line = Line(
            start_px=line.start_px + offset * strip.across,
            along=along / np.linalg.norm(along),
            score=float(sure[run[0] : run[1]].mean()),
        )
        found = BareShaft(
            line=line,
            top=float(distances[run[0]]),
            bottom=float(distances[run[1] - 1]),
            shown=float(used[run[0] : run[1]].mean()),
            scatter_px=scatter,
            angle_sd_deg=float(np.degrees(np.sqrt(12.0 / independent) * scatter / length)),
        )
    return found


def _middles(cut: Floats, strip: Strip) -> Floats:
    """Return the offset of the ridge's middle in each row, (rows,) px; NaN where there is nothing."""
    smooth = cv2.GaussianBlur(np.nan_to_num(cut), (0, 0), sigmaX=0.6, sigmaY=_SMOOTH_CM / STEP_CM)
    offsets = strip.offsets
    cm = np.abs(offsets) / strip.step_px * STEP_CM
    left = smooth[:, (cm > _INNER_CM) & (cm < _OUTER_CM) & (offsets < 0)].mean(axis=1)
    right = smooth[:, (cm > _INNER_CM) & (cm < _OUTER_CM) & (offsets > 0)].mean(axis=1)
    apart = (_INNER_CM + _OUTER_CM) / STEP_CM * strip.step_px
    share = np.clip(offsets / apart + 0.5, 0, 1)[None, :, None]
    base = left[:, None] * (1 - share) + right[:, None] * share
    weight = np.linalg.norm(smooth - base, axis=-1) * (cm <= _INNER_CM)
    weight = np.maximum(weight - 0.25 * weight.max(axis=1, keepdims=True), 0.0)
    total = weight.sum(axis=1)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.where(total > 0, (weight * offsets).sum(axis=1) / total, np.nan))


def _longest_run(sure: NDArray[np.bool_], *, gap: int) -> tuple[int, int]:
    """Return first and one past last row of the longest stretch whose gaps are no longer than `gap`."""
    rows = np.flatnonzero(sure)
    if rows.size == 0:
        return 0, 0
    breaks = np.flatnonzero(np.diff(rows) > gap)
    starts = np.concatenate([[0], breaks + 1])
    ends = np.concatenate([breaks, [rows.size - 1]])
    best = int(np.argmax(rows[ends] - rows[starts]))
    return int(rows[starts[best]]), int(rows[ends[best]]) + 1


def _reach_up(sure: NDArray[np.bool_], start: int) -> int:
    """Return the first row of what is still visible above a longer gap over `start`."""
    return start - _reach_down(sure[:start][::-1], 0, limit=start)


def _reach_down(sure: NDArray[np.bool_], end: int, *, limit: int) -> int:
    """Return one past the last row after a longer gap below `end` that still lies above the limit."""
    first, last = _longest_run(sure[end : max(limit, end)], gap=2)
    far_enough = last - first >= _AGAIN_CM / STEP_CM and first <= _HIDDEN_CM / STEP_CM
    return end + last if far_enough else end


def _clear_end(evidence: Floats, sure: NDArray[np.bool_], strip: Strip, run: tuple[int, int]) -> int:
    """Return one past the last row of a run in which a shaft can be distinguished from what lines up beyond its end."""
    start, end = run
    means = cv2.blur(evidence, (1, 2 * round(_END_CM / STEP_CM / 2) + 1), borderType=cv2.BORDER_REFLECT)
    cm = np.abs(strip.offsets) / strip.step_px * STEP_CM
    beside = np.quantile(means[:, (cm > _BESIDE_CM[0]) & (cm < _BESIDE_CM[1])], _BESIDE, axis=1)
    on_line = means[:, cm < 2 * STEP_CM].max(axis=1)
    usual = float(np.median(on_line[start:end])) if end > start else 0.0
    clear = (on_line > beside + _CLEARER) & (on_line > _AS_CLEAR * usual)
    # Erosion removes what is too short to be a shaft; then the last row that remains.
    least = round(_LEAST_CLEAR_CM / STEP_CM)
    whole = np.convolve(clear[start:end], np.ones(least), mode="valid") == least
    rows = np.flatnonzero(whole)
    if rows.size == 0:
        return start
    last = start + int(rows[-1]) + least + round(_END_HALF_CM / STEP_CM)
    shown = np.flatnonzero(sure[start : min(last, end)])
    return start + int(shown[-1]) + 1


def _fit(
    distances: Floats, centres: Floats, used: NDArray[np.bool_], *, off: float
) -> tuple[float, float, NDArray[np.bool_]]:
    slope, offset = 0.0, float(np.median(centres[used]))
    for limit in (4 * off, 2 * off, off, off):
        used = used & (np.abs(centres - offset - slope * distances) < limit)
        if used.sum() < 3:
            break
        slope, offset = (float(one) for one in np.polyfit(distances[used], centres[used], 1))
    return slope, offset, used
