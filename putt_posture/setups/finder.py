"""The quiet moment at address before each stroke of a clip.

Rules, in order:

1. At address feet and trunk are still, the hips bent but not crouched, both hands together between hip and knee height.
2. Quiet is half a second or more at address with no more motion in the picture than the clip's own noise.
3. A stroke is a burst of motion of 0.65 to 2.8 s that starts at address while feet, hips and shoulders stay in place;
   face on, the hands must be seen to go to one side and then to the other.
4. The setup of a stroke is the last quiet stretch before it with the head as in the backswing, so not while looking at
   the hole, and the feet in the same place; a look or a waggle may lie between.
5. Practice strokes are left out where they can be told (`practice`), otherwise kept and said to be doubtful.
6. Where no stroke is found so, other things may move in the picture: face on the hands' way alone shows a stroke.
7. Without any stroke the longest quiet stretch at address is taken, and that is said; one that follows motion at an
   unchanged address is the hold after a stroke, and is taken last.

All durations are in real seconds; what is handed out is clip time.
"""

import math
from typing import Final

import numpy as np

from putt_posture.errors import SetupNotFound
from putt_posture.setups.build import SetupBuilder
from putt_posture.setups.practice import leave_out_practice
from putt_posture.setups.quiet import LEAST_QUIET_S, Activity, Stretch, find_quiet, measure_activity
from putt_posture.setups.signals import Signals, measure_signals
from putt_posture.setups.stance import stays_put
from putt_posture.setups.still_body import comes_after_a_stroke, find_still_body, find_strokes_by_hands
from putt_posture.setups.strokes import find_strokes
from putt_posture.values import Clip, Setup, Track

__all__ = ["FRAMES_PER_SETUP", "find_setups"]

FRAMES_PER_SETUP: Final = 5
"""Enough to see the landmarks' scatter; the large model takes about a tenth of a second for each."""
_STROKE_ROOM_S: Final = 2.0
"""Before a hold, left to the stroke that was not seen."""


def find_setups(track: Track, clip: Clip, *, frames_per_setup: int = FRAMES_PER_SETUP) -> tuple[Setup, ...]:
    """Find the quiet moment at address before each stroke.

    Parameters
    ----------
    track : Track
        The student through the whole clip.
    clip : Clip
    frames_per_setup : int
        How many frames to choose from each quiet stretch.

    Returns
    -------
    tuple of Setup
        One or more, in order of time; one at 0 s for a still. Times are clip time.

    Raises
    ------
    SetupNotFound
        If the student is never seen still at address.
    """
    if clip.kind == "still":
        return (Setup(moment_s=0.0, times_s=(0.0,), window_s=(0.0, 0.0), reason="A still has one moment."),)
    if not len(track.times_s) or not np.isfinite(track.points_px).any():
        raise _not_found(clip, "the student was not seen")
    signals = measure_signals(track, clip)
    if not signals.address_like.any():
        raise _not_found(clip, _what_was_seen(signals))
    activity = measure_activity(track, clip, signals)
    if not len(activity.times_s):
        raise _not_found(clip, "it is too short to tell still from moving")
    strokes = find_strokes(signals, activity)
    build = SetupBuilder(clip, activity, count=frames_per_setup)
    for found, disturbed in ((strokes, False), (find_strokes_by_hands(signals), True)):
        setups = tuple(
            build.before_stroke(kept.stroke, kept.stroke.quiet_s, doubtful=kept.doubtful, disturbed=disturbed)
            for kept in leave_out_practice(found, signals)
            if kept.stroke.quiet_s is not None
        )
        if setups:
            return setups
    setup = _without_stroke(signals, activity, build)
    if setup is None:
        raise _not_found(clip, "the student stood as at address but was never still for half a second")
    return (setup,)


def _without_stroke(signals: Signals, activity: Activity, build: SetupBuilder) -> Setup | None:
    """Return the best still stretch at address where no stroke was seen, or None where there is none."""
    quiet = [stretch for stretch in find_quiet(activity, activity.threshold()) if stays_put(signals, stretch)]
    after = [stretch for stretch in quiet if comes_after_a_stroke(activity, stretch)]
    before = [stretch for stretch in quiet if stretch not in after]
    if before:
        return build.without_stroke(max(before, key=_length))
    latest_s = after[0][0] - _STROKE_ROOM_S if after else math.inf
    still = [(start, min(stop, latest_s)) for start, stop in find_still_body(signals)]
    still = [stretch for stretch in still if _length(stretch) >= LEAST_QUIET_S and stays_put(signals, stretch)]
    if still:
        return build.without_stroke(max(still, key=_length), disturbed=True)
    return build.without_stroke(max(after, key=_length)) if after else None


def _length(stretch: Stretch) -> float:
    return stretch[1] - stretch[0]


def _what_was_seen(signals: Signals) -> str:
    if not signals.failures:
        return "the student was hardly seen"
    what, share = max(signals.failures.items(), key=lambda item: item[1])
    if share > 0.9:
        return f"the student never {what}"
    return "the student never stood still with bent hips and both hands together in front"


def _not_found(clip: Clip, seen: str) -> SetupNotFound:
    return SetupNotFound(
        f"No still moment at address was found in {clip.path.name}: {seen}. "
        "Give its time with --setup-at SECONDS, or film again with a second of stillness before the stroke.",
        path=clip.path,
    )
