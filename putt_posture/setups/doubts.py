"""Doubts about whether a moment is the address, where the finder did not choose it.

The place of the hands relative to the feet distinguishes the top and the finish of a swing from the address. The
stillness of feet, trunk and hands excludes impact, and a found stroke excludes all moments in it. Each sentence names
what was seen.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np

from putt_posture.setups.observed import Observed, observe_any
from putt_posture.setups.quiet import Stretch, find_quiet
from putt_posture.setups.signals import Signals
from putt_posture.setups.surroundings import held_at_top
from putt_posture.shown import join_words
from putt_posture.values import Clip, Track

__all__ = ["find_doubts"]

_AROUND_S: Final = 0.25
"""Frames this near to the moment are used, real seconds; most of them must agree."""
_MOST_HAND_MOVE: Final = 0.09
"""Largest distance between the hands' places in the 0.4 s before and after a frame, in body sizes: 12 cm."""
_UNDER_WAY_S: Final = (0.25, 0.1)
"""From this long after its start until this long before its end a stroke is certainly under way, s."""
_HOLD_S: Final = 0.5
"""Stillness that begins within this time of a stroke's end is its held finish, s."""


def find_doubts(track: Track, clip: Clip, moments_s: Sequence[float], *, without_putter: bool = False) -> list[str]:
    """Return the reasons why some moments may not be the address.

    Parameters
    ----------
    track : Track
    clip : Clip
    moments_s : sequence of float
        Clip times, seconds.
    without_putter : bool
        Whether the clip was filmed without a putter, so that there is no stroke and the arms may hang.

    Returns
    -------
    list of str
        One sentence for each moment; empty where there is no reason against it, or the student was not tracked then.
    """
    if not len(track.times_s) or not np.isfinite(track.points_px).any():
        return [""] * len(moments_s)
    seen = observe_any(track, clip, without_putter=without_putter)
    return [_doubt(seen, moment_s) for moment_s in moments_s]


def _doubt(seen: Observed, moment_s: float) -> str:
    when = "In this picture" if seen.clip.kind == "still" else f"At {moment_s:.1f} s"
    real_s = seen.clip.real_seconds(moment_s)
    happens = _what_happens(seen, real_s)
    if happens:
        return f"{when} {happens}, so this is not the address."
    lacking = _lacking(seen.signals, real_s)
    if lacking:
        return f"{when} the student is not seen with {join_words(lacking)}, so this may not be the address."
    return ""


def _lacking(signals: Signals, moment_s: float) -> list[str]:
    near = signals.during(moment_s - _AROUND_S, moment_s + _AROUND_S)
    known = np.isfinite(signals.body_px[near])
    if not known.any():
        return []
    moved = {"still hands": signals.hands_moved_px > _MOST_HAND_MOVE * signals.body_px}
    return [what for what, flags in (signals.lacking | moved).items() if 2 * np.sum(flags[near][known]) > np.sum(known)]


def _what_happens(seen: Observed, moment_s: float) -> str:
    """Say which stroke is under way at a moment, or held after its end; empty where there is none."""
    for stroke in seen.strokes:
        began = f"the stroke that starts at {stroke.start_s * seen.clip.time_stretch:.1f} s"
        if stroke.start_s + _UNDER_WAY_S[0] < moment_s < stroke.end_s - _UNDER_WAY_S[1]:
            return f"{began} is under way"
        if -_UNDER_WAY_S[1] <= moment_s - stroke.end_s <= _HOLD_S:
            return f"{began} has just ended"
        for start_s, stop_s in find_quiet(seen.activity, seen.threshold):
            if start_s <= moment_s <= stop_s and -_UNDER_WAY_S[1] <= start_s - stroke.end_s <= _HOLD_S:
                return f"the finish of {began} is held"
    for still_s in find_quiet(seen.activity, seen.threshold) if len(seen.activity.times_s) else []:
        inside = still_s[0] <= moment_s <= still_s[1]
        if inside and not _starts_a_stroke(seen, still_s) and held_at_top(seen.signals, still_s):
            return "the putter is held at the top: the hands swing through next and do not go back first"
    return ""


def _starts_a_stroke(seen: Observed, still_s: Stretch) -> bool:
    return any(
        stroke.quiet_s is not None and stroke.quiet_s[1] > still_s[0] >= stroke.quiet_s[0] - _HOLD_S
        for stroke in seen.strokes
    )
