"""Matched filter for strokes: where the picture's motion and the body's swing have the shape of a stroke.

A stroke goes back, may be held there, and goes through to the other side, where it ends; before it nothing moves. Such
a shape is compared at every moment of the clip with two independent measurements: how much moves in the picture, which
follows the shape's speed, and how far the body has swung, which follows the shape itself. The score is the gain in log
likelihood over "no stroke here", with size and noise of each unknown. So a stroke can be found even where a hand-held
camera hides the first, or coarse landmarks hide the second.

The path from one turn to the next is minimum jerk (Flash and Hogan 1985). Published timing: 99 tour players took 670 ±
90 ms back and 317 ± 35 ms from there to impact (a 2007 study, known only as a newsletter quotes it). Times are real
seconds.
"""

from typing import Final, Literal

import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray
from scipy.ndimage import maximum_filter1d, uniform_filter1d

from putt_posture.setups.quiet import LEVEL_MEAN_S, LEVEL_STEP_S, Activity
from putt_posture.setups.signals import Signals
from putt_posture.values import Floats, View

__all__ = ["Match", "StrokeShape", "find_matches"]

_BACK_S: Final = (0.5, 0.58, 0.67, 0.77, 0.9)
"""Up to two standard deviations from the published mean, in steps too small to matter for a match."""
_HELD_BACK_S: Final = (0.55, 0.67, 0.82)
_HELD_S: Final = (0.4, 0.65, 0.9, 1.15, 1.4)
_LONG_BACK_S: Final = (0.6, 0.75)
_LONG_HELD_S: Final = tuple(1.65 + 0.25 * step for step in range(11))
"""A top that is held for as long as a drill asks, in steps of half the way through: a longer step would miss it."""
_RESTED_S: Final = tuple(0.5 + 0.25 * step for step in range(6))
"""A rest at the ball; then the ways to it and on from it take longer, since each begins or ends at rest."""
_RESTED_THROUGH_S: Final = 0.5
_THROUGH_SHARE: Final = 0.47
"""Time from the top to impact as a share of the time of the backswing: the published means."""
_LEAD_S: Final = 0.5
"""Stillness before the stroke that belongs to the shape, s."""
_TAIL_S: Final = 0.2
"""Stillness after it, s."""
_HELD_COST: Final = 3.0
"""Penalty of a pause at the top, nats. It is rare, one in twenty or so, and has three times as many shapes to fit by
chance (judged)."""
_LEAST_GAIN: Final = 14.0
"""Least gain, nats. Of 621 acted strokes 99 in 100 have more; in 300 acted clips only three other places do."""
_LEAST_MOTION: Final = 0.3
_LEAST_BODY: Final = 0.15
"""Shares of the variance that the shape must explain: neither measurement is enough alone."""
_LEAST_LONG_MOTION: Final = 0.78
_LEAST_RESTED_MOTION: Final = 0.62
"""Shares of the motion for a top held for long and for a rest at the ball: the long stillness in them fits between any
two swings. Acted strokes of these kinds have 0.79 and 0.68 or more, such gaps between swings 0.40 to 0.79."""
_LEAST_GAIN_OF_BODY: Final = 8.0
_LEAST_BODY_ALONE: Final = 0.85
"""The share where only the body can be used, because other things move in the picture."""
_LEAST_WIDTH: Final[dict[View, float]] = {"face_on": 0.025, "down_the_line": 0.008}
"""Least swing from the address to either side, in body sizes: face on 3.3 cm of the hands, down the line 1 cm of one
shoulder and elbow relative to the other. Strokes of acted and rendered clips have twice that and more; less is noise
that happens to have the shape."""
_CONSIDERED_GAIN: Final = 8.0
_NOTHING: Final = 1e-12
_LIKE_BEST: Final = 0.6
"""Places with at least this share of the best gain decide which way the body swings."""
_MOST_EXPLAINED: Final = 0.995
_ADDRESS_S: Final = 0.15
"""From this long before the start until impact the student must look as at address, s."""
_MOST_LOOKS_HZ: Final = 3.0
"""Frames that follow each other faster share their error; of three in a row the middle one is taken."""
_MOST_OVERLAP_S: Final = 0.25
"""Longest overlap of two strokes, s; the better one stays."""


@frozen(kw_only=True)
class StrokeShape:
    """The timing of a stroke.

    Attributes
    ----------
    back_s, held_s, through_s : float
        Backswing, pause at the top, and top to impact; the follow-through takes as long as the last.
    rested_s : float
        Rest at the ball, as in a drill; 0 where the putter goes through.
    """

    back_s: float
    held_s: float
    through_s: float
    rested_s: float = 0.0

    @property
    def least_motion(self) -> float:
        """Least share of the picture's motion that this shape must explain, where longer stillness is part of it."""
        if self.rested_s:
            return _LEAST_RESTED_MOTION
        return _LEAST_LONG_MOTION if self.held_s >= _LONG_HELD_S[0] else 0.0

    @property
    def length_s(self) -> float:
        """From the start to the finish."""
        return self.impact_s + self.rested_s + self.through_s

    @property
    def impact_s(self) -> float:
        """From the start to impact."""
        return self.back_s + self.held_s + self.through_s

    def place(self, since_s: Floats) -> Floats:
        """Return where the putter is: 0 at address, −1 at the top, +1 at the finish.

        Parameters
        ----------
        since_s : (N,)
            Seconds since the start of the stroke.

        Examples
        --------
        >>> shape = StrokeShape(back_s=0.6, held_s=0.0, through_s=0.3)
        >>> shape.place(np.array([-1.0, 0.0, 0.6, 0.9, 2.0])).round(3).tolist()
        [0.0, 0.0, -1.0, 0.0, 1.0]
        """
        since_top_s = since_s - self.back_s - self.held_s
        if self.rested_s:
            on = _eased((since_top_s - self.through_s - self.rested_s) / self.through_s)
            return _eased(since_top_s / self.through_s) + on - _eased(since_s / self.back_s)
        return 2 * _eased(since_top_s / (2 * self.through_s)) - _eased(since_s / self.back_s)


@frozen(kw_only=True)
class Match:
    """A place in the clip that has the shape of a stroke.

    Attributes
    ----------
    start_s : float
        When the putter leaves the ball.
    shape : StrokeShape
    gain : float
        Log likelihood over that of no stroke, nats.
    by_motion, by_body : float
        Shares of the picture's motion and of the body's swing that the shape explains.
    size : (D,)
        Of the swing, in body sizes, in each column of `Signals.swing_px`.
    """

    start_s: float
    shape: StrokeShape
    gain: float
    by_motion: float
    by_body: float
    size: Floats = field(repr=False, eq=False)

    @property
    def width(self) -> float:
        """How far the body swings, in body sizes."""
        return float(np.linalg.norm(self.size))

    @property
    def end_s(self) -> float:
        """When the follow-through ends."""
        return self.start_s + self.shape.length_s


def find_matches(
    signals: Signals, activity: Activity, *, compared: Literal["motion and body", "body"] = "motion and body"
) -> list[Match]:
    """Find the places at address that have the shape of a stroke.

    Parameters
    ----------
    signals : Signals
    activity : Activity
        Of the same track, with two points of the grid or more.
    compared : {"motion and body", "body"}
        What is compared with the shape.

    Returns
    -------
    list of Match
        In order of time; no two of them share more than 0.25 s.
    """
    swing = _swing_on_grid(signals, activity.times_s)
    level = np.where(np.isfinite(activity.level), activity.level, activity.floor)
    alone = compared == "body"
    first = _lay_over(activity, level, swing, alone=alone)
    if not first:
        return []
    # A golfer swings only one way. The clearest places show which, and that makes the others clearer.
    sizes = np.array([each.gain * each.size for each in first if each.gain >= _LIKE_BEST * first[0].gain])
    way = np.linalg.svd(sizes, full_matrices=False)[2][0]
    way = way * np.sign(np.sum(sizes @ way))
    found = _lay_over(activity, level, swing @ way[:, None], one_way=True, alone=alone)
    least = _LEAST_GAIN_OF_BODY if alone else _LEAST_GAIN
    clear = (each for each in found if each.gain >= least and each.width >= _LEAST_WIDTH[signals.view])
    return sorted(clear, key=lambda each: each.start_s)


def _lay_over(
    activity: Activity, level: Floats, swing: Floats, *, one_way: bool = False, alone: bool = False
) -> list[Match]:
    """Return the best places of all shapes, best first.

    With `one_way` the swing has one column and a sign; with `alone` the picture's motion is not used.
    """
    least_motion, least_body = (0.0, _LEAST_BODY_ALONE) if alone else (_LEAST_MOTION, _LEAST_BODY)
    ends = round(_LEAD_S / LEVEL_STEP_S), round((_TAIL_S + max(_BACK_S) * _THROUGH_SHARE) / LEVEL_STEP_S)
    level = np.pad(level, ends, constant_values=activity.floor)
    swing = np.pad(swing, (ends, (0, 0)), mode="edge")
    there = np.pad(activity.at_address, ends, constant_values=False)
    there[: ends[0]] = activity.at_address[0]
    away = np.concatenate(([0], np.cumsum(~there)))
    begins = activity.times_s[0] + LEVEL_STEP_S * (np.arange(len(level)) - ends[0])
    found: list[Match] = []
    for shape in _SHAPES:
        since = np.arange(-_LEAD_S, shape.length_s + _TAIL_S, LEVEL_STEP_S)
        if len(since) > len(level):
            continue
        place, speed = shape.place(since), _seen_speed(shape, since)
        along, varies = _slide(level, speed)
        by_motion = np.where(along > 0, along**2 / varies, 0.0)
        slid = [_slide(column, place) for column in swing.T]
        size = np.array([each for each, _ in slid])
        explained = np.maximum(size[0], 0.0) ** 2 if one_way else (size**2).sum(axis=0)
        by_body = explained / np.sum([varied for _, varied in slid], axis=0)
        span_s = len(since) * LEVEL_STEP_S
        gain = (
            (0.0 if alone else _gain(by_motion, span_s / LEVEL_MEAN_S))
            + _gain(by_body, span_s * _MOST_LOOKS_HZ * (1.0 if one_way else max(swing.shape[1] / 2, 1.0)))
            - (_HELD_COST if shape.held_s or shape.rested_s else 0.0)
        )
        first = np.arange(len(gain)) + round((_LEAD_S - _ADDRESS_S) / LEVEL_STEP_S)
        last = first + round(shape.impact_s / LEVEL_STEP_S)
        gain[
            (away[last] > away[first])
            | (by_motion < max(least_motion, 0.0 if alone else shape.least_motion))
            | (by_body < least_body)
        ] = 0.0
        spread = float(np.sqrt(np.sum((place - place.mean()) ** 2)))
        found += [
            Match(
                start_s=float(begins[at]) + _LEAD_S,
                shape=shape,
                gain=float(gain[at]),
                by_motion=float(by_motion[at]),
                by_body=float(by_body[at]),
                size=size[:, at] / spread,
            )
            for at in _peaks(gain)
        ]
    return _best_apart(found)


def _best_apart(found: list[Match]) -> list[Match]:
    """Return the matches, best first, that do not overlap a better one."""
    kept: list[Match] = []
    for match in sorted(found, key=lambda each: -each.gain):
        shared = (min(match.end_s, other.end_s) - max(match.start_s, other.start_s) for other in kept)
        if all(each < _MOST_OVERLAP_S for each in shared):
            kept.append(match)
    return kept


def _slide(values: Floats, pattern: Floats) -> tuple[Floats, Floats]:
    """Correlate a pattern with every place of a row of values.

    Returns
    -------
    along, varies : (P,)
        Projection of the values on the pattern, made zero-mean and of unit norm, and the sum of squares of the values
        there about their mean. The pattern explains along² / varies of their variance.
    """
    pattern = pattern - pattern.mean()
    along = np.correlate(values, pattern / np.sqrt(np.sum(pattern**2)), mode="valid")
    size = len(pattern)
    sums, squares = (np.concatenate(([0.0], np.cumsum(each))) for each in (values, values**2))
    varies = (squares[size:] - squares[:-size]) - (sums[size:] - sums[:-size]) ** 2 / size
    return np.asarray(along, dtype=np.float64), np.maximum(varies, np.maximum(along**2, _NOTHING))


def _gain(explained: Floats, independent: float) -> Floats:
    """Return the gain in log likelihood, nats, for normal errors of unknown size."""
    gain: Floats = -0.5 * independent * np.log1p(-np.minimum(explained, _MOST_EXPLAINED))
    return gain


def _peaks(gain: Floats) -> NDArray[np.intp]:
    """Return where the gain is large enough and the best within a tenth of a second to either side."""
    around = maximum_filter1d(gain, size=7, mode="nearest")
    return np.flatnonzero((gain >= _CONSIDERED_GAIN) & (gain == around))


def _swing_on_grid(signals: Signals, times_s: Floats) -> Floats:
    """Return the swing (G, D) in body sizes on the time grid; where it is not known, that of the nearest frame."""
    known = np.isfinite(signals.swing_px).all(axis=1) & np.isfinite(signals.body_px)
    body = float(np.median(signals.body_px[known]))
    columns = [np.interp(times_s, signals.times_s[known], column) for column in signals.swing_px[known].T / body]
    return np.stack(columns, axis=1)


def _seen_speed(shape: StrokeShape, since_s: Floats) -> Floats:
    """Return the expected level of motion of a stroke: its speed, averaged like the level."""
    fine = np.arange(since_s[0] - LEVEL_MEAN_S, since_s[-1] + LEVEL_MEAN_S, LEVEL_STEP_S / 10)
    speed = np.abs(np.gradient(shape.place(fine), fine))
    size = round(LEVEL_MEAN_S / (LEVEL_STEP_S / 10))
    return np.asarray(np.interp(since_s, fine, uniform_filter1d(speed, size=size)), dtype=np.float64)


def _eased(share: Floats) -> Floats:
    """Minimum jerk from 0 to 1."""
    share = np.clip(share, 0.0, 1.0)
    eased: Floats = share**3 * (10 - 15 * share + 6 * share**2)
    return eased


_SHAPES: Final = tuple(
    StrokeShape(back_s=back_s, held_s=held_s, through_s=_THROUGH_SHARE * back_s)
    for all_back_s, all_held_s in ((_BACK_S, (0.0,)), (_HELD_BACK_S, _HELD_S), (_LONG_BACK_S, _LONG_HELD_S))
    for back_s in all_back_s
    for held_s in all_held_s
) + tuple(
    StrokeShape(back_s=back_s, held_s=0.0, through_s=_RESTED_THROUGH_S, rested_s=rested_s)
    for back_s in _LONG_BACK_S
    for rested_s in _RESTED_S
)
