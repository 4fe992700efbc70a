"""The setups of a lesson's clips, compared where the clips show the same performance.

Two phones are not started together, but both see when the student moves, and how much. Where the motions of the two
clips are alike at one time shift and at no other, and their strokes coincide at that shift, both show the same
performance. Short clips of one putt always coincide, and show nothing. Times are real seconds.

Then the strokes found face on count for both clips: face on the hands visibly go to one side and then to the other.
Clips of different putts each keep their own setups, with a note.
"""

from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np
from attrs import evolve, frozen

from putt_posture.setups.build import SetupBuilder, trim_quiet
from putt_posture.setups.finder import FRAMES_PER_SETUP, find_putts, find_setups, find_setups_in, find_stances
from putt_posture.setups.observed import Observed, observe
from putt_posture.setups.quiet import LEAST_QUIET_S, LEVEL_STEP_S, Stretch, find_quiet
from putt_posture.setups.stance import same_posture
from putt_posture.setups.strokes import CoarseStroke, FollowedStroke
from putt_posture.shown import join_words
from putt_posture.values import Clip, Floats, Setup, Track, View

__all__ = ["LessonSetups", "Likeness", "compare_patterns", "find_setups_together"]

_LEAST_SHARED_S: Final = 6.0
"""In shorter overlaps most pairs of clips are alike somewhere, s."""
_LEAST_LIKE: Final = 0.8
"""Least correlation. Of 60 acted pairs of one performance 57 have more, of 120 pairs of two performances 27."""
_LEAST_LIKE_IN_STEP: Final = 0.6
"""Least correlation where two or more strokes of each clip all coincide."""
_CLEARLY: Final = 0.1
"""The correlation is this much higher than at any shift that differs by `_OTHER_S` or more."""
_OTHER_S: Final = 1.0
_SHARES: Final = (0.08, 4.0)
"""Shares of a stroke's motion: less is stillness, more is walking; how much less or more differs between views."""
_SAME_PATTERN_S: Final = 0.4
"""Starts of one stroke as found in two views differ by less, s."""
_AT_ENDS_S: Final = (0.6, 1.5)
"""A stroke that starts this near to the first or the last common time may be seen in one clip only, s."""


@frozen(kw_only=True)
class Likeness:
    """How alike two clips are.

    Attributes
    ----------
    best, rival : float
        Correlation of the logarithms of their motion at the best shift, and at the best shift that is a second or more
        away; −1 where the clips are too short.
    shift_s : float
        Added to a time of the first clip it gives that of the second, s.
    shared, alone : int
        How many strokes coincide at that shift, and how many strokes of the two clips coincide with none although the
        other clip shows that time.
    strokes : (int, int)
        How many each clip has.
    """

    best: float = -1.0
    rival: float = -1.0
    shift_s: float = 0.0
    shared: int = 0
    alone: int = 0
    strokes: tuple[int, int] = (0, 0)

    @property
    def show_one(self) -> bool:
        """Both clips show one performance."""
        if self.shared >= 2 and self.strokes == (self.shared, self.shared):
            return self.best >= _LEAST_LIKE_IN_STEP
        clear = self.best >= _LEAST_LIKE and self.best - self.rival >= _CLEARLY
        return clear and 0 < self.shared >= self.alone

    @property
    def show_two(self) -> bool:
        """The clips show different performances."""
        return -1.0 < self.best < _LEAST_LIKE and self.alone > 0 and min(self.strokes) > 0


_SAME_S: Final = 0.6
"""Starts of one stroke as found in two views differ by less, s."""
_LEAST_WINDOW_S: Final = 0.4
_DIFFERENT: Final = (
    "The two clips do not show the same putts: stillness and motion follow each other differently in them. Each view "
    "is measured at its own setups, so what is said of both views together comes from different putts."
)


@frozen(kw_only=True)
class LessonSetups:
    """The setups of a lesson's clips.

    Attributes
    ----------
    of : dict of View to tuple of Setup
    notes : tuple of str
        Notes on the two clips together.
    """

    of: dict[View, tuple[Setup, ...]]
    notes: tuple[str, ...] = ()


def compare_patterns(first: Observed, second: Observed) -> Likeness:
    """Compare the motion of two clips at every time shift at which they share six seconds.

    Parameters
    ----------
    first : Observed
    second : Observed
        The two clips, in either order.
    """
    moves, others = _motion(first), _motion(second)
    least = round(_LEAST_SHARED_S / LEVEL_STEP_S)
    lags = np.arange(least - len(moves), len(others) - least + 1)
    if not len(lags):
        return Likeness()
    like = np.array([_correlation(*_over(moves, others, lag)) for lag in lags.tolist()])
    best = int(np.argmax(like))
    apart = np.abs(lags - lags[best]) * LEVEL_STEP_S >= _OTHER_S
    shift_s = float(lags[best] * LEVEL_STEP_S + second.activity.times_s[0] - first.activity.times_s[0])
    shared, alone = _strokes_over(first, second, shift_s)
    return Likeness(
        best=float(like[best]),
        rival=float(like[apart].max()) if apart.any() else -1.0,
        shift_s=shift_s,
        shared=shared,
        alone=alone,
        strokes=(len(first.strokes), len(second.strokes)),
    )


def find_setups_together(
    tracks: Mapping[View, tuple[Track, Clip]],
    *,
    frames_per_setup: int = FRAMES_PER_SETUP,
    without_putter: bool = False,
    followed: Mapping[View, Sequence[FollowedStroke]] | None = None,
) -> LessonSetups:
    """Find the setups of one or two clips.

    Parameters
    ----------
    tracks : mapping of View to (Track, Clip)
    frames_per_setup : int
        How many frames to choose for each setup.
    without_putter : bool
        Whether the clips were filmed without a putter. Then the setups are the longest stretch in which the student
        stands still in all clips at once, as far as their motion shows what is at once, and the others with the same
        posture; a note gives the times of other postures.
    followed : mapping of View to sequence of FollowedStroke, optional
        Strokes that were followed before, clip time. Those of practice have a setup only where no other has; the others
        have one where no stroke is found.

    Returns
    -------
    LessonSetups
        As `find_setups` returns them. Where both clips show the same performance, setups down the line belong to the
        strokes found face on, and their reasons say so. Where they show different putts, a note says so.

    Raises
    ------
    SetupNotFound
        If a student is never seen still at address; for the first clip where this is so in both.
    """
    if without_putter and any(clip.kind != "still" for _, clip in tracks.values()):
        return _find_stances_together(tracks, frames_per_setup)
    stills = {view: each for view, each in tracks.items() if each[1].kind == "still"}
    seen = {
        view: _observe(track, clip, (followed or {}).get(view, ()))
        for view, (track, clip) in tracks.items()
        if view not in stills
    }
    found = {view: find_setups_in(each, frames_per_setup=frames_per_setup) for view, each in seen.items()}
    found |= {view: find_setups(*each, without_putter=without_putter) for view, each in stills.items()}
    if set(seen) != {"down_the_line", "face_on"}:
        return LessonSetups(of={view: found[view] for view in tracks})
    side, front = seen["down_the_line"], seen["face_on"]
    like = compare_patterns(front, side)
    if like.show_one:
        by_front = _follow(front, side, like.shift_s, frames_per_setup)
        return LessonSetups(of={**found, "down_the_line": by_front or found["down_the_line"]})
    return LessonSetups(of=found, notes=(_DIFFERENT,) if like.show_two else ())


def _observe(track: Track, clip: Clip, followed: Sequence[FollowedStroke]) -> Observed:
    seen = observe(track, clip)
    return evolve(seen, followed=tuple(each.scaled(1 / clip.time_stretch) for each in followed))


def _find_stances_together(tracks: Mapping[View, tuple[Track, Clip]], count: int) -> LessonSetups:
    """Find the setups of clips without a putter; a still beside a clip has its one moment."""
    of: dict[View, tuple[Setup, ...]] = {}
    seen: dict[View, Observed] = {}
    for view, (track, clip) in tracks.items():
        if clip.kind == "still":
            of[view] = find_setups(track, clip, frames_per_setup=count, without_putter=True)
        else:
            seen[view] = observe(track, clip, without_putter=True)
    notes: list[str] = []
    for moments in _moments_of(seen):
        longest = max(moments, key=lambda moment: min(map(_length, moment.values())))
        same = [each for each in moments if _is_same(seen, longest, each)]
        for view in longest:
            build = SetupBuilder(seen[view].clip, seen[view].activity, count=count)
            of[view] = tuple(build.without_putter(each[view]) for each in same)
        notes += _say_others(seen, [each for each in moments if each not in same])
    return LessonSetups(of={view: of[view] for view in tracks}, notes=tuple(notes))


_Moment = dict[View, Stretch]
"""When the student stands still, in each clip that shows it."""


def _moments_of(seen: Mapping[View, Observed]) -> list[list[_Moment]]:
    """Return the still moments of the clips together, or of each by itself where it is not known what is at once."""
    stances = {view: find_stances(each) for view, each in seen.items()}
    if len(seen) == 2:
        front, side = stances["face_on"], stances["down_the_line"]
        like = compare_patterns(seen["face_on"], seen["down_the_line"])
        if like.best >= _LEAST_LIKE and like.best - like.rival >= _CLEARLY:
            by = like.shift_s
            both = [(max(a + by, c), min(b + by, d)) for a, b in front for c, d in side]
            both = [each for each in both if _length(each) >= LEAST_QUIET_S]
            if both:
                return [[{"face_on": (a - by, b - by), "down_the_line": (a, b)} for a, b in both]]
    return [[{view: each} for each in found] for view, found in stances.items()]


def _is_same(seen: Mapping[View, Observed], one: _Moment, other: _Moment) -> bool:
    return all(same_posture(seen[view].signals, one[view], other[view]) for view in one)


def _say_others(seen: Mapping[View, Observed], moments: list[_Moment]) -> list[str]:
    """Say when the student stood still in another posture, so that it can be measured as well."""
    if not moments:
        return []
    view = next(iter(moments[0]))
    clip = seen[view].clip
    middles = [sum(each[view]) / 2 * clip.time_stretch for each in moments]
    times = join_words([f"{each:.1f}" for each in middles])
    return [
        f"{clip.name} shows more than one setup: the student also stands still at {times} s. Only the setup "
        "that is held longest is measured; give the time of another with --setup-at."
    ]


def _length(stretch: Stretch) -> float:
    return stretch[1] - stretch[0]


def _motion(seen: Observed) -> Floats:
    """Return the logarithm of the motion as a share of a stroke's."""
    level, floor = seen.activity.level, seen.activity.floor
    known = np.where(np.isfinite(level), level, floor)
    peak = max((stroke.peak for stroke in seen.strokes), default=float(known.max()))
    shares = (known - floor) / (peak - floor) if peak > floor else np.zeros_like(known)
    return np.asarray(np.log(np.clip(shares, *_SHARES)), dtype=np.float64)


def _over(first: Floats, second: Floats, lag: int) -> tuple[Floats, Floats]:
    """Return the parts that the two share if the first starts `lag` steps after the second."""
    start, stop = max(0, -lag), min(len(first), len(second) - lag)
    return first[start:stop], second[start + lag : stop + lag]


def _correlation(first: Floats, second: Floats) -> float:
    spread = float(first.std() * second.std())
    return float(np.mean(first * second) - first.mean() * second.mean()) / spread if spread > 0 else -1.0


def _strokes_over(first: Observed, second: Observed, shift_s: float) -> tuple[int, int]:
    """Return how many strokes coincide, and how many of both clips coincide with none."""
    ends = [seen.activity.times_s[[0, -1]] + by for seen, by in ((first, shift_s), (second, 0.0))]
    begin, end = max(each[0] for each in ends) + _AT_ENDS_S[0], min(each[1] for each in ends) - _AT_ENDS_S[1]
    starts = np.array([stroke.start_s + shift_s for stroke in first.strokes])
    others = np.array([stroke.start_s for stroke in second.strokes])
    near = np.abs(starts[:, None] - others[None]) < _SAME_PATTERN_S
    seen_there = [(each > begin) & (each < end) for each in (starts, others)]
    met = near.any(axis=1), near.any(axis=0)
    alone = sum(int(np.sum(there & ~has)) for there, has in zip(seen_there, met, strict=True))
    return int(met[0].sum()), alone


def _follow(front: Observed, side: Observed, shift_s: float, count: int) -> tuple[Setup, ...]:
    """Return the setups down the line that belong to the strokes found face on; empty where there are none."""
    build = SetupBuilder(side.clip, side.activity, count=count)
    first_s, last_s = float(side.activity.times_s[0]), float(side.activity.times_s[-1])
    own, disturbed = find_putts(side)
    result: list[Setup] = []
    for kept in find_putts(front)[0]:
        start_s = kept.stroke.start_s + shift_s
        same = [each for each in own if abs(each.stroke.start_s - start_s) < _SAME_S]
        if same and bool(same[0].doubt) == bool(kept.doubt):
            result.append(build.before_stroke(same[0], disturbed=disturbed))
            continue
        quiet_s = _best_quiet(side, kept.stroke, shift_s)
        if quiet_s is None or not first_s < start_s < last_s:
            continue
        stroke = evolve(kept.stroke, start_s=start_s, end_s=min(kept.stroke.end_s + shift_s, last_s), quiet_s=quiet_s)
        found_how = "the stroke was found in the face-on clip"
        result.append(build.before_stroke(evolve(kept, stroke=stroke, found_how=found_how)))
    if not result:
        return ()
    starts_s, ends_s = (float(front.activity.times_s[at]) + shift_s for at in (0, -1))
    outside = [each for each in own if not starts_s <= each.stroke.start_s <= ends_s]
    result += [build.before_stroke(each, disturbed=disturbed) for each in outside]
    return tuple(sorted(result, key=lambda each: each.moment_s))


def _best_quiet(side: Observed, stroke: CoarseStroke, shift_s: float) -> Stretch | None:
    """Return the longest part of the wanted window that is quiet down the line; None where hardly any is."""
    assert stroke.quiet_s is not None
    wanted = trim_quiet(stroke.quiet_s, before_stroke=True)
    within = [
        (max(first, wanted[0] + shift_s), min(last, wanted[1] + shift_s))
        for first, last in find_quiet(side.activity, side.threshold)
    ]
    within = [stretch for stretch in within if stretch[1] - stretch[0] >= _LEAST_WINDOW_S]
    return max(within, key=lambda stretch: stretch[1] - stretch[0]) if within else None
