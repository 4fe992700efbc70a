"""What the pictures of a stroke are drawn from: a part of a path, both views in step, and what is inside the noise."""

from collections.abc import Mapping
from typing import Final

import numpy as np
from attrs import evolve, frozen

from putt_posture.values import STROKE_EVENTS, Estimate, Floats, Stroke, StrokeEvent, StrokePath, Strokes

__all__ = [
    "PathFromAbove",
    "cut_path",
    "find_path_from_above",
    "is_within_noise",
    "put_in_step",
    "strokes_from_two_sides",
]

_MOST_OUTSIDE: Final = 2.39
"""In how many sigma a path has to be off at one of three events: the 95 % point for three looks, 1 − 0.05/6 of the
normal distribution."""
_LOOKED_AT: Final[tuple[StrokeEvent, ...]] = ("top", "impact", "finish")


@frozen(kw_only=True, eq=False)
class PathFromAbove:
    """One point seen from above, put together from both views.

    Attributes
    ----------
    times_s : (N,)
        Clip time of the view face on, s.
    moved_cm : (N, 2)
        Along (+ = toward the target) and across (+ = from the golfer toward the ball) from where it was at address;
        NaN where a view did not see it.
    sd_cm : (N, 2)
        One sigma of `moved_cm`, cm.
    """

    times_s: Floats
    moved_cm: Floats
    sd_cm: Floats


def cut_path(
    path: StrokePath,
    events: Mapping[StrokeEvent, Estimate],
    *,
    begin: StrokeEvent = "start",
    end: StrokeEvent = "finish",
) -> StrokePath:
    """Return the part of a path between two events; to its own end where the event is absent.

    Parameters
    ----------
    path : StrokePath
    events : mapping of StrokeEvent to Estimate
        Clip times, s.
    begin, end : StrokeEvent
        The end of the one part is the begin of the next: the first frame at or after it is in both.
    """
    first = int(np.searchsorted(path.times_s, events[begin].value)) if events[begin] else 0
    last = int(np.searchsorted(path.times_s, events[end].value)) + 1 if events[end] else len(path.times_s)
    kept = slice(first, max(last, first))
    return evolve(path, times_s=path.times_s[kept], moved_cm=path.moved_cm[kept], sd_cm=path.sd_cm[kept])


def is_within_noise(path: StrokePath | PathFromAbove, events: Mapping[StrokeEvent, Estimate], *, axis: int) -> bool:
    """Tell whether a path never leaves the place that it had at address by more than can be measured.

    It is looked at where a stroke is farthest from it: at the top, at impact and at the finish.

    Parameters
    ----------
    path : StrokePath or PathFromAbove
    events : mapping of StrokeEvent to Estimate
        Clip times of the same view, s.
    axis : {0, 1}
        Of `moved_cm`.
    """
    looks = []
    for name in _LOOKED_AT:
        if events[name] and len(path.times_s):
            at = int(np.argmin(np.abs(path.times_s - events[name].value)))
            looks.append(abs(path.moved_cm[at, axis]) / max(path.sd_cm[at, axis], 1e-9))
    known = [each for each in looks if np.isfinite(each)]
    return not known or max(known) <= _MOST_OUTSIDE


def put_in_step(
    times_s: Floats, events: Mapping[StrokeEvent, Estimate], other: Mapping[StrokeEvent, Estimate]
) -> Floats:
    """Return the times in the other clip at which its stroke is as far as this one; NaN outside of the events.

    Between events both run evenly.

    Parameters
    ----------
    times_s : (N,)
        Clip times, s.
    events, other : mapping of StrokeEvent to Estimate
        Of the strokes in both clips; fewer than two that both have give only NaN.
    """
    both = [name for name in STROKE_EVENTS if events[name] and other[name]]
    if len(both) < 2:
        return np.full(len(times_s), np.nan)
    here, there = ([each[name].value for name in both] for each in (events, other))
    return np.asarray(np.interp(times_s, here, there, left=np.nan, right=np.nan))


def find_path_from_above(face_on: Stroke, down_the_line: Stroke, point: str) -> PathFromAbove | None:
    """Put one point together from both views, in step by the events; None where a view has no path of it.

    Parameters
    ----------
    face_on, down_the_line : Stroke
    point : str
        As `StrokePath.point`.
    """
    if point not in face_on.paths or point not in down_the_line.paths:
        return None
    front, side = cut_path(face_on.paths[point], face_on.events), down_the_line.paths[point]
    times = put_in_step(front.times_s, face_on.events, down_the_line.events)
    across, sd = (
        np.interp(times, side.times_s, each[:, 0], left=np.nan, right=np.nan) for each in (side.moved_cm, side.sd_cm)
    )
    moved, sds = np.stack([front.moved_cm[:, 0], across], axis=1), np.stack([front.sd_cm[:, 0], sd], axis=1)
    if np.isfinite(moved).all(axis=1).sum() < 2:
        return None
    return PathFromAbove(times_s=front.times_s, moved_cm=moved, sd_cm=sds)


def strokes_from_two_sides(strokes: Strokes) -> tuple[Stroke, Stroke] | None:
    """Return the strokes that stand for the lesson face on and down the line; None where a view has none.

    Parameters
    ----------
    strokes : Strokes
    """
    if not {"face_on", "down_the_line"} <= strokes.shown.keys():
        return None
    return (
        strokes.of["face_on"][strokes.shown["face_on"]],
        strokes.of["down_the_line"][strokes.shown["down_the_line"]],
    )
