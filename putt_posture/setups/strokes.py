"""Strokes: moments with the shape of a stroke during which feet, hips and shoulders stay where they were at address."""

from typing import Final

import numpy as np
from attrs import evolve, frozen

from putt_posture.setups.quiet import Activity, Stretch, find_quiet
from putt_posture.setups.signals import Signals
from putt_posture.setups.stance import head_as_during, posture_kept_until, same_feet
from putt_posture.setups.stroke_shape import Match, find_matches

__all__ = ["Stroke", "find_strokes"]

_STRONG: Final = 0.3
"""A stroke reaches this share of the motion of the clip's strongest; less is a waggle or a look."""
_WIDE: Final = 0.2
"""And this share of the swing of its widest, as far as coarse landmarks tell that."""
_REACH_S: Final = 4.0
"""A look at the hole or a waggle may lie between the quiet stretch and the stroke, for no longer than this."""
_EYES_S: Final = (-0.2, 0.9)
"""Against the stroke's start: until the ball is struck the eyes are on it."""
_JUST_BEFORE_S: Final = 0.6
_SAME_SWING: Final = 0.7
"""What goes on without a rest and is as strong as this share of a stroke is another swing; the putter comes back with
a third of a stroke's speed."""
_NEXT_SWING_S: Final = 3.0
"""The next swing is at its strongest by then."""
_LEAVING_S: Final = 0.8
"""The last of an address is left out: standing up moves more than any swing."""
_UNSTEADY: Final = 0.4
"""Of the way from the noise to where quiet ends: between strokes a steady picture is below it for most of the time (at
most 0.36 on acted clips), one from a camera held in the hand hardly ever (median 0.7)."""
_UNSTEADY_SHARES: Final = (0.25, 0.4)
"""Of the way from the noise to the strongest stroke's peak: where a picture hardly comes to rest, quiet is looked
for below these, one after the other."""


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
    goes_on : bool
        Another swing follows without a rest: swinging to and fro.
    """

    start_s: float
    end_s: float
    quiet_s: Stretch | None = None
    peak: float
    goes_on: bool = False


def find_strokes(signals: Signals, activity: Activity) -> list[Stroke]:
    """Find the strokes of a clip, practice or not, each with the quiet stretch at address before it.

    Parameters
    ----------
    signals : Signals
    activity : Activity
        Of the same track.

    Returns
    -------
    list of Stroke
        In order of time.
    """
    matches = [match for match in find_matches(signals, activity) if _stays(signals, match)]
    peaks = [_peak(activity, match) for match in matches]
    strongest = max(peaks, default=activity.floor)
    widest = max((match.width for match in matches), default=0.0)
    strokes = [
        Stroke(start_s=match.start_s, end_s=match.end_s, peak=peak)
        for match, peak in zip(matches, peaks, strict=True)
        if peak - activity.floor >= _STRONG * (strongest - activity.floor) and match.width >= _WIDE * widest
    ]
    limits = _limits(activity, strokes, strongest)
    return [
        evolve(
            stroke,
            quiet_s=_quiet_before(stroke, before, signals, activity, limits),
            goes_on=_goes_on(stroke, signals, activity, limits[0]),
        )
        for stroke, before in zip(strokes, [None, *strokes], strict=False)
    ]


def _stays(signals: Signals, match: Match) -> bool:
    """Say whether feet, hips and shoulders stay in place until the ball is struck."""
    just_before = (match.start_s - _JUST_BEFORE_S, match.start_s)
    return posture_kept_until(signals, just_before, match.start_s) >= match.start_s + match.shape.impact_s


def _peak(activity: Activity, match: Match) -> float:
    """Return the strongest motion at address: a step right after a stroke moves more than the stroke."""
    inside = activity.inside(match.start_s, match.end_s)
    level = activity.level[inside][activity.at_address[inside]]
    return float(np.nanmax(level if np.isfinite(level).any() else activity.level[inside]))


def _goes_on(stroke: Stroke, signals: Signals, activity: Activity, threshold: float) -> bool:
    """Say whether a swing as strong follows from the same place before it is quiet again."""
    kept_s = posture_kept_until(signals, (stroke.start_s - _JUST_BEFORE_S, stroke.start_s), stroke.end_s)
    rests_s = [start for start, stop in find_quiet(activity, threshold) if stop > stroke.end_s]
    left_s = [time_s for time_s in activity.times_s[~activity.at_address] if time_s > stroke.end_s]
    until_s = min(min([kept_s, *left_s[:1]]) - _LEAVING_S, stroke.end_s + _NEXT_SWING_S, *rests_s[:1])
    if until_s <= stroke.end_s:
        return False
    level = activity.level[activity.inside(stroke.end_s, until_s)]
    with np.errstate(invalid="ignore"):
        return bool(np.any(level - activity.floor >= _SAME_SWING * (stroke.peak - activity.floor)))


def _quiet_before(
    stroke: Stroke, before: Stroke | None, signals: Signals, activity: Activity, limits: list[float]
) -> Stretch | None:
    """Return the last quiet stretch before a stroke, the eyes on the ball and the feet in the same place."""
    just_before = (stroke.start_s - _JUST_BEFORE_S, stroke.start_s)
    eyes_on_ball = head_as_during(signals, (stroke.start_s + _EYES_S[0], stroke.start_s + _EYES_S[1]), activity.times_s)
    between = (activity.times_s <= stroke.start_s) & (activity.times_s >= (before.end_s if before else -np.inf))
    for limit in limits:
        for only in (eyes_on_ball & between, between):
            quiet = [
                stretch
                for stretch in find_quiet(activity, limit, only=only)
                if stretch[1] >= stroke.start_s - _REACH_S and same_feet(signals, stretch, just_before)
            ]
            if quiet:
                return quiet[-1]
    return None


def _limits(activity: Activity, strokes: list[Stroke], strongest: float) -> list[float]:
    """Return the levels below which it may count as quiet: one, and others where a picture hardly comes to rest."""
    threshold = activity.threshold(strongest)
    calm = activity.at_address.copy()
    for stroke in strokes:
        calm[activity.inside(stroke.start_s, stroke.end_s)] = False
    middle = activity.floor + _UNSTEADY * (threshold - activity.floor)
    if not np.isfinite(activity.level[calm]).any() or np.nanmedian(activity.level[calm]) <= middle:
        return [threshold]
    raised = (activity.floor + share * (strongest - activity.floor) for share in _UNSTEADY_SHARES)
    return [threshold, *(limit for limit in raised if limit > threshold)]
