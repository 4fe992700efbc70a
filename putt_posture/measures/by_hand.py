"""Which numbers of a lesson depend on something typed, drawn or placed by hand, and their values without it."""

from collections.abc import Callable, Mapping
from functools import partial
from itertools import chain
from typing import Final, cast

from attrs import evolve

from putt_posture.values import Estimate, Given, Lesson, MeasureName, Stroke, Strokes, View, add_by_hand

__all__ = ["FIT_LENGTH", "FIT_LIE", "find_by_hand", "mark_by_hand"]

FIT_LENGTH: Final = "fit_length"
FIT_LIE: Final = "fit_lie"
"""Names of length and lie of the fit beside those of the measures."""

TRACE_SHARE: Final = 0.05
"""Something that moves a number, or its standard uncertainty, by less than this share of that uncertainty does not
count: a joint placed by hand moves the scale a little, and with it every length."""


def mark_by_hand(lesson: Lesson, *, measure: Callable[[Mapping[View, Given]], Lesson | None]) -> Lesson:
    """Return a lesson in which each number says on what it depends that is by hand.

    The lesson is measured once with nothing given: a number that then differs depends on what was given. It is also
    measured with each one thing left out, which shows whether a number depends on that thing.

    Parameters
    ----------
    lesson : Lesson
    measure : callable
        Measures the same clips with other things given; returns None where that is impossible.

    Returns
    -------
    Lesson
        `Estimate.by_hand`, `Estimate.automatic` and the method are set in the measures, in the length and lie of the
        fit and the club spec, and in the numbers of the strokes.
    """
    given = {view: result.given for view, result in lesson.views.items()}
    names = tuple(dict.fromkeys(chain.from_iterable(each.names() for each in given.values())))
    if not names:
        return lesson
    bare = measure(dict.fromkeys(given, Given()))
    without = {
        name: bare if len(names) == 1 else measure({view: each.without(name) for view, each in given.items()})
        for name in names
    }
    estimates = {
        name: _mark(
            estimate,
            None if bare is None else bare.posture[name],
            {what: None if other is None else other.posture[name] for what, other in without.items()},
        )
        for name, estimate in lesson.posture.estimates.items()
    }
    fit = lesson.fit
    length, lie = (
        _mark(
            cast(Estimate, getattr(fit, part)),
            None if bare is None else getattr(bare.fit, part),
            {what: None if other is None else getattr(other.fit, part) for what, other in without.items()},
        )
        for part in ("putter_length", "lie")
    )
    spec = lesson.spec
    return evolve(
        lesson,
        strokes=None if lesson.strokes is None else _mark_strokes(lesson.strokes, bare, without),
        spec=None if spec is None else evolve(spec, length=length, lie=lie),
        posture=evolve(lesson.posture, estimates=cast(Mapping[MeasureName, Estimate], estimates)),
        fit=evolve(fit, putter_length=length, lie=lie),
    )


def find_by_hand(lesson: Lesson, bare: Lesson | None) -> frozenset[str]:
    """Find the numbers that depend on something given by hand.

    Parameters
    ----------
    lesson : Lesson
    bare : Lesson or None
        The same clips measured with nothing given; None where that is impossible.

    Returns
    -------
    frozenset of str
        Names of measures; `FIT_LENGTH` and `FIT_LIE` for length and lie of the fit.
    """
    without = None if bare is None else _numbers(bare)
    return frozenset(
        name
        for name, estimate in _numbers(lesson).items()
        if estimate and (without is None or not _alike(estimate, without[name]))
    )


def _mark_strokes(strokes: Strokes, bare: Lesson | None, without: Mapping[str, Lesson | None]) -> Strokes:
    """Return strokes in which each number says on what it depends that is by hand."""
    others = {what: None if other is None else other.strokes for what, other in without.items()}
    plain = None if bare is None else bare.strokes

    def mark(
        numbers: Mapping[MeasureName, Estimate], of: Callable[[Strokes], Mapping[MeasureName, Estimate]]
    ) -> dict[MeasureName, Estimate]:
        found = {what: {} if other is None else of(other) for what, other in others.items()}
        automatic = {} if plain is None else of(plain)
        return {
            name: _mark(each, automatic.get(name), {what: numbers.get(name) for what, numbers in found.items()})
            for name, each in numbers.items()
        }

    of_views: dict[View, tuple[Stroke, ...]] = {
        view: tuple(evolve(each, numbers=mark(each.numbers, partial(_numbers_of, each))) for each in of_view)
        for view, of_view in strokes.of.items()
    }
    return evolve(strokes, of=of_views, numbers=mark(strokes.numbers, lambda other: other.numbers))


def _numbers_of(stroke: Stroke, strokes: Strokes) -> Mapping[MeasureName, Estimate]:
    """Return the numbers of the same stroke among others; none where it is not there."""
    same = (each for each in strokes.of.get(stroke.view, ()) if each.number == stroke.number)
    return next((each.numbers for each in same), {})


def _numbers(lesson: Lesson) -> dict[str, Estimate]:
    """Return all measures, and length and lie of the fit."""
    of_fit: dict[str, Estimate] = {FIT_LENGTH: lesson.fit.putter_length, FIT_LIE: lesson.fit.lie}
    return {**{str(name): each for name, each in lesson.posture.items()}, **of_fit}


def _mark(estimate: Estimate, bare: Estimate | None, without: Mapping[str, Estimate | None]) -> Estimate:
    if not estimate or (bare is not None and _alike(estimate, bare)):
        return estimate
    names = tuple(what for what, other in without.items() if other is None or not _alike(estimate, other))
    automatic = bare.value if bare else None
    names = names or tuple(without)
    return evolve(estimate, by_hand=names, automatic=automatic, method=add_by_hand(estimate.method, names))


def _alike(one: Estimate, other: Estimate) -> bool:
    """Tell whether two estimates agree, apart from traces."""
    if not (one and other):
        return bool(one) == bool(other)
    sure = min(one.standard_uncertainty, other.standard_uncertainty)
    apart = abs(one.value - other.value), abs(one.standard_uncertainty - other.standard_uncertainty)
    return apart[0] <= TRACE_SHARE * sure and apart[1] <= TRACE_SHARE * sure
