"""How each measure went over the visits, and what became of it since the setup was rebuilt."""

from collections.abc import Callable, Mapping
from functools import cache
from itertools import pairwise

from putt_posture.values import (
    MEASURES,
    Changes,
    Course,
    CourseStep,
    History,
    MeasureChange,
    Measured,
    MeasureName,
    Verdict,
)

__all__ = ["FindChanges", "find_courses"]

FindChanges = Callable[[Measured, Measured], Changes]
"""Of the earlier visit and the later; see `Changes`."""


def find_courses(history: History, *, find_changes: FindChanges) -> Mapping[MeasureName, Course]:
    """Find how each measure of `MEASURES` went.

    Every measure is followed through the visits that have a number of it, so that its first and latest visit need not
    be those of the student. Which way is back is told by the change from the first visit to the rebuilt setup.

    Parameters
    ----------
    history : History
    find_changes : callable
        Asked once for each pair of visits that is needed.

    Returns
    -------
    mapping of MeasureName to Course
        In the order of `MEASURES`.
    """

    @cache
    def between(start: int, end: int) -> Changes:
        return find_changes(history.visits[start].measured, history.visits[end].measured)

    return {name: _course(name, history, lambda start, end: between(start, end)) for name in MEASURES}


def _course(name: MeasureName, history: History, between: Callable[[int, int], Changes]) -> Course:
    def change(start: int | None, end: int | None) -> MeasureChange | None:
        if start is None or end is None or start >= end:
            return None
        return between(start, end).measures[name]

    seen = [place for place, visit in enumerate(history.visits) if visit.measured.measures.get(name)]
    first, latest = (seen[0], seen[-1]) if seen else (None, None)
    rebuilt = next((place for place in reversed(seen) if history.visits[place].moment == "after"), None)
    by_rebuild, since_rebuilt = change(first, rebuilt), change(rebuilt, latest)
    return Course(
        name=name,
        first=first,
        latest=latest,
        rebuilt=rebuilt,
        since_first=change(first, latest),
        by_rebuild=by_rebuild,
        since_rebuilt=since_rebuilt,
        steps=tuple(
            CourseStep(start=start, end=end, change=between(start, end).measures[name]) for start, end in pairwise(seen)
        ),
        verdict=_judge(len(seen), rebuilt, by_rebuild, since_rebuilt),
    )


def _judge(
    numbers: int, rebuilt: int | None, by_rebuild: MeasureChange | None, since_rebuilt: MeasureChange | None
) -> Verdict:
    if numbers < 2:
        return "untold"
    if rebuilt is None:
        return "unrebuilt"
    if since_rebuilt is None:
        return "open"
    made = by_rebuild is not None and by_rebuild.real
    if not since_rebuilt.real:
        return "held" if made else "steady"
    if not made or by_rebuild is None:
        return "moved"
    return "further" if by_rebuild.change.value * since_rebuilt.change.value > 0 else "back"
