"""The setups of a lesson's clips, held against each other where the clips show one performance.

Two phones are not started together, but both see the same order of stillness and motion. Where the pattern of one clip
lies over that of the other at one shift of time and at no other, both show one performance. Then what face on tells
counts for both: the hands are seen there to go to one side and then to the other. Clips of different putts have
different patterns, and are left as each is by itself. Times inside are real seconds.
"""

from collections.abc import Mapping
from typing import Final

import numpy as np
from attrs import evolve, frozen
from numpy.typing import NDArray

from putt_posture.setups.build import SetupBuilder, is_doubtful
from putt_posture.setups.finder import FRAMES_PER_SETUP, find_setups
from putt_posture.setups.quiet import Activity, Stretch, find_quiet, measure_activity
from putt_posture.setups.signals import measure_signals
from putt_posture.setups.strokes import Stroke, find_strokes
from putt_posture.values import Clip, Setup, Track, View

__all__ = ["find_setups_together"]

_STEP_S: Final = 1 / 30
_LEAST_SHARED_S: Final = 6.0
"""Shorter than this, most pairs of clips lie over each other somewhere."""
_LEAST_LIKE: Final = 0.7
"""Correlation of still and moving (phi) at the best shift."""
_CLEARLY: Final = 0.1
"""By so much it is better than at any shift that is `_OTHER_S` away."""
_OTHER_S: Final = 1.0
_SAME_S: Final = 0.6
"""Starts of one stroke as told from two sides differ by less."""
_LEAST_WINDOW_S: Final = 0.4


@frozen(kw_only=True, eq=False)
class _Seen:
    clip: Clip
    activity: Activity
    threshold: float
    setups: tuple[Setup, ...]


def find_setups_together(
    tracks: Mapping[View, tuple[Track, Clip]], *, frames_per_setup: int = FRAMES_PER_SETUP
) -> dict[View, tuple[Setup, ...]]:
    """Find the setups of one or two clips.

    Parameters
    ----------
    tracks : mapping of View to (Track, Clip)
    frames_per_setup : int
        How many frames to choose for each setup.

    Returns
    -------
    dict of View to tuple of Setup
        As `find_setups` gives them. Where both clips show one performance, those down the line follow the strokes that
        were told face on, and their reasons say so.

    Raises
    ------
    SetupNotFound
        If a student is never seen still at address; the first clip's where both have one.
    """
    found = {
        view: find_setups(track, clip, frames_per_setup=frames_per_setup) for view, (track, clip) in tracks.items()
    }
    if set(found) != {"down_the_line", "face_on"} or any(clip.kind == "still" for _, clip in tracks.values()):
        return found
    side, front = (_see(*tracks[view], found[view]) for view in ("down_the_line", "face_on"))
    shift_s = _find_shift(front, side)
    if shift_s is None:
        return found
    followed = _follow(front, side, shift_s, frames_per_setup)
    return {**found, "down_the_line": followed or found["down_the_line"]}


def _see(track: Track, clip: Clip, setups: tuple[Setup, ...]) -> _Seen:
    signals = measure_signals(track, clip)
    activity = measure_activity(track, clip, signals)
    strokes = find_strokes(signals, activity)
    threshold = activity.threshold(max((stroke.peak for stroke in strokes), default=None))
    return _Seen(clip=clip, activity=activity, threshold=threshold, setups=setups)


def _find_shift(first: _Seen, second: _Seen) -> float | None:
    """Return what to add to a time of the first clip to have it in the second, or None where they show two things.

    Real seconds.
    """
    moves, others = _moving(first), _moving(second)
    least = round(_LEAST_SHARED_S / _STEP_S)
    lags = np.arange(least - len(moves), len(others) - least + 1)
    if not len(lags):
        return None
    like = np.array([_likeness(*_over(moves, others, lag)) for lag in lags.tolist()])
    best = int(np.argmax(like))
    apart = np.abs(lags - lags[best]) * _STEP_S >= _OTHER_S
    rival = float(like[apart].max()) if apart.any() else -1.0
    if like[best] < _LEAST_LIKE or like[best] - rival < _CLEARLY:
        return None
    starts_s = second.activity.times_s[0] - first.activity.times_s[0]
    return float(lags[best] * _STEP_S + starts_s)


def _moving(seen: _Seen) -> NDArray[np.bool_]:
    with np.errstate(invalid="ignore"):
        return np.asarray(seen.activity.level > seen.threshold)


def _over(first: NDArray[np.bool_], second: NDArray[np.bool_], lag: int) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Return what the two share when the first starts `lag` steps after the second."""
    start, stop = max(0, -lag), min(len(first), len(second) - lag)
    return first[start:stop], second[start + lag : stop + lag]


def _likeness(first: NDArray[np.bool_], second: NDArray[np.bool_]) -> float:
    spread = float(first.std() * second.std())
    return float(np.mean(first & second) - first.mean() * second.mean()) / spread if spread > 0 else -1.0


def _follow(front: _Seen, side: _Seen, shift_s: float, count: int) -> tuple[Setup, ...]:
    """Return the setups down the line that belong to the strokes told face on; empty where none can be."""
    build = SetupBuilder(side.clip, side.activity, count=count)
    reach: Stretch = (float(side.activity.times_s[0]), float(side.activity.times_s[-1]))
    covered: Stretch = (float(front.activity.times_s[0]) + shift_s, float(front.activity.times_s[-1]) + shift_s)
    result: list[Setup] = []
    kept = list(side.setups)
    for setup in front.setups:
        if setup.stroke_s is None:
            return ()
        start_s, end_s = (front.clip.real_seconds(edge) + shift_s for edge in setup.stroke_s)
        same = [
            own for own in kept if own.stroke_s and abs(side.clip.real_seconds(own.stroke_s[0]) - start_s) < _SAME_S
        ]
        doubtful = is_doubtful(setup)
        if same and doubtful == is_doubtful(same[0]):
            result.append(same[0])
            continue
        window_s = tuple(front.clip.real_seconds(edge) + shift_s for edge in setup.window_s)
        quiet_s = _best_quiet(side, window_s, start_s)
        if quiet_s is None or not reach[0] < start_s < reach[1]:
            continue
        stroke = Stroke(start_s=start_s, end_s=min(end_s, reach[1]), quiet_s=quiet_s, peak=0.0)
        own = build.before_stroke(stroke, quiet_s, doubtful=doubtful)
        result.append(evolve(own, reason=f"{own.reason[:-1]}; the stroke was told from the face-on clip."))
    outside = [
        own
        for own in kept
        if own.stroke_s is not None and not covered[0] <= side.clip.real_seconds(own.stroke_s[0]) <= covered[1]
    ]
    return tuple(sorted([*result, *outside], key=lambda own: own.moment_s)) if result else ()


def _best_quiet(side: _Seen, window_s: tuple[float, ...], start_s: float) -> Stretch | None:
    """Return what of the wanted window is quiet down the line, for longest; None where hardly anything is."""
    within = [
        (max(first, window_s[0]), min(last, window_s[1], start_s))
        for first, last in find_quiet(side.activity, side.threshold)
    ]
    within = [stretch for stretch in within if stretch[1] - stretch[0] >= _LEAST_WINDOW_S]
    return max(within, key=lambda stretch: stretch[1] - stretch[0]) if within else None
