"""Which strokes of both clips are one and the same.

One performance is claimed where the motion in both clips is alike at one shift (`putt_posture.setups.together`), or
where the waits between strokes agree much better than the waits of one student before two different strokes do. Two
clips of a single putt show neither, since a student repeats their tempo. Times are real seconds unless they are called
clip times.
"""

import itertools
import math
from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np
from attrs import frozen

from putt_posture.values import Estimate, StrokeEvent, StrokeKind

__all__ = ["DURATIONS", "LAID_SD_S", "SameStrokes", "TimedStroke", "match_views"]

WAITS_VARY: Final = 0.12
"""How much the time from one stroke to the next differs in two performances of one student, one sigma, as a share
(judged; a routine before a putt takes a golfer about the same time)."""
_LEAST_VARY_S: Final = 0.15
_SURE: Final = math.log(20.0)
"""Waits must be so many times as likely in one performance as in two, as a logarithm."""
_LEAST_SAME: Final = 2
_NEAR_S: Final = 0.35
"""Motion in small pictures tells the shift to about a quarter of a second."""
_CONTRADICTS: Final = 4.0
"""Durations of one and the same stroke do not differ by more standard uncertainties than this."""
DURATIONS: Final[tuple[tuple[StrokeEvent, StrokeEvent], ...]] = (
    ("start", "top"),
    ("top", "impact"),
    ("impact", "finish"),
)
"""The three durations of a stroke, each by its two events."""
LAID_SD_S: Final = 0.04
"""One sigma of the shift by which a stroke of one clip is laid over the other clip by what moves in both (judged; in
twelve rendered strokes it was 0.02 s late and 0.024 s off, and people's clothes and backgrounds move more)."""


@frozen(kw_only=True)
class TimedStroke:
    """A stroke of one clip with its events.

    Attributes
    ----------
    events : mapping of StrokeEvent to Estimate
        Clip times.
    kind : StrokeKind
    stretch : float
        Clip seconds in a real second.
    middle_s : float
        Roughly the middle of the stroke, real seconds.
    shift_s : float
        As in `SeenStroke`.
    """

    events: Mapping[StrokeEvent, Estimate]
    kind: StrokeKind
    stretch: float = 1.0
    middle_s: float = math.nan
    shift_s: float = math.nan

    def at(self, event: StrokeEvent) -> tuple[float, float]:
        """Return when an event is and one sigma, real seconds; NaN where it is absent.

        Parameters
        ----------
        event : StrokeEvent
        """
        found = self.events[event]
        if not found:
            return math.nan, math.nan
        return found.value / self.stretch, found.standard_uncertainty / self.stretch

    @property
    def moment_s(self) -> tuple[float, float]:
        """When the stroke meets the ball, or is at its top, and one sigma; NaN where neither is known."""
        return self.at("impact") if self.events["impact"] else self.at("top")


@frozen(kw_only=True)
class SameStrokes:
    """Which strokes of both clips are one and the same.

    Attributes
    ----------
    pairs : tuple of (int, int)
        Index face on, index down the line; empty where that is not known.
    shift_s : float
        Added to a time of the clip face on it gives that of the one down the line; NaN where not known.
    shift_sd_s : float
    """

    pairs: tuple[tuple[int, int], ...] = ()
    shift_s: float = math.nan
    shift_sd_s: float = math.nan


def match_views(
    front: Sequence[TimedStroke], side: Sequence[TimedStroke], *, rough_shift_s: float = math.nan
) -> SameStrokes:
    """Match the strokes of two clips that film one performance.

    Parameters
    ----------
    front, side : sequence of TimedStroke
        Face on and down the line, in order of time.
    rough_shift_s : float
        Added to a time face on it gives that down the line, where the motion of both clips told so; else NaN.

    Returns
    -------
    SameStrokes
        Empty where the clips do not show that they film one performance.
    """
    if math.isfinite(rough_shift_s):
        pairs = _pairs_at(front, side, rough_shift_s, _NEAR_S)
    else:
        pairs = _pairs_by_waits(front, side)
    if not pairs or any(_contradict(front[i], side[j]) for i, j in pairs):
        return SameStrokes()
    shift_s, sd = _shift(front, side, pairs)
    return SameStrokes(pairs=pairs, shift_s=shift_s, shift_sd_s=sd)


def _pairs_at(
    front: Sequence[TimedStroke], side: Sequence[TimedStroke], shift_s: float, near_s: float
) -> tuple[tuple[int, int], ...]:
    return tuple(
        (i, j)
        for i, one in enumerate(front)
        for j, other in enumerate(side)
        if abs(one.moment_s[0] + shift_s - other.moment_s[0]) <= near_s
    )


def _pairs_by_waits(front: Sequence[TimedStroke], side: Sequence[TimedStroke]) -> tuple[tuple[int, int], ...]:
    """Return the pairs of neighbouring strokes between which the waits agree as they hardly do by chance."""
    best: tuple[tuple[int, int], ...] = ()
    surest, tried = -math.inf, 0
    for ahead in range(-len(side) + _LEAST_SAME, len(front) - _LEAST_SAME + 1):
        pairs = tuple((j + ahead, j) for j in range(len(side)) if 0 <= j + ahead < len(front))
        moments = [(front[i].moment_s, side[j].moment_s) for i, j in pairs]
        if len(pairs) < _LEAST_SAME or not np.isfinite(moments).all():
            continue
        tried += 1
        odds = sum(_odds(*two) for two in itertools.pairwise(moments))
        if odds > surest:
            best, surest = pairs, odds
    return best if tried and surest - math.log(tried) >= _SURE else ()


def _odds(
    first: tuple[tuple[float, float], tuple[float, float]], then: tuple[tuple[float, float], tuple[float, float]]
) -> float:
    """Return how much likelier one wait in both clips is in one performance than in two, as a logarithm."""
    waits = [then[view][0] - first[view][0] for view in (0, 1)]
    apart = waits[0] - waits[1]
    measured = math.hypot(*(each[view][1] for each in (first, then) for view in (0, 1)), 1e-3)
    varied = math.sqrt(2) * max(WAITS_VARY * abs(waits[0]), _LEAST_VARY_S)
    both = math.hypot(measured, varied)
    return math.log(both / measured) - 0.5 * (apart / measured) ** 2 + 0.5 * (apart / both) ** 2


def _contradict(one: TimedStroke, other: TimedStroke) -> bool:
    """Return whether two strokes cannot be the same: a putt and a practice stroke, or another tempo."""
    if {one.kind, other.kind} == {"putt", "practice"}:
        return True
    for first, last in DURATIONS[:2]:  # a finish is held, and told late where it drifts
        times = [(each.at(first), each.at(last)) for each in (one, other)]
        if not np.isfinite(times).all():
            continue
        apart = (times[0][1][0] - times[0][0][0]) - (times[1][1][0] - times[1][0][0])
        if abs(apart) > _CONTRADICTS * math.hypot(*(at[1] for each in times for at in each)):
            return True
    return False


def _shift(
    front: Sequence[TimedStroke], side: Sequence[TimedStroke], pairs: Sequence[tuple[int, int]]
) -> tuple[float, float]:
    """Return the shift and one sigma: the mean over all events that both show and over what moves in both pictures."""
    apart, sds = [], []
    for i, j in pairs:
        for event in ("start", "top", "impact"):
            (here, sd), (there, other_sd) = front[i].at(event), side[j].at(event)
            if math.isfinite(here + there):
                apart.append(there - here)
                sds.append(max(math.hypot(sd, other_sd), 1e-3))
        if math.isfinite(side[j].shift_s):
            apart.append(side[j].shift_s)
            sds.append(LAID_SD_S)
    values, weights = np.array(apart), 1 / np.array(sds) ** 2
    mean = float(weights @ values / weights.sum())
    # Events that disagree by more than they should make it less sure (Birge 1932).
    excess = float(weights @ (values - mean) ** 2) / max(len(values) - 1, 1)
    return mean, math.sqrt(max(excess, 1.0) / float(weights.sum()))
