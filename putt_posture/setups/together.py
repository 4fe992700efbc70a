"""The setups of a lesson's clips, held against each other where the clips show one performance.

What face on tells counts for both there: the hands are seen to go to one side and then to the other. Clips of different
putts are left as each is by itself, and that is said. Times inside are real seconds.
"""

from collections.abc import Mapping
from typing import Final

from attrs import evolve, frozen

from putt_posture.setups.build import SetupBuilder
from putt_posture.setups.finder import FRAMES_PER_SETUP, find_putts, find_setups, find_setups_in
from putt_posture.setups.frames import trim_quiet
from putt_posture.setups.observed import Observed, observe
from putt_posture.setups.patterns import compare_patterns
from putt_posture.setups.quiet import Stretch, find_quiet
from putt_posture.setups.strokes import Stroke
from putt_posture.values import Clip, Setup, Track, View

__all__ = ["LessonSetups", "find_setups_together"]

_SAME_S: Final = 0.6
"""Starts of one stroke as told from two sides differ by less."""
_LEAST_WINDOW_S: Final = 0.4
_DIFFERENT: Final = (
    "The two clips do not show the same putts: stillness and motion follow each other differently in them. "
    "Each view is measured at its own setups, so what is told of both views together is of different putts."
)


@frozen(kw_only=True)
class LessonSetups:
    """The setups of a lesson's clips.

    Attributes
    ----------
    of : dict of View to tuple of Setup
    notes : tuple of str
        What is to be said of the two clips together.
    """

    of: dict[View, tuple[Setup, ...]]
    notes: tuple[str, ...] = ()


def find_setups_together(
    tracks: Mapping[View, tuple[Track, Clip]], *, frames_per_setup: int = FRAMES_PER_SETUP
) -> LessonSetups:
    """Find the setups of one or two clips.

    Parameters
    ----------
    tracks : mapping of View to (Track, Clip)
    frames_per_setup : int
        How many frames to choose for each setup.

    Returns
    -------
    LessonSetups
        As `find_setups` gives them. Where both clips show one performance, those down the line follow the strokes that
        were told face on, and their reasons say so; where they show different putts, a note says so.

    Raises
    ------
    SetupNotFound
        If a student is never seen still at address; the first clip's where both have one.
    """
    if set(tracks) != {"down_the_line", "face_on"} or any(clip.kind == "still" for _, clip in tracks.values()):
        alone = {view: find_setups(*each, frames_per_setup=frames_per_setup) for view, each in tracks.items()}
        return LessonSetups(of=alone)
    seen = {view: observe(*each) for view, each in tracks.items()}
    found = {view: find_setups_in(each, frames_per_setup=frames_per_setup) for view, each in seen.items()}
    side, front = seen["down_the_line"], seen["face_on"]
    like = compare_patterns(front, side)
    if like.show_one:
        followed = _follow(front, side, like.shift_s, frames_per_setup)
        return LessonSetups(of={**found, "down_the_line": followed or found["down_the_line"]})
    return LessonSetups(of=found, notes=(_DIFFERENT,) if like.show_two else ())


def _follow(front: Observed, side: Observed, shift_s: float, count: int) -> tuple[Setup, ...]:
    """Return the setups down the line that belong to the strokes told face on; empty where none can be."""
    build = SetupBuilder(side.clip, side.activity, count=count)
    first_s, last_s = float(side.activity.times_s[0]), float(side.activity.times_s[-1])
    own, disturbed = find_putts(side)
    result: list[Setup] = []
    for told in find_putts(front)[0]:
        start_s = told.stroke.start_s + shift_s
        same = [each for each in own if abs(each.stroke.start_s - start_s) < _SAME_S]
        if same and bool(same[0].doubt) == bool(told.doubt):
            result.append(build.before_stroke(same[0], disturbed=disturbed))
            continue
        quiet_s = _best_quiet(side, told.stroke, shift_s)
        if quiet_s is None or not first_s < start_s < last_s:
            continue
        stroke = evolve(told.stroke, start_s=start_s, end_s=min(told.stroke.end_s + shift_s, last_s), quiet_s=quiet_s)
        result.append(
            build.before_stroke(evolve(told, stroke=stroke), told="the stroke was told from the face-on clip")
        )
    if not result:
        return ()
    starts_s, ends_s = (float(front.activity.times_s[at]) + shift_s for at in (0, -1))
    outside = [each for each in own if not starts_s <= each.stroke.start_s <= ends_s]
    result += [build.before_stroke(each, disturbed=disturbed) for each in outside]
    return tuple(sorted(result, key=lambda each: each.moment_s))


def _best_quiet(side: Observed, told: Stroke, shift_s: float) -> Stretch | None:
    """Return what of the wanted window is quiet down the line, for longest; None where hardly anything is."""
    assert told.quiet_s is not None
    wanted = trim_quiet(told.quiet_s, before_stroke=True)
    within = [
        (max(first, wanted[0] + shift_s), min(last, wanted[1] + shift_s))
        for first, last in find_quiet(side.activity, side.threshold)
    ]
    within = [stretch for stretch in within if stretch[1] - stretch[0] >= _LEAST_WINDOW_S]
    return max(within, key=lambda stretch: stretch[1] - stretch[0]) if within else None
