"""The line of the bare shaft: searched for roughly below the hands, then fitted exactly.

A ridge is brighter or darker, or of another colour, than what lies on *both* of its sides; so the edge of a door frame,
of a trouser leg or of a shadow is not one. Evidence is smoothed along the candidate line first, which removes floor
texture but not a shaft. The exact line goes through the middle of the shaft in each row.

Distances run down the line from its start, offsets across it.
"""

from typing import Final

import cv2
import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from putt_posture.scene.strip import Strip
from putt_posture.values import Floats, Picture

__all__ = ["BareShaft", "Line", "find_lines", "fit_line", "refine_line", "ridge_evidence"]

_ROUGH_STEP_CM: Final = 0.25
_COARSE_DEG: Final = 2.0
_FINE_DEG: Final = 0.2
_ROOM_CM: Final = 4.0
"""Least room in a strip beside the lines that are looked for, cm."""
_SMOOTH_CM: Final = 1.5
"""Smoothing along the line, one sigma, cm."""
SIDE_CM: Final = 1.3
"""A shaft is 0.9 to 1.5 cm thick (common practice); at this distance to its side there is background, cm."""
_SOFT_LEVELS: Final = 6.0
"""Contrast, of 255, at which a ridge has half of the full evidence on a plain background."""
_LOCAL_CM: Final = 4.0
_KEEP: Final = 5
_APART_CM: Final = 2.0

STEP_CM: Final = 0.125
_HALF_CM: Final = 6.0
_INNER_CM: Final = 1.1
"""Half-width that contains the shaft and its blur, cm."""
_OUTER_CM: Final = 2.2
_MIDDLES_SMOOTH_CM: Final = 1.0
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
"""A shaft goes on for as long as its evidence is higher by `_CLEARER` than that of 95 of 100 lines beside it, and at
least the share `_AS_CLEAR` of its usual value, over this length, cm. Blades of grass beyond its end line up less
well."""
_END_HALF_CM: Final = 0.75
"""Averaged evidence falls this far before the end of a shaft, cm."""
_MIN_ROWS: Final = 60
_FIT_HALF_CM: Final = 3.5
_FIT_ROWS: Final = 0.35
"""Least share of the rows that must show the shaft where its place is known already."""


@frozen(kw_only=True, eq=False)
class Line:
    """A line through a place near the start.

    Attributes
    ----------
    start_px : (2,)
        Its point at distance 0, px.
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
    strip_deg: float = _COARSE_DEG,
) -> list[Line]:
    """Return the best lines, best first; each a little apart from the better ones.

    Parameters
    ----------
    picture : (H, W, 3) uint8
        RGB, upright and not mirrored, full size.
    start_px : (2,)
        Lines pass within `offset_cm` of it.
    angles_deg : (float, float)
        Least and greatest angle of the downward line from the picture's vertical, + = to the right.
    px_per_cm : float
        Scale of the picture, pixels per cm.
    first_cm, last_cm : float
        Evidence counts between these distances from the start, cm.
    offset_cm : float
        How far beside the start a line may pass, cm.
    strip_deg : float
        Angles that are looked at in one strip of the picture, deg: one wide strip costs a fraction of several narrow
        ones, and smooths a little across lines that are not its own.

    Returns
    -------
    list of Line
        At most 5; empty where the picture shows no ridge.
    """
    low, high = angles_deg
    if high - low <= strip_deg:
        centres = np.array([(low + high) / 2])
    else:
        centres = np.linspace(low, high, max(2, int(np.ceil((high - low) / strip_deg)) + 1))
    fine = np.arange(-strip_deg / 2, strip_deg / 2 + 1e-9, _FINE_DEG)
    room_cm = max(_ROOM_CM, SIDE_CM + _ROUGH_STEP_CM + last_cm * float(np.tan(np.radians(strip_deg / 2))))
    found: list[Line] = []
    for centre in centres:
        turn = np.radians(centre)
        strip = Strip(
            start_px=start_px,
            along=np.array([np.sin(turn), np.cos(turn)]),
            step_px=_ROUGH_STEP_CM * px_per_cm,
            first=first_cm * px_per_cm,
            last=last_cm * px_per_cm,
            half_width=(offset_cm + room_cm) * px_per_cm,
        )
        evidence = ridge_evidence(strip.cut(picture), step_cm=_ROUGH_STEP_CM)
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
        Brightness and two colour differences, as `Strip.cut` returns them; NaN outside the picture.
    step_cm : float
        Distance between two samples, cm.

    Returns
    -------
    (rows, columns)
        0 where there is no ridge, and near both edges of the strip.
    """
    # All three channels are NaN where one is.
    outside = np.isnan(strip[..., 0])
    known = np.nan_to_num(strip) if outside.any() else strip
    smooth = cv2.GaussianBlur(known, (0, 0), sigmaX=0.25 / step_cm, sigmaY=_SMOOTH_CM / step_cm)
    away = round(SIDE_CM / step_cm)
    left, right = np.roll(smooth, away, axis=1), np.roll(smooth, -away, axis=1)
    ridge = np.maximum(smooth - np.maximum(left, right), np.minimum(left, right) - smooth)
    np.maximum(ridge, 0.0, out=ridge)
    window = int(2 * _LOCAL_CM / step_cm) | 1
    noise = cv2.blur(ridge, (window, window), borderType=cv2.BORDER_REFLECT)
    # One channel at a time: NumPy takes several times as long over an axis of three.
    bright, red, yellow = np.moveaxis(ridge / (ridge + _SOFT_LEVELS + 2.0 * noise), -1, 0)
    evidence = np.maximum(np.maximum(bright, red), yellow)
    evidence[:, :away] = 0.0
    evidence[:, -away:] = 0.0
    evidence[outside] = 0.0
    return np.asarray(evidence, dtype=np.float64)


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
        Standard deviation of the middles about the line, px.
    angle_sd_deg : float
        One sigma of the line's direction, deg.
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
        RGB, upright and not mirrored, full size.
    rough : Line
        As `find_lines` found it.
    px_per_cm : float
        Scale of the picture, pixels per cm.
    first_cm : float
        Where the search begins, cm along the line.
    again_cm : float
        How far down a shaft that was hidden may be visible again, cm along the line.
    last_cm : float
        Farthest possible place of the ground, cm along the line.

    Returns
    -------
    BareShaft or None
        None where less than 7.5 cm of the shaft is visible.
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


def fit_line(picture: Picture, rough: Line, *, px_per_cm: float, first_cm: float, last_cm: float) -> BareShaft | None:
    """Fit the middle of a shaft whose bare part is known; None where too little of that part is visible.

    It does what `refine_line` does, in an eighth of the time, where another picture has shown how far the bare shaft
    runs.

    Parameters
    ----------
    picture : (H, W, 3) uint8
        RGB, upright and not mirrored.
    rough : Line
        As `find_lines` found it.
    px_per_cm : float
        Scale of the picture, pixels per cm.
    first_cm, last_cm : float
        Where the bare shaft begins and ends, cm along the line.

    Returns
    -------
    BareShaft or None
        `top` and `bottom` are the ends that were given.
    """
    step = 2 * STEP_CM
    strip = Strip(
        start_px=rough.start_px,
        along=rough.along,
        step_px=step * px_per_cm,
        first=first_cm * px_per_cm,
        last=last_cm * px_per_cm,
        half_width=_FIT_HALF_CM * px_per_cm,
    )
    cut = strip.cut(picture)
    evidence = ridge_evidence(cut, step_cm=step)
    middle = evidence.shape[1] // 2
    near = round(0.5 / step)
    sure = evidence[:, middle - near : middle + near + 1].max(axis=1)
    centres = _middles(cut, strip, step_cm=step)
    used = (sure > _SURE) & np.isfinite(centres)
    if used.mean() < _FIT_ROWS:
        return None
    slope, offset, used = _fit(strip.distances, centres, used, off=_OFF_CM * px_per_cm)
    if used.mean() < _FIT_ROWS:
        return None
    seen = strip.distances[used]
    scatter = float(np.std(seen * slope + offset - centres[used]))
    independent = max(used.sum() * step / _INDEPENDENT_CM, 3.0)
    along = rough.along + slope * strip.across
    line = Line(
        start_px=rough.start_px + offset * strip.across,
        along=along / np.linalg.norm(along),
        score=float(sure.mean()),
    )
    return BareShaft(
        line=line,
        top=first_cm * px_per_cm,
        bottom=last_cm * px_per_cm,
        shown=float(used.mean()),
        scatter_px=scatter,
        angle_sd_deg=float(np.degrees(np.sqrt(12.0 / independent) * scatter / (seen[-1] - seen[0]))),
    )


def _sheared_means(evidence: Floats, strip: Strip, slopes: Floats, *, reach: float) -> Floats:
    """Return the mean evidence along each (slope, offset), (slopes, offsets)."""
    middle = evidence.shape[1] // 2
    half = int(reach / strip.step_px)
    shift = slopes[:, None] * (strip.distances[None, :] / strip.step_px)
    first = np.rint(middle + shift).astype(int) - half
    # Lines that run out of the strip see its edge.
    before, after = max(-int(first.min()), 0), max(int(first.max()) + 2 * half + 1 - evidence.shape[1], 0)
    padded = np.pad(evidence, ((0, 0), (before, after)), mode="edge")
    runs = np.lib.stride_tricks.sliding_window_view(padded, 2 * half + 1, axis=1)
    return np.asarray(runs[np.arange(len(evidence))[None, :], first + before].mean(axis=1))


def _peaks(scores: Floats) -> list[tuple[int, int]]:
    best = np.argsort(scores, axis=None)[::-1][: 40 * _KEEP]
    rows, columns = np.unravel_index(best, scores.shape)
    kept: list[tuple[int, int]] = []
    while len(columns) and len(kept) < _KEEP:
        kept.append((int(rows[0]), int(columns[0])))
        apart = np.abs(columns - columns[0]) > 3
        rows, columns = rows[apart], columns[apart]
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


def _middles(cut: Floats, strip: Strip, *, step_cm: float = STEP_CM) -> Floats:
    """Return the offset of the ridge's middle in each row, (rows,) px; NaN where there is nothing."""
    smooth = cv2.GaussianBlur(
        np.nan_to_num(cut), (0, 0), sigmaX=0.6 * STEP_CM / step_cm, sigmaY=_MIDDLES_SMOOTH_CM / step_cm
    )
    offsets = strip.offsets
    cm = np.abs(offsets) / strip.step_px * step_cm
    left = smooth[:, (cm > _INNER_CM) & (cm < _OUTER_CM) & (offsets < 0)].mean(axis=1)
    right = smooth[:, (cm > _INNER_CM) & (cm < _OUTER_CM) & (offsets > 0)].mean(axis=1)
    apart = (_INNER_CM + _OUTER_CM) / step_cm * strip.step_px
    share = np.clip(offsets / apart + 0.5, 0, 1)[None, :, None]
    base = left[:, None] * (1 - share) + right[:, None] * share
    inner = cm <= _INNER_CM
    weight = np.zeros(smooth.shape[:2])
    weight[:, inner] = np.linalg.norm(smooth[:, inner] - base[:, inner], axis=-1)
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
        along, aside = distances[used], centres[used]
        from_middle = along - along.mean()
        slope = float(from_middle @ aside / (from_middle @ from_middle))
        offset = float(aside.mean() - slope * along.mean())
    return slope, offset, used
