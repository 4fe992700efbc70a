"""The still moment at address before each stroke of a clip.

Rules, in order:

1. At address feet and trunk are still, the hips bent but not crouched, both hands together between hip and knee height.
2. Quiet is half a second or more at address with no more motion in the picture than the clip's own noise.
3. A stroke is where the picture's motion and the body's swing go back and through as a stroke does (`stroke_shape`),
   while feet, hips and shoulders stay in place until impact.
4. The setup of a stroke is the last quiet stretch before it with the head as in the backswing, so not while looking at
   the hole, and the feet in the same place; a look or a waggle may lie between.
   A held top, a finish and a rest at the ball are not such a stretch (`surroundings`).
5. Practice strokes are left out where they can be recognised (`strokes`), otherwise kept with a doubt.
6. Where no stroke is found, other things may move in the picture: face on, the path of the hands alone shows a stroke.
7. Without any stroke the longest quiet stretch at address is taken, with a doubt. A stretch that follows motion at an
   unchanged address is the held finish of a stroke, and is taken last; so is one from which the hands swing through
   without going back first, a held top.
8. In a clip without a putter no stroke is looked for and the arms may hang. The longest quiet stretch is taken, and
   every other one in which feet, hips, shoulders and hands are in the same place.

All durations are real seconds; returned times are clip time.
"""

import math
from typing import Final

from putt_posture.setups.build import SetupBuilder, choose_setups
from putt_posture.setups.observed import Observed, not_found, observe
from putt_posture.setups.quiet import LEAST_QUIET_S, Activity, Stretch, find_quiet
from putt_posture.setups.signals import Signals
from putt_posture.setups.stance import same_posture, stays_put
from putt_posture.setups.strokes import (
    CoarseStroke,
    FollowedStroke,
    Kept,
    comes_after_a_stroke,
    find_still_body,
    find_strokes_by_hands,
    leave_out_practice,
)
from putt_posture.setups.surroundings import held_at_top
from putt_posture.values import Clip, Setup, Track

__all__ = ["FRAMES_PER_SETUP", "find_putts", "find_setups", "find_setups_in", "find_stances"]

FRAMES_PER_SETUP: Final = 5
"""Frames per setup: enough to show the landmarks' scatter; the large model takes about a tenth of a second for each."""
_BACK_S: Final = 0.3
"""A still moment that begins so long after the start of a stroke is a part of it, s."""
_STROKE_ROOM_S: Final = 2.0
"""Time for an unseen stroke before a held finish, s."""


_NEVER_STILL: Final = "the student stood as at address but was never still for half a second"


def find_setups(
    track: Track, clip: Clip, *, frames_per_setup: int = FRAMES_PER_SETUP, without_putter: bool = False
) -> tuple[Setup, ...]:
    """Find the still moment at address before each stroke.

    Parameters
    ----------
    track : Track
        The student through the whole clip.
    clip : Clip
    frames_per_setup : int
        How many frames to choose from each quiet stretch.
    without_putter : bool
        Whether the clip was filmed without a putter: then no stroke is waited for, and the arms may hang.

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
        return choose_setups(clip, [0.0], track=track, without_putter=without_putter)
    return find_setups_in(observe(track, clip, without_putter=without_putter), frames_per_setup=frames_per_setup)


def find_setups_in(seen: Observed, *, frames_per_setup: int = FRAMES_PER_SETUP) -> tuple[Setup, ...]:
    """Find the setups of a clip that was observed before, as `find_setups` does.

    Parameters
    ----------
    seen : Observed
    frames_per_setup : int
        Most frames in one setup.

    Raises
    ------
    SetupNotFound
        If the student was never still for half a second at address.
    """
    build = SetupBuilder(seen.clip, seen.activity, count=frames_per_setup)
    if seen.without_putter:
        stretches = find_stances(seen)
        longest = max(stretches, key=_length)
        return tuple(build.without_putter(each) for each in stretches if same_posture(seen.signals, longest, each))
    kept, disturbed = find_putts(seen)
    if kept:
        return tuple(build.before_stroke(each, disturbed=disturbed, held=_held_within(seen, each)) for each in kept)
    setup = _without_stroke(seen.signals, seen.activity, build)
    if setup is None:
        raise not_found(seen.clip, _NEVER_STILL)
    return (setup,)


def find_putts(seen: Observed) -> tuple[list[Kept], bool]:
    """Return the strokes that have a setup, without practice strokes, and whether only the landmarks showed them.

    Parameters
    ----------
    seen : Observed
    """
    for found, disturbed in ((seen.strokes, False), (find_strokes_by_hands(seen.signals, seen.activity), True)):
        kept = leave_out_practice(found, seen.signals, followed=seen.followed)
        if kept:
            return kept, disturbed
    return [_kept(each) for each in seen.followed if not each.practice], False


def _kept(followed: FollowedStroke) -> Kept:
    (start_s, end_s), quiet_s = followed.stroke_s, followed.address_s
    stroke = CoarseStroke(start_s=start_s, end_s=end_s, quiet_s=quiet_s, peak=0.0)
    return Kept(stroke=stroke, found_how="the stroke was seen when every frame of the clip was looked at")


def find_stances(seen: Observed) -> list[Stretch]:
    """Return the stretches of a clip without a putter in which the student stands still as at address.

    Parameters
    ----------
    seen : Observed

    Returns
    -------
    list of (float, float)
        Start and end, real seconds, in order of time.

    Raises
    ------
    SetupNotFound
        If there is none of half a second.
    """
    signals = seen.signals
    stretches = [each for each in find_quiet(seen.activity, seen.threshold) if stays_put(signals, each)]
    stretches = stretches or [each for each in find_still_body(signals) if stays_put(signals, each)]
    if not stretches:
        raise not_found(seen.clip, _NEVER_STILL)
    return stretches


def _held_within(seen: Observed, kept: Kept) -> list[Stretch]:
    """Return the still moments within a stroke: at its top, or at the ball."""
    stroke = kept.stroke
    return [
        stretch
        for stretch in find_quiet(seen.activity, seen.threshold)
        if stroke.start_s + _BACK_S < stretch[0] and stretch[1] < stroke.end_s
    ]


def _without_stroke(signals: Signals, activity: Activity, build: SetupBuilder) -> Setup | None:
    """Return the best still stretch at address where no stroke was seen, or None where there is none."""
    quiet = [stretch for stretch in find_quiet(activity, activity.threshold()) if stays_put(signals, stretch)]
    after = [stretch for stretch in quiet if comes_after_a_stroke(activity, stretch)]
    tops = [stretch for stretch in quiet if held_at_top(signals, stretch)]
    before = [stretch for stretch in quiet if stretch not in after and stretch not in tops]
    if before:
        return build.without_stroke(max(before, key=_length), passed_over=tops)
    after = sorted({*after, *tops})
    latest_s = after[0][0] - _STROKE_ROOM_S if after else math.inf
    still = [(start, min(stop, latest_s)) for start, stop in find_still_body(signals)]
    still = [stretch for stretch in still if _length(stretch) >= LEAST_QUIET_S and stays_put(signals, stretch)]
    if still:
        return build.without_stroke(max(still, key=_length), disturbed=True)
    if not after:
        return None
    last = max(after, key=_length)
    return build.without_stroke(last, at_top=last in tops)


def _length(stretch: Stretch) -> float:
    return stretch[1] - stretch[0]
