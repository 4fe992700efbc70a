"""Each measure over the visits: how it changed, and whether the change of the rebuilt setup held.

Nothing is called a change by its own margin alone. Changes by the rebuild are judged among all measures. Later changes
are judged among the measures that the rebuild changed, and separately among the others
(`putt_posture.changes.families`). The putter's own length is followed too but gets no verdict: another putter is not a
change of the posture, and `find_putter_changes` reports it.
"""

import math
from collections.abc import Callable, Iterable, Mapping
from functools import cache
from itertools import pairwise
from typing import Final, Protocol

from attrs import evolve, frozen

from putt_posture.changes import Repeats, control_family, control_share, find_repeats
from putt_posture.history.course import Course, CourseStep, Verdict
from putt_posture.measures import MEASURES, RECORDS, STROKE_MEASURES
from putt_posture.values import Changes, Estimate, History, MeasureChange, Measured, MeasureName

__all__ = ["STROKE_IN_SHORT", "FindChanges", "find_courses", "find_midway", "find_stroke_courses", "find_verdicts"]

STROKE_IN_SHORT: Final[tuple[MeasureName, ...]] = tuple(
    map(
        MeasureName,
        (
            "tempo_ratio", "backswing_time", "hands_back", "putter_back",
            "hands_sideways_back", "putter_sideways_back", "head_along", "sternum_along",
        ),
    )
)  # fmt: skip
"""What a coach follows of the stroke from visit to visit: tempo and length, then path and stillness."""


class FindChanges(Protocol):
    """Finds the changes between an earlier visit and a later one; `repeats` are those of all visits of the student."""

    def __call__(self, before: Measured, after: Measured, *, repeats: Mapping[MeasureName, Repeats]) -> Changes:
        """Return the change of every measure."""


@frozen(kw_only=True)
class _Looks:
    """The visits that have a number of one measure, by their places."""

    seen: tuple[int, ...]
    rebuilt: int | None

    @property
    def first(self) -> int | None:
        return self.seen[0] if self.seen else None

    @property
    def latest(self) -> int | None:
        return self.seen[-1] if self.seen else None


_Found = dict[MeasureName, MeasureChange]
_Between = Callable[[int, int], _Found]


def find_midway(by_rebuild: MeasureChange, since_rebuilt: MeasureChange, since_first: MeasureChange) -> Estimate:
    """Find how far the latest value lies beyond the middle between the first and the rebuilt one.

    It is m = x₃ − (x₁ + x₂) / 2. With V the variance of the change between two visits, u(m)² = V₁₃ / 2 + V₂₃ / 2 − V₁₂
    / 4, whatever errors they share: the formula for the median of a triangle from its sides. Where the first and the
    rebuilt visit are equally certain, the errors of m and of the rebuild are not correlated. So if a random error made
    a rebuild look real, the same error does not make it look held.

    Parameters
    ----------
    by_rebuild, since_rebuilt, since_first : MeasureChange
        First to rebuilt, rebuilt to latest, first to latest; all present.

    Returns
    -------
    Estimate
        In the measure's unit, + = on the side of the rebuilt setup.
    """
    rebuild, since, whole = (each.change for each in (by_rebuild, since_rebuilt, since_first))
    v12, v23, v13 = (each.standard_uncertainty**2 for each in (rebuild, since, whole))
    # Three changes with scatters from different setups may not form a triangle; then the interval stays wide.
    variance = max(v13 / 2 + v23 / 2 - v12 / 4, min(v13, v23) / 2)
    toward = math.copysign(1.0, rebuild.value)
    return Estimate(
        value=toward * (since.value + rebuild.value / 2),
        standard_uncertainty=math.sqrt(variance),
        unit=rebuild.unit,
        method="latest less the middle of the first and the rebuilt",
        coverage=max(each.coverage for each in (rebuild, since, whole)),
    )


def find_courses(history: History, *, find_changes: FindChanges) -> Mapping[MeasureName, Course]:
    """Find the course of each measure of `MEASURES`.

    Every measure is followed through the visits that have a number for it, so its first and latest visit may differ
    from the student's. The change from the first visit to the rebuilt setup shows which direction is back.

    Parameters
    ----------
    history : History
    find_changes : callable
        Called once for each pair of visits that is needed.

    Returns
    -------
    mapping of MeasureName to Course
        In the order of `MEASURES`.
    """
    return _find_courses(history, MEASURES, _ask_once(history, find_changes))


def find_stroke_courses(history: History, *, find_changes: FindChanges) -> Mapping[MeasureName, Course]:
    """Find the course of each measure of a stroke, judged together and apart from those of the setup.

    Parameters
    ----------
    history : History
    find_changes : callable
        As for `find_courses`.

    Returns
    -------
    mapping of MeasureName to Course
        In the order of `STROKE_MEASURES`; empty where no visit has a stroke.
    """
    if not any(name in visit.measured.measures for visit in history.visits for name in STROKE_MEASURES):
        return {}
    return _find_courses(history, STROKE_MEASURES, _ask_once(history, find_changes))


def _find_courses(history: History, names: Iterable[MeasureName], between: _Between) -> dict[MeasureName, Course]:
    looks = {name: _look(name, history) for name in names}
    steps = control_share(
        {(name, *ends): between(*ends)[name] for name, look in looks.items() for ends in pairwise(look.seen)}
    )
    return {
        name: evolve(
            course,
            steps=tuple(
                CourseStep(start=start, end=end, change=steps[name, start, end])
                for start, end in pairwise(looks[name].seen)
            ),
        )
        for name, course in _follow(looks, between).items()
    }


def find_verdicts(history: History, *, find_changes: FindChanges) -> Mapping[MeasureName, Verdict]:
    """Find the verdict of each measure alone, as `find_courses` does, without the steps from visit to visit.

    Parameters
    ----------
    history : History
    find_changes : FindChanges
    """
    looks = {name: _look(name, history) for name in MEASURES}
    courses = _follow(looks, _ask_once(history, find_changes))
    return {name: course.verdict for name, course in courses.items()}


def _ask_once(history: History, find_changes: FindChanges) -> _Between:
    """Return a function from the places of two visits to their changes, which finds each pair once."""
    everything = [visit.measured for visit in history.visits]
    repeats = find_repeats(everything)

    @cache
    def between(start: int, end: int) -> _Found:
        found = find_changes(everything[start], everything[end], repeats=repeats)
        return {**found.measures, **found.strokes}

    return between


def _follow(looks: Mapping[MeasureName, _Looks], between: _Between) -> dict[MeasureName, Course]:
    """Return the course of each measure, without its steps."""

    def changes(places: Callable[[_Looks], tuple[int | None, int | None]]) -> _Found:
        found = {}
        for name, look in looks.items():
            start, end = places(look)
            if start is not None and end is not None and start < end:
                found[name] = between(start, end)[name]
        return found

    since_first = control_family(changes(lambda look: (look.first, look.latest)))
    by_rebuild = control_family(changes(lambda look: (look.first, look.rebuilt)))
    since_rebuilt = _judge_since(changes(lambda look: (look.rebuilt, look.latest)), by_rebuild)
    return {
        name: _course(
            name,
            look,
            since_first=since_first.get(name),
            by_rebuild=by_rebuild.get(name),
            since_rebuilt=since_rebuilt.get(name),
        )
        for name, look in looks.items()
    }


def _look(name: MeasureName, history: History) -> _Looks:
    seen = tuple(place for place, visit in enumerate(history.visits) if visit.measured.measures.get(name))
    rebuilt = next((place for place in reversed(seen) if history.visits[place].moment == "after"), None)
    if not RECORDS[name].of_setup:
        rebuilt = None
    return _Looks(seen=seen, rebuilt=rebuilt)


def _judge_since(since: _Found, by_rebuild: _Found) -> _Found:
    """Judge separately the measures that the rebuild changed and all others: they are two questions."""
    made = {name: each for name, each in since.items() if name in by_rebuild and by_rebuild[name].real}
    rest = {name: each for name, each in since.items() if name not in made}
    return control_family(made) | control_family(rest)


def _course(
    name: MeasureName,
    look: _Looks,
    *,
    since_first: MeasureChange | None,
    by_rebuild: MeasureChange | None,
    since_rebuilt: MeasureChange | None,
) -> Course:
    midway = None
    if by_rebuild is not None and since_rebuilt is not None and since_first is not None:
        midway = find_midway(by_rebuild, since_rebuilt, since_first)
    found = Course(
        name=name,
        first=look.first,
        latest=look.latest,
        rebuilt=look.rebuilt,
        since_first=since_first,
        by_rebuild=by_rebuild,
        since_rebuilt=since_rebuilt,
        past_midway=midway,
        steps=(),
        verdict="untold",
    )
    return evolve(found, verdict=_judge(found)) if len(look.seen) > 1 else found


def _judge(course: Course) -> Verdict:
    since, by_rebuild = course.since_rebuilt, course.by_rebuild
    if course.name in STROKE_MEASURES:
        return "stroke"
    if not MEASURES[course.name].of_setup:
        return "club"
    if course.rebuilt is None:
        return "unrebuilt"
    if since is None:
        return "open"
    if by_rebuild is None or not by_rebuild.real:
        return "moved" if since.real else "steady"
    if since.real:
        return "further" if by_rebuild.change.value * since.change.value > 0 else "back"
    return "held" if course.past_midway is not None and course.past_midway.low > 0 else "unsure"
