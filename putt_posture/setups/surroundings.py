"""What surrounds a still moment: whether a stroke starts from its place, or the putter is held at the top or finish.

A putt goes back from the address first and comes through it fastest. So a still moment from which the body swings
through at once is the top; and one whose place is not that from which the stroke starts is the finish of an earlier
swing, or a top that was rehearsed. Places are those of `Signals.swing_px` along the direction in which they differ most
in the stroke. Times are real seconds.
"""

from typing import Final, Literal

import numpy as np

from putt_posture.setups.quiet import Stretch
from putt_posture.setups.signals import Signals
from putt_posture.setups.stance import posture_kept_until
from putt_posture.values import Floats, View, median_seen

__all__ = ["StillPlace", "held_at_top", "still_place"]

StillPlace = Literal["address", "top", "elsewhere", "unknown"]
"""Where the putter is held in a still stretch before a stroke; unknown where landmarks are too coarse to tell."""

_JUST_BEFORE_S: Final = (-0.35, 0.1)
"""Around the start of a stroke the putter is where it starts from, s."""
_AFTER_S: Final = 0.4
"""Looks this long after the end of a stroke belong to its finish, s."""
_FASTEST_S: Final = 0.4
"""The way through is the largest change of place in this time, s: half a swing through."""
_LEAST_BACK: Final = 0.2
"""A putt goes back by half of its whole way; a top, by nothing. Share of the whole way, before the way through."""
_MOST_APART: Final = 0.33
"""Farthest from where the stroke starts, as a share of the whole way: a finish and a top are half of it away."""
_LEAST_CLEAR: Final[dict[View, float]] = {"face_on": 6.0, "down_the_line": 15.0}
"""The whole way in standard deviations of a place while still; less shows nothing. Down the line four numbers are
combined, whose noise makes a way of its own."""
_LEAST_LOOKS: Final = 3
_THROUGH_S: Final = 1.2
"""From a held top to the finish, s, slow swings too."""
_LONGEST_STROKE_S: Final = 6.0
"""From the address to the finish of a stroke whose top is held, s."""
_LEAST_WAY: Final = 0.09
"""Least way of the hands from a top to the finish, in body sizes: 12 cm, a short putt."""


def still_place(signals: Signals, still_s: Stretch, start_s: float, end_s: float) -> StillPlace:
    """Return where the putter is held in a still stretch before a stroke.

    Parameters
    ----------
    signals : Signals
    still_s : (float, float)
        Start and end of the stretch.
    start_s, end_s : float
        When the stroke starts and ends.
    """
    looks = np.isfinite(signals.swing_px).all(axis=1)
    times_s, swing = signals.times_s[looks], signals.swing_px[looks]
    resting = (times_s >= still_s[0]) & (times_s <= still_s[1])
    moving = (times_s >= start_s) & (times_s <= end_s + _AFTER_S)
    if resting.sum() < _LEAST_LOOKS or moving.sum() < _LEAST_LOOKS:
        return "unknown"
    moved = swing - np.median(swing[resting], axis=0)
    along = np.linalg.svd(moved[moving], full_matrices=False)[2][0]
    place = moved @ along
    way = float(np.ptp(place[moving]))
    scatter = 1.4826 * float(np.median(np.abs(place[resting] - np.median(place[resting]))))
    if way < _LEAST_CLEAR[signals.view] * scatter:
        return "unknown"
    begins = (times_s >= start_s + _JUST_BEFORE_S[0]) & (times_s <= start_s + _JUST_BEFORE_S[1])
    if abs(median_seen(place[begins])) > _MOST_APART * way:
        return "elsewhere"
    both_ways = min(place[moving].max(), -place[moving].min()) >= _LEAST_BACK * way
    return "address" if both_ways or _goes_back_first(times_s[moving], place[moving], way) else "top"


def held_at_top(signals: Signals, still_s: Stretch) -> bool:
    """Return whether the hands swing through right after a still stretch, without going back, from unmoved feet.

    It is for stretches that belong to no stroke that was found. Down the line the shoulders alone do not show it.

    Parameters
    ----------
    signals : Signals
    still_s : (float, float)
        Start and end of the stretch.
    """
    if signals.view != "face_on":
        return False
    ends_s = still_s[1] + _THROUGH_S
    kept_s = min(posture_kept_until(signals, still_s, still_s[1]), still_s[1] + _LONGEST_STROKE_S)
    if kept_s < ends_s or signals.times_s[-1] < ends_s:
        return False
    known = (signals.times_s > still_s[1]) & (signals.times_s <= kept_s) & np.isfinite(signals.swing_px[:, 0])
    at_once = known & (signals.times_s <= ends_s)
    if at_once.sum() < _LEAST_LOOKS or np.ptp(signals.swing_px[at_once, 0]) < _LEAST_WAY * median_seen(signals.body_px):
        return False
    if still_place(signals, still_s, still_s[1], ends_s - _AFTER_S) != "top":
        return False
    # A backswing to a held top goes one way too, and then past the address to the other side.
    resting = signals.during(*still_s)
    place = signals.swing_px[known, 0] - median_seen(signals.swing_px[resting, 0])
    return not min(place.max(), -place.min()) >= _LEAST_BACK * np.ptp(place)


def _goes_back_first(times_s: Floats, place: Floats, way: float) -> bool:
    """Return whether the place first moves against the way through; at rest it is 0."""
    later = np.minimum(np.searchsorted(times_s, times_s + _FASTEST_S, side="right") - 1, len(times_s) - 1)
    change = place[later] - place
    fastest = int(np.argmax(np.abs(change)))
    through = np.sign(change[fastest])
    return bool(np.max(-through * place[: fastest + 1]) >= _LEAST_BACK * way)
