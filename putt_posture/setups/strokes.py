"""Strokes, found by the motion in the picture or by the landmarks alone, and which of them are practice strokes.

A person who walks past behind the student, leaves in the wind or a hand-held camera hide stillness and stroke in the
motion of the picture. The landmarks are coarser but belong to the student. Times are real seconds.

A stroke is left out when it has no quiet stretch right before it, when another follows it without a pause, or when the
student then steps toward the ball and addresses it within `STEP_IN_S`. A stroke that is followed by another from the
same feet within that time is kept with a doubt. When nothing would be left, the last one that has a quiet stretch is
kept, with a doubt. The reason is in words that follow "because".
"""

from collections.abc import Sequence
from typing import Final

import numpy as np
from attrs import evolve, frozen

from putt_posture.setups.quiet import LEAST_QUIET_S, Activity, Stretch, find_quiet
from putt_posture.setups.signals import BODY_CM, Signals, find_runs
from putt_posture.setups.stance import head_as_during, near_feet, posture_kept_until, same_feet
from putt_posture.setups.stroke_shape import Match, find_matches
from putt_posture.setups.surroundings import still_place

__all__ = [
    "STEP_IN_S",
    "CoarseStroke",
    "FollowedStroke",
    "Kept",
    "comes_after_a_stroke",
    "find_still_body",
    "find_strokes",
    "find_strokes_by_hands",
    "leave_out_practice",
]

_STRONG: Final = 0.3
"""A stroke reaches this share of the motion of the clip's strongest one; less is a waggle or a look at the hole."""
_WIDE: Final = 0.2
"""It also reaches this share of the swing of the clip's widest stroke, as far as coarse landmarks show that."""
_REACH_S: Final = 4.0
"""A look at the hole or a waggle may lie between the quiet stretch and the stroke, for no longer than this, s."""
_BACKSWING_S: Final = 2.0
"""Longest backswing to a held top, s."""
_EYES_S: Final = (-0.2, 0.9)
"""From the stroke's start, s: until the ball is struck the eyes are on it."""
_JUST_BEFORE_S: Final = 0.6
_SAME_SWING: Final = 0.7
"""Motion that follows without a rest and has this share of a stroke's level is another swing; the putter comes back
with a third of a stroke's speed."""
_NEXT_SWING_S: Final = 3.0
"""By this time the next swing is at its strongest, s."""
_LEAVING_S: Final = 0.8
"""The end of an address is left out, s: standing up moves more than any swing."""
_UNSTEADY: Final = 0.4
"""Share of the range from the noise to the end of quiet. Between strokes a steady picture is below it most of the time
(at most 0.36 on acted clips), a hand-held picture hardly ever (median 0.7)."""
_UNSTEADY_SHARES: Final = (0.25, 0.4)
"""Shares of the range from the noise to the strongest stroke's peak: where a picture hardly comes to rest, quiet is
searched below these, one after the other."""


@frozen(kw_only=True)
class CoarseStroke:
    """One swing of the putter; times are real seconds.

    Attributes
    ----------
    start_s, end_s : float
    quiet_s : Stretch or None
        The quiet stretch at address that it follows.
    peak : float
        The level of motion at its strongest.
    goes_on : bool
        Another swing follows without a rest: swinging back and forth.
    elsewhere : bool
        In the quiet stretch the body does not seem to be where the stroke starts from: perhaps a held top or finish.
    """

    start_s: float
    end_s: float
    quiet_s: Stretch | None = None
    peak: float
    goes_on: bool = False
    elsewhere: bool = False


_MOST_HAND_MOVE: Final = 0.045
"""Largest distance between the hands' places in the 0.4 s before and after a frame, in body sizes: 6 cm."""
_STILL_REACH_S: Final = 1.0
"""The stillness ends no longer than this before the stroke, s."""
_BEFORE_S: Final = 1.0
"""A stretch that follows this much motion at an unchanged address comes after a stroke rather than before, s."""
STEP_IN_S: Final = 8.0
"""Longest time from the practice stroke to being still again at the ball, s; fetching and placing another ball takes
longer."""
_SAME_S: Final = 0.3
"""Starts of one stroke as told twice differ by less, s."""
_AWAY_S: Final = 0.6
"""If the second address is left for longer than this, a new approach to the ball begins, s."""
_STEP_SIDE_VIEW: Final = 5.0 / BODY_CM
"""Down the line a step toward the ball is seen at its full length: 5 cm, five standard errors of the feet's place."""
_STEP_FRONT_VIEW: Final = 3.0 / BODY_CM
"""Face on it is a step toward the camera: 12 cm at 4 m lowers the feet in the picture by 3 cm (camera at 1 m)."""
_LONGEST_STEP: Final = 60.0 / BODY_CM
"""A longer step is a walk to another place."""
_ANOTHER_FOLLOWS: Final = "another stroke follows it"
_GOES_ON: Final = "it goes on back and forth without a rest"


@frozen(kw_only=True)
class FollowedStroke:
    """A stroke that was followed frame by frame, so that it is known what became of the ball.

    Attributes
    ----------
    stroke_s : (float, float)
        Roughly its start and its finish, s.
    address_s : (float, float)
        The quiet part before it, s.
    practice : bool
        Whether it is a practice stroke.
    """

    stroke_s: Stretch
    address_s: Stretch
    practice: bool

    def begins_at(self, time_s: float, *, time_stretch: float = 1.0) -> bool:
        """Tell whether a stroke that begins at a time is this one, as told twice.

        Parameters
        ----------
        time_s : float
            In the seconds of this stroke.
        time_stretch : float
            Such seconds in a real second.
        """
        return abs(self.stroke_s[0] - time_s) < _SAME_S * time_stretch

    def scaled(self, share: float) -> "FollowedStroke":
        """Return it with other seconds, from clip time to real time.

        Parameters
        ----------
        share : float
            The new seconds in an old one.
        """
        stroke, address = ((share * first, share * last) for first, last in (self.stroke_s, self.address_s))
        return FollowedStroke(stroke_s=stroke, address_s=address, practice=self.practice)


@frozen(kw_only=True)
class Kept:
    """A stroke with a quiet stretch before it.

    Attributes
    ----------
    stroke : CoarseStroke
    doubt : str
        Why it may be practice; empty where it is not.
    found_how : str
        A clause on how it was found; empty where it was found as usual.
    """

    stroke: CoarseStroke
    doubt: str = ""
    found_how: str = ""


def find_strokes(signals: Signals, activity: Activity) -> list[CoarseStroke]:
    """Find the strokes of a clip, practice or not, each with the quiet stretch at address before it.

    Parameters
    ----------
    signals : Signals
    activity : Activity
        Of the same track.

    Returns
    -------
    list of CoarseStroke
        In order of time.
    """
    matches = [match for match in find_matches(signals, activity) if _stays(signals, match)]
    peaks = [_peak(activity, match) for match in matches]
    strongest = max(peaks, default=activity.floor)
    widest = max((match.width for match in matches), default=0.0)
    strokes = [
        CoarseStroke(start_s=match.start_s, end_s=match.end_s, peak=peak)
        for match, peak in zip(matches, peaks, strict=True)
        if peak - activity.floor >= _STRONG * (strongest - activity.floor) and match.width >= _WIDE * widest
    ]
    limits = _limits(activity, strokes, strongest)
    found: list[CoarseStroke] = []
    for stroke in strokes:
        whole = _with_its_backswing(stroke, found[-1] if found else None, signals, activity, limits)
        found.append(evolve(whole, goes_on=_goes_on(whole, signals, activity, limits[0])))
    return found


def _with_its_backswing(
    stroke: CoarseStroke, before: CoarseStroke | None, signals: Signals, activity: Activity, limits: list[float]
) -> CoarseStroke:
    """Return a stroke with the quiet stretch before it; from its backswing on where it was found from a held top on."""
    quiet_s = _quiet_before(stroke, before, signals, activity, limits)
    place = "unknown" if quiet_s is None else still_place(signals, quiet_s, stroke.start_s, stroke.end_s)
    if quiet_s is None or place != "top":
        return evolve(stroke, quiet_s=quiet_s, elsewhere=place == "elsewhere")
    earlier = [
        stretch
        for stretch in find_quiet(activity, limits[0])
        if quiet_s[0] - _BACKSWING_S <= stretch[1] < quiet_s[0]
        and same_feet(signals, stretch, quiet_s)
        and still_place(signals, stretch, stretch[1], stroke.end_s) == "address"
    ]
    if not earlier:
        return evolve(stroke, quiet_s=quiet_s if signals.view == "down_the_line" else None, elsewhere=True)
    return evolve(stroke, start_s=earlier[-1][1], quiet_s=earlier[-1])


def find_still_body(signals: Signals) -> list[Stretch]:
    """Return the stretches in which feet, trunk and hands are still at address for `LEAST_QUIET_S`.

    Parameters
    ----------
    signals : Signals
    """
    still = signals.address_like & (signals.hands_moved_px <= _MOST_HAND_MOVE * signals.body_px)
    stretches = [(float(signals.times_s[first]), float(signals.times_s[last])) for first, last in find_runs(still)]
    return [(start, stop) for start, stop in stretches if stop - start >= LEAST_QUIET_S]


def find_strokes_by_hands(signals: Signals, activity: Activity) -> list[CoarseStroke]:
    """Find the strokes that the hands show, face on, each with the still stretch before it.

    Parameters
    ----------
    signals : Signals
    activity : Activity

    Returns
    -------
    list of CoarseStroke
        In order of time; always empty down the line, where the hands move toward the camera.
    """
    if signals.view != "face_on":
        return []
    still = find_still_body(signals)
    found: list[CoarseStroke] = []
    for match in find_matches(signals, activity, compared="body"):
        before = [(start, min(stop, match.start_s)) for start, stop in still if start < match.start_s]
        before = [
            each for each in before if each[1] >= match.start_s - _STILL_REACH_S and _length(each) >= LEAST_QUIET_S
        ]
        kept_s = posture_kept_until(signals, before[-1], match.start_s) if before else 0.0
        if before and kept_s >= match.start_s + match.shape.impact_s:
            found.append(CoarseStroke(start_s=match.start_s, end_s=match.end_s, quiet_s=before[-1], peak=0.0))
    return found


def comes_after_a_stroke(activity: Activity, stretch: Stretch) -> bool:
    """Return whether a quiet stretch follows a second of motion at an unchanged address.

    Parameters
    ----------
    activity : Activity
    stretch : (float, float)
        Start and end, real seconds.
    """
    if stretch[0] - _BEFORE_S < activity.times_s[0]:
        return False
    return bool(np.all(activity.at_address[activity.inside(stretch[0] - _BEFORE_S, stretch[0])]))


def leave_out_practice(
    strokes: list[CoarseStroke], signals: Signals, *, followed: Sequence[FollowedStroke] = ()
) -> list[Kept]:
    """Leave out the strokes that are known or recognised as practice.

    Parameters
    ----------
    strokes : list of CoarseStroke
        In order of time.
    signals : Signals
    followed : sequence of FollowedStroke
        What is known of strokes, real seconds; those of practice count where no other has a setup.

    Returns
    -------
    list of Kept
        In order of time; empty only where no stroke has a quiet stretch before it.
    """
    practice = [each for each in followed if each.practice]
    others = [each for each in strokes if not any(known.begins_at(each.start_s) for known in practice)]
    if any(each.quiet_s is not None and not each.goes_on for each in others):
        strokes = others
    kept: list[Kept] = []
    for index, stroke in enumerate(strokes):
        if stroke.quiet_s is None or stroke.goes_on:
            continue
        following = strokes[index + 1] if index + 1 < len(strokes) else None
        if following is None:
            kept.append(Kept(stroke=stroke))
        elif following.quiet_s is None:
            soon = following.start_s - stroke.end_s < STEP_IN_S
            kept.append(Kept(stroke=stroke, doubt=_ANOTHER_FOLLOWS if soon else ""))
        elif _settled_s(signals, stroke, following) - stroke.end_s > STEP_IN_S:
            kept.append(Kept(stroke=stroke))
        elif not _steps_in(signals, stroke, following):
            kept.append(Kept(stroke=stroke, doubt=_ANOTHER_FOLLOWS))
    return kept or _last_of(strokes)


def _stays(signals: Signals, match: Match) -> bool:
    """Return whether feet, hips and shoulders stay in place until the ball is struck."""
    just_before = (match.start_s - _JUST_BEFORE_S, match.start_s)
    return posture_kept_until(signals, just_before, match.start_s) >= match.start_s + match.shape.impact_s


def _peak(activity: Activity, match: Match) -> float:
    """Return the strongest motion at address; elsewhere a step right after a stroke moves more than the stroke."""
    inside = activity.inside(match.start_s, match.end_s)
    level = activity.level[inside][activity.at_address[inside]]
    return float(np.nanmax(level if np.isfinite(level).any() else activity.level[inside]))


def _goes_on(stroke: CoarseStroke, signals: Signals, activity: Activity, threshold: float) -> bool:
    """Return whether an equally strong swing follows from the same place before the picture is quiet again."""
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
    stroke: CoarseStroke, before: CoarseStroke | None, signals: Signals, activity: Activity, limits: list[float]
) -> Stretch | None:
    """Return the last quiet stretch before a stroke, with the eyes on the ball and the feet in the same place."""
    just_before = (stroke.start_s - _JUST_BEFORE_S, stroke.start_s)
    eyes_on_ball = head_as_during(signals, (stroke.start_s + _EYES_S[0], stroke.start_s + _EYES_S[1]), activity.times_s)
    between = (activity.times_s <= stroke.start_s) & (activity.times_s >= (before.end_s if before else -np.inf))
    passed_over: list[Stretch] = []
    for limit in limits:
        for only in (eyes_on_ball & between, between):
            quiet = [
                stretch
                for stretch in find_quiet(activity, limit, only=only)
                if stretch[1] >= stroke.start_s - _REACH_S and same_feet(signals, stretch, just_before)
            ]
            there = [each for each in quiet if still_place(signals, each, stroke.start_s, stroke.end_s) != "elsewhere"]
            if there:
                return there[-1]
            passed_over += quiet[-1:]
    # Down the line the body shows its place too roughly to be left without any address.
    return passed_over[0] if passed_over and signals.view == "down_the_line" else None


def _limits(activity: Activity, strokes: list[CoarseStroke], strongest: float) -> list[float]:
    """Return the levels below which a picture may count as quiet: one, or several where it hardly comes to rest."""
    threshold = activity.threshold(strongest)
    calm = activity.at_address.copy()
    for stroke in strokes:
        calm[activity.inside(stroke.start_s, stroke.end_s)] = False
    middle = activity.floor + _UNSTEADY * (threshold - activity.floor)
    if not np.isfinite(activity.level[calm]).any() or np.nanmedian(activity.level[calm]) <= middle:
        return [threshold]
    raised = (activity.floor + share * (strongest - activity.floor) for share in _UNSTEADY_SHARES)
    return [threshold, *(limit for limit in raised if limit > threshold)]


def _length(stretch: Stretch) -> float:
    return stretch[1] - stretch[0]


def _last_of(strokes: list[CoarseStroke]) -> list[Kept]:
    """Keep the last stroke with a quiet stretch before it, where all strokes seem to be practice."""
    return [
        Kept(stroke=stroke, doubt=_GOES_ON if stroke.goes_on else _ANOTHER_FOLLOWS)
        for stroke in strokes
        if stroke.quiet_s is not None
    ][-1:]


def _settled_s(signals: Signals, stroke: CoarseStroke, following: CoarseStroke) -> float:
    """Return when the feet came to their place in the second address, with looks and waggles there included."""
    assert following.quiet_s is not None
    now_s = following.quiet_s[0]
    there = signals.address_like & near_feet(signals, following.quiet_s)
    for index in np.flatnonzero((signals.times_s > stroke.end_s) & (signals.times_s < following.quiet_s[0]))[::-1]:
        if not there[index] and now_s - signals.times_s[index] > _AWAY_S:
            break
        if there[index]:
            now_s = float(signals.times_s[index])
    return now_s


def _steps_in(signals: Signals, stroke: CoarseStroke, following: CoarseStroke) -> bool:
    """Return whether the feet are nearer to the ball in the second address, by a step rather than a walk."""
    assert stroke.quiet_s is not None
    assert following.quiet_s is not None
    before, after = signals.during(*stroke.quiet_s), signals.during(*following.quiet_s)
    body = float(np.nanmedian(signals.body_px[before]))
    step = (np.nanmedian(signals.feet_px[after], axis=0) - np.nanmedian(signals.feet_px[before], axis=0)) / body
    if np.hypot(*step) > _LONGEST_STEP:
        return False
    if signals.view == "face_on":
        return bool(step[1] >= _STEP_FRONT_VIEW)
    lean = np.nanmedian(signals.shoulders_px[before, 0] - signals.hips_px[before, 0])
    return bool(step[0] * np.sign(lean) >= _STEP_SIDE_VIEW)
