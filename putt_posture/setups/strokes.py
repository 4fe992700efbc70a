"""Strokes: bursts of motion during which feet, hips and shoulders stay where they were at address.

Published timing: 99 tour players took 670 ± 90 ms back and 317 ± 35 ms from there to impact (a 2007 study, known only
as a newsletter quotes it); with the follow-through a stroke moves for 1.2 to 1.8 s. The limits leave room for others.
"""

from typing import Final

import numpy as np
from attrs import evolve, frozen
from numpy.typing import NDArray

from putt_posture.setups.quiet import Activity, Stretch, find_bursts, find_quiet
from putt_posture.setups.signals import Signals
from putt_posture.setups.stance import (
    head_as_during,
    head_turned,
    is_held_aside,
    measure_swing,
    posture_kept_until,
    same_feet,
)

__all__ = ["Stroke", "find_strokes"]

Flags = NDArray[np.bool_]

_LEAST_S: Final = 0.65
"""A quick turn of the head or a waggle is shorter; the quickest stroke takes 1 s, of which its slow ends go unseen."""
_LEAST_CUT_S: Final = 0.5
"""The same where the clip ends during the stroke."""
_LEAST_LEFT_S: Final = 0.85
"""The same where the address is left at the end: a step is over sooner, and is seen late."""
_MOST_S: Final = 2.8
"""Strong motion for longer than this is swinging to and fro."""
_LOOK_S: Final = 0.85
"""A burst shorter than this that leaves the head turned is a look at the hole."""
_STRONG: Final = 0.3
"""A stroke reaches this share of the clip's strongest; less is a waggle or a look."""
_AFTER_HOLD: Final = 0.6
"""The same against the stroke just before: after the hold the putter comes back slowly."""
_HOLD_S: Final = 0.5
"""Stillness that begins within this time of a stroke's end is its hold, or a new address."""
_REACH_S: Final = 4.0
"""A look at the hole or a waggle may lie between the quiet stretch and the stroke, for no longer than this."""
_EYES_S: Final = (-0.2, 0.9)
"""Against the stroke's start: until the ball is struck the eyes are on it."""
_JUST_BEFORE_S: Final = 0.6
_MOST_HELD_S: Final = 2.0
"""The top of a backswing is held for no longer than this."""
_LEAST_PART_S: Final = 0.3
"""To the top that is held, and from there to the finish, the putter needs longer than this."""
_INSIDE_S: Final = 0.2
"""Left out at either end of the hold."""


@frozen(kw_only=True)
class Stroke:
    """One swing of the putter; times are real seconds.

    Attributes
    ----------
    start_s, end_s : float
    quiet_s : Stretch or None
        The quiet stretch at address that it follows.
    peak : float
        The level of motion at its strongest.
    continuous : bool
        Swinging to and fro for longer than a stroke.
    """

    start_s: float
    end_s: float
    quiet_s: Stretch | None = None
    peak: float
    continuous: bool = False


def find_strokes(signals: Signals, activity: Activity) -> tuple[list[Stroke], list[Stretch]]:
    """Find the strokes of a clip, practice or not, and its quiet stretches at address.

    Parameters
    ----------
    signals : Signals
    activity : Activity
        Of the same track.

    Returns
    -------
    strokes, quiet : list of Stroke, list of Stretch
        In order of time. What counts as quiet follows from the noise and from the strongest stroke; to find that one,
        thresholds are tried upward, because a low one joins a stroke to the sway and the looks before it.
    """
    peaks = [
        swing.peak
        for trial in activity.trials()
        for swing in _find_swings(signals, activity, trial)
        if not swing.continuous
    ]
    threshold = activity.threshold(max(peaks, default=None))
    strokes = _drop_weak(_find_swings(signals, activity, threshold), activity.floor)
    return _give_quiet(strokes, signals, activity, threshold), find_quiet(activity, threshold)


def _find_swings(signals: Signals, activity: Activity, threshold: float) -> list[Stroke]:
    """Return every burst that looks like a swing of the putter, weak ones too, without their quiet stretches."""
    quiet = find_quiet(activity, threshold)
    found: list[Stroke] = []
    bursts = find_bursts(activity, threshold)
    for index, (start_s, stop_s) in enumerate(bursts):
        if not signals.address_like_at(np.array([start_s]))[0] or (found and start_s < found[-1].end_s):
            continue
        before = [stretch for stretch in quiet if start_s - _JUST_BEFORE_S <= stretch[1] <= start_s]
        reference = before[-1] if before else (start_s - _JUST_BEFORE_S, start_s)
        kept_s = posture_kept_until(signals, reference, start_s)
        swing = None
        if index + 1 < len(bursts):
            swing = _judge_held(signals, activity, reference, (start_s, stop_s), bursts[index + 1], kept_s)
        if swing is None and kept_s >= min(stop_s, start_s + _LEAST_LEFT_S):
            swing = _judge(signals, activity, reference, start_s, min(stop_s, kept_s))
        if swing is not None:
            found.append(swing)
    return found


def _judge_held(
    signals: Signals, activity: Activity, reference: Stretch, back: Stretch, through: Stretch, kept_s: float
) -> Stroke | None:
    """Return two bursts as one stroke whose top is held, or None where they are none.

    Seen from an address a stroke goes to both sides. From a held top it goes to one side only, that of the address.
    """
    if through[0] - back[1] > _MOST_HELD_S or kept_s < through[0] + _LEAST_PART_S:
        return None
    end_s = min(through[1], kept_s, through[0] + _MOST_S)
    if min(back[1] - back[0], end_s - through[0]) < _LEAST_PART_S:
        return None
    whole = measure_swing(signals, reference, back[0], end_s)
    if not (whole.tells and whole.to_both_sides()) or measure_swing(signals, reference, *back).to_both_sides():
        return None
    margin = min(_INSIDE_S, (through[0] - back[1]) / 3)
    held = (back[1] + margin, through[0] - margin)
    if measure_swing(signals, held, through[0], end_s).to_both_sides():
        return None
    if not is_held_aside(signals, reference, held, whole):
        return None
    return Stroke(start_s=back[0], end_s=end_s, peak=_peak(activity, back[0], end_s))


def _judge(signals: Signals, activity: Activity, reference: Stretch, start_s: float, stop_s: float) -> Stroke | None:
    """Return the burst as a stroke, or None where it is no swing of the putter."""
    cut = stop_s >= activity.times_s[-1] - 0.1
    if stop_s - start_s < (_LEAST_CUT_S if cut else _LEAST_S):
        return None
    end_s = min(stop_s, start_s + _MOST_S)
    peak = _peak(activity, start_s, end_s)
    whole = activity.inside(start_s, stop_s)
    with np.errstate(invalid="ignore"):
        strong = activity.times_s[whole][activity.level[whole] >= activity.floor + _STRONG * (peak - activity.floor)]
    if strong[-1] - strong[0] > _MOST_S:
        return Stroke(start_s=start_s, end_s=stop_s, peak=peak, continuous=True)
    if stop_s - start_s < _LOOK_S and not cut and head_turned(signals, reference, stop_s):
        return None
    seen = measure_swing(signals, reference, start_s, end_s)
    if seen.tells and not seen.to_both_sides():
        return None
    return Stroke(start_s=start_s, end_s=end_s, peak=peak)


def _peak(activity: Activity, start_s: float, end_s: float) -> float:
    """Return the strongest motion at address: a step right after a stroke moves more than the stroke."""
    inside = activity.inside(start_s, end_s)
    level = activity.level[inside][activity.at_address[inside]]
    return float(np.nanmax(level if np.isfinite(level).any() else activity.level[inside]))


def _drop_weak(swings: list[Stroke], floor: float) -> list[Stroke]:
    """Leave out waggles, looks at the hole, and the putter's way back after the hold."""
    strongest = max((swing.peak for swing in swings), default=floor)
    strong: list[Stroke] = []
    for swing in swings:
        least = _STRONG * (strongest - floor)
        if strong and swing.start_s - strong[-1].end_s <= _HOLD_S + _REACH_S:
            least = max(least, _AFTER_HOLD * (strong[-1].peak - floor))
        if swing.peak - floor >= least:
            strong.append(swing)
    return strong


def _give_quiet(strokes: list[Stroke], signals: Signals, activity: Activity, threshold: float) -> list[Stroke]:
    """Give each stroke the last quiet stretch before it, the eyes on the ball and the feet in the same place."""
    given: list[Stroke] = []
    for index, stroke in enumerate(strokes):
        earliest_s = max(stroke.start_s - _REACH_S, strokes[index - 1].end_s if index else -np.inf)
        eyes_on_ball = head_as_during(
            signals, (stroke.start_s + _EYES_S[0], stroke.start_s + _EYES_S[1]), activity.times_s
        )
        just_before = (stroke.start_s - _JUST_BEFORE_S, stroke.start_s)
        before = [
            [
                stretch
                for stretch in find_quiet(activity, threshold, only=only)
                if earliest_s <= stretch[1] <= stroke.start_s and same_feet(signals, stretch, just_before)
            ]
            for only in (eyes_on_ball, None)
        ]
        best = before[0] or before[1]
        given.append(evolve(stroke, quiet_s=best[-1] if best else None))
    return given
