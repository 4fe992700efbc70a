"""The quiet moment at address before each stroke of a clip.

Rules, in order:

1. At address feet and trunk are still, the hips bent but not crouched, both hands together between hip and knee height.
2. Quiet is half a second or more at address with no more motion in the picture than the clip's own noise.
3. A stroke is a burst of motion of 0.65 to 2.8 s that starts at address while feet, hips and shoulders stay in place;
   face on, the hands must be seen to go to one side and then to the other.
4. The setup of a stroke is the last quiet stretch before it with the head as in the backswing, so not while looking at
   the hole, and the feet in the same place; a look or a waggle may lie between.
5. Practice strokes are left out where they can be told (`practice`), otherwise kept and said to be doubtful.
6. Without any stroke the longest quiet stretch at address is taken, and that is said.

All durations are in real seconds; what is handed out is clip time.
"""

import math
from typing import Final

import numpy as np

from putt_posture.errors import SetupNotFound
from putt_posture.setups.frames import LAST_S, choose_frames, trim_quiet
from putt_posture.setups.practice import leave_out_practice
from putt_posture.setups.quiet import Activity, Stretch, measure_activity
from putt_posture.setups.signals import Signals, measure_signals
from putt_posture.setups.stance import stays_put
from putt_posture.setups.strokes import Stroke, find_strokes
from putt_posture.values import Clip, Setup, Track

__all__ = ["FRAMES_PER_SETUP", "find_setups"]

FRAMES_PER_SETUP: Final = 5
"""Enough to see the landmarks' scatter; the large model takes about a tenth of a second for each."""


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
    strokes, quiet = find_strokes(signals, activity)
    build = _Builder(clip, activity, frames_per_setup)
    setups = tuple(
        build.before_stroke(kept.stroke, kept.stroke.quiet_s, doubtful=kept.doubtful)
        for kept in leave_out_practice(strokes, signals)
        if kept.stroke.quiet_s is not None
    )
    if setups:
        return setups
    quiet = [stretch for stretch in quiet if stays_put(signals, stretch)]
    if not quiet:
        raise _not_found(clip, "the student stood as at address but was never still for half a second")
    return (build.without_stroke(max(quiet, key=lambda stretch: stretch[1] - stretch[0])),)


class _Builder:
    """Turns stretches of real time into setups in clip time."""

    def __init__(self, clip: Clip, activity: Activity, count: int) -> None:
        self._stretch = clip.time_stretch
        self._spacing_s = clip.real_seconds(1 / clip.rate_hz) if clip.rate_hz > 0 else 1 / 30
        self._activity = activity
        self._count = count

    def before_stroke(self, stroke: Stroke, quiet_s: Stretch, *, doubtful: bool) -> Setup:
        reason = (
            f"Still for {quiet_s[1] - quiet_s[0]:.1f} s before the stroke that starts at "
            f"{stroke.start_s * self._stretch:.1f} s{' of the slowed clip' if self._stretch > 1 else ''}"
            f"{', which may be a practice stroke because another follows it' if doubtful else ''}."
        )
        return self._setup(trim_quiet(quiet_s, before_stroke=True), (stroke.start_s, stroke.end_s), reason)

    def without_stroke(self, quiet_s: Stretch) -> Setup:
        reason = (
            f"No stroke was seen; this is the longest still stretch at address, {quiet_s[1] - quiet_s[0]:.1f} s "
            f"from {quiet_s[0] * self._stretch:.1f} s on."
        )
        return self._setup(trim_quiet(quiet_s, before_stroke=False), None, reason)

    def _setup(self, window_s: Stretch, stroke_s: Stretch | None, reason: str) -> Setup:
        times_s, moment_s = choose_frames(
            self._activity,
            window_s,
            count=self._count,
            least_spacing_s=self._spacing_s,
            last_s=LAST_S if stroke_s is not None else math.inf,
        )
        scale = self._stretch
        return Setup(
            moment_s=moment_s * scale,
            times_s=tuple(time * scale for time in times_s),
            window_s=(window_s[0] * scale, window_s[1] * scale),
            stroke_s=None if stroke_s is None else (stroke_s[0] * scale, stroke_s[1] * scale),
            reason=reason,
        )


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
