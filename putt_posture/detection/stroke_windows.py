"""When the strokes of a lesson's clips are, practice strokes included, and which frames of each are worth following.

The strokes are those that the setup finder sees. Where both clips film one performance, a stroke that one of them shows
counts for the other too. Times are clip time unless they are called real.
"""

import math
from collections.abc import Mapping
from typing import Final

import numpy as np
from attrs import evolve, frozen

from putt_posture.setups.laid_over import LEAST_LIKE, LaidOver, lay_over
from putt_posture.setups.observed import Observed, observe_any
from putt_posture.setups.strokes import CoarseStroke, find_strokes, find_strokes_by_hands
from putt_posture.setups.together import compare_patterns
from putt_posture.values import Clip, Floats, Track, View

__all__ = ["StrokeWindow", "choose_frames", "find_stroke_windows"]

_QUIET_S: Final = 1.2
"""So much of the quiet address before a stroke is followed, real seconds."""
_LEAST_QUIET_S: Final = 0.3
_SETTLED_S: Final = 0.15
"""The coarse start of a stroke may be this late, so that quiet ends this much before it: of 405 acted strokes 98 of
100 were found between 0.15 s too early and 0.09 s too late."""
_NEAR_S: Final = 0.6
"""Quiet that ends within this before the start lasts until the start."""
_RUN_UP_S: Final = 0.7
"""Before the start, at least, real seconds."""
_AFTER_S: Final = 0.6
"""After the finish, real seconds."""
_SAME_S: Final = 0.6
"""Starts of one stroke as found in two views differ by less, real seconds."""

_AROUND_S: Final = 0.6
"""A coarse start is off by less, so that a stroke is laid over another within this, real seconds."""

_ALL_HZ: Final = 75.0
"""Of clips with no more frames a real second than this all frames are followed."""
_QUIET_HZ, _SWING_HZ, _EVENT_HZ, _IMPACT_HZ = 30.0, 60.0, 120.0, 250.0
"""Frames followed in a real second: while nothing happens, in the swing, near start and top, and near impact."""
_NEAR_EVENT_S: Final = 0.22
_NEAR_IMPACT_S: Final = 0.15
_TOP_SHARE, _IMPACT_SHARE = 0.51, 0.755
"""Where top and impact lie between start and finish: back takes twice as long as through to impact, and the
follow-through as long as the last (see `setups.stroke_shape`)."""
_ROUNDING: Final = 0.25
"""Share of a spacing by which uneven frames may be early."""


@frozen(kw_only=True)
class StrokeWindow:
    """The frames around one stroke.

    Attributes
    ----------
    from_s, until_s : float
        First and last frame to follow.
    address_s : (float, float)
        The quiet part before the stroke.
    stroke_s : (float, float)
        Roughly its start and its finish; the finish may lie after the end of the clip.
    from_other : bool
        Whether only the other clip showed it.
    to_other_s : float
        As in `SeenStrokes`.
    shift_s : float
        As in `SeenStroke`.
    """

    from_s: float
    until_s: float
    address_s: tuple[float, float]
    stroke_s: tuple[float, float]
    from_other: bool = False
    to_other_s: float = math.nan
    shift_s: float = math.nan


def find_stroke_windows(
    tracks: Mapping[View, tuple[Track, Clip]], *, without_putter: bool = False
) -> dict[View, tuple[StrokeWindow, ...]]:
    """Find the strokes of one or two clips.

    Parameters
    ----------
    tracks : mapping of View to (Track, Clip)
        Of videos.
    without_putter : bool
        Whether the clips were filmed without a putter.

    Returns
    -------
    dict of View to tuple of StrokeWindow
        In order of time.
    """
    seen = {view: _observe(track, clip, without_putter=without_putter) for view, (track, clip) in tracks.items()}
    strokes = {view: list(each.strokes) for view, each in seen.items()}
    to_other_s = dict.fromkeys(seen, math.nan)
    if len(seen) == 2:
        first, second = seen
        like = compare_patterns(seen[first], seen[second])
        if like.show_one:
            to_other_s = {first: like.shift_s, second: -like.shift_s}
            strokes[second] += _lent(seen[first], seen[second], like.shift_s)
            strokes[first] += _lent(seen[second], seen[first], -like.shift_s)
        for one, other in ((first, second), (second, first)):
            if strokes[one] and not strokes[other]:
                strokes[other] += _found_by_motion(seen[one], seen[other])
    found: dict[View, tuple[StrokeWindow, ...]] = {}
    for view, of_view in strokes.items():
        clip = seen[view].clip
        in_order = sorted(of_view, key=lambda stroke: stroke.start_s)
        own = {id(stroke) for stroke in seen[view].strokes}
        others = [each for name, each in seen.items() if name != view]
        found[view] = tuple(
            evolve(
                _window(stroke, before, clip, from_other=id(stroke) not in own),
                to_other_s=to_other_s[view],
                shift_s=_shift_from(others[0], seen[view], stroke) if others else math.nan,
            )
            for stroke, before in zip(in_order, [None, *in_order], strict=False)
        )
    return found


def choose_frames(times_s: Floats, window: StrokeWindow, *, time_stretch: float = 1.0) -> Floats:
    """Return the times of the frames to follow: all at usual rates, fewer away from the events at high ones.

    Parameters
    ----------
    times_s : (N,)
        Clip times of the frames of the window, increasing.
    window : StrokeWindow
    time_stretch : float
        Clip seconds in a real second.
    """
    if len(times_s) < 2 or time_stretch / float(np.median(np.diff(times_s))) <= _ALL_HZ:
        return times_s
    start_s, end_s = window.stroke_s
    top_s, impact_s = (start_s + share * (end_s - start_s) for share in (_TOP_SHARE, _IMPACT_SHARE))

    def wanted_hz(time_s: float) -> float:
        if abs(time_s - impact_s) <= _NEAR_IMPACT_S * time_stretch:
            return _IMPACT_HZ
        if min(abs(time_s - start_s), abs(time_s - top_s)) <= _NEAR_EVENT_S * time_stretch:
            return _EVENT_HZ
        return _SWING_HZ if window.address_s[0] <= time_s <= end_s else _QUIET_HZ

    chosen = [float(times_s[0])]
    for time_s in times_s[1:].tolist():
        if time_s - chosen[-1] >= (1 - _ROUNDING) * time_stretch / wanted_hz(time_s):
            chosen.append(time_s)
    return np.array(chosen)


def _observe(track: Track, clip: Clip, *, without_putter: bool) -> Observed:
    """Observe a clip with all strokes in it; those of arms alone are not looked for by the setup finder."""
    seen = observe_any(track, clip, without_putter=without_putter)
    if not (len(seen.activity.times_s) and seen.signals.address_like.any()):
        return seen
    strokes = seen.strokes or find_strokes(seen.signals, seen.activity)
    return evolve(seen, strokes=strokes or find_strokes_by_hands(seen.signals, seen.activity))


def _lent(giver: Observed, taker: Observed, shift_s: float) -> list[CoarseStroke]:
    """Return the strokes that only the other clip showed, in real seconds of this one."""
    first_s, last_s = float(taker.activity.times_s[0]), float(taker.activity.times_s[-1])
    lent = []
    for stroke in giver.strokes:
        start_s, end_s = stroke.start_s + shift_s, stroke.end_s + shift_s
        known = any(abs(own.start_s - start_s) < _SAME_S for own in taker.strokes)
        if not known and first_s < start_s and end_s < last_s:
            quiet = None if stroke.quiet_s is None else (stroke.quiet_s[0] + shift_s, stroke.quiet_s[1] + shift_s)
            lent.append(evolve(stroke, start_s=start_s, end_s=end_s, quiet_s=quiet))
    return lent


def _found_by_motion(giver: Observed, taker: Observed) -> list[CoarseStroke]:
    """Return where a clip without a stroke moves as in the strokes of the other, each place once, the likest first.

    A short putt hardly turns shoulders and elbows, which down the line have to show it.
    """
    found: list[tuple[float, CoarseStroke]] = []
    for stroke in giver.strokes:
        laid = _laid(giver, stroke, taker, math.inf)
        if laid is not None:
            start_s, end_s = stroke.start_s + laid.shift_s, stroke.end_s + laid.shift_s
            found.append((laid.like, evolve(stroke, start_s=start_s, end_s=end_s, quiet_s=None)))
    kept: list[CoarseStroke] = []
    for _, stroke in sorted(found, key=lambda each: -each[0]):
        if all(stroke.end_s <= other.start_s or stroke.start_s >= other.end_s for other in kept):
            kept.append(stroke)
    return kept


def _shift_from(giver: Observed, taker: Observed, stroke: CoarseStroke) -> float:
    """Return the shift from the likest stroke of the other clip to a stroke of this one; NaN where none is like it."""
    laid = [_laid(giver, other, taker, _AROUND_S, around_s=stroke.start_s - other.start_s) for other in giver.strokes]
    best = max((each for each in laid if each is not None), key=lambda each: each.like, default=None)
    return math.nan if best is None else best.shift_s


def _laid(
    giver: Observed, stroke: CoarseStroke, taker: Observed, most_s: float, *, around_s: float = 0.0
) -> LaidOver | None:
    """Lay a stroke over the other clip, no farther from a shift than told; None where nothing there is like it."""
    times_s = taker.activity.times_s
    if not (len(times_s) and taker.signals.address_like.any()):
        return None
    laid = lay_over(
        giver.activity,
        (stroke.start_s, stroke.end_s),
        taker.activity,
        least_shift_s=max(around_s - most_s, float(times_s[0]) - stroke.start_s),
        most_shift_s=min(around_s + most_s, float(times_s[-1]) - stroke.start_s),
    )
    return laid if laid is not None and laid.like >= LEAST_LIKE else None


def _window(stroke: CoarseStroke, before: CoarseStroke | None, clip: Clip, *, from_other: bool) -> StrokeWindow:
    start_s, settled_s = stroke.start_s, stroke.start_s - _SETTLED_S
    earliest_s = max(0.0, -math.inf if before is None else min(before.end_s, start_s - _LEAST_QUIET_S - _SETTLED_S))
    if stroke.quiet_s is None or stroke.quiet_s[1] >= start_s - _NEAR_S:
        quiet_s = (stroke.quiet_s[0] if stroke.quiet_s else start_s - _NEAR_S, settled_s)
    else:
        quiet_s = stroke.quiet_s
    first_s = max(min(quiet_s[0], quiet_s[1] - _LEAST_QUIET_S), quiet_s[1] - _QUIET_S, earliest_s)
    address_s = (first_s, max(quiet_s[1], first_s))
    stretch = clip.time_stretch
    return StrokeWindow(
        from_s=stretch * max(min(first_s, start_s - _RUN_UP_S), earliest_s),
        until_s=min(stretch * (stroke.end_s + _AFTER_S), clip.duration_s),
        address_s=(stretch * address_s[0], stretch * address_s[1]),
        stroke_s=(stretch * start_s, stretch * stroke.end_s),
        from_other=from_other,
    )
