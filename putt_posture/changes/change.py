"""What changed from one lesson to the next, and whether it is more than the noise.

u(change)² = Σ over the causes of error of u₁² + u₂² − 2 ρ u₁ u₂, with ρ the part that both lessons share (the law of
propagation of uncertainty with correlated inputs, JCGM 100:2008, 5.2.2); a change is real beyond 1.96 u(change).
"""

import math
from collections.abc import Mapping
from typing import Final

from putt_posture.changes.repeats import pool_scatter
from putt_posture.changes.shared import find_shared
from putt_posture.values import MEASURES, Changes, Estimate, MeasureChange, Measured, MeasureName, absent

__all__ = ["find_changes"]

SCATTER: Final = "scatter of the frames"
REST: Final = "not told apart"
"""What a budget leaves of the uncertainty, or all of it where there is no budget."""

_MISSING: Final = "It is missing."


def find_changes(before: Measured, after: Measured) -> Changes:
    """Find the change of every measure.

    Parameters
    ----------
    before, after : Measured
        Two lessons of one student.

    Returns
    -------
    Changes
        One entry for each name of `MEASURES`, without warnings.
    """
    return Changes(measures={name: _find_change(name, before, after) for name in MEASURES})


def _find_change(name: MeasureName, before: Measured, after: Measured) -> MeasureChange:
    unit, _ = MEASURES[name]
    one, two = (each.measures.get(name) or absent(_why(each, name), unit=unit) for each in (before, after))
    if not (one and two):
        return MeasureChange(name=name, before=one, after=two, change=absent(_say_absent(one, two), unit=unit))
    budget = _find_budget(name, before, after)
    change = Estimate(
        value=two.value - one.value,
        standard_uncertainty=math.hypot(*budget.values()),
        unit=unit,
        view=one.view if one.view == two.view else None,
        method="after minus before, what both share of their errors left out",
        budget=budget,
    )
    return MeasureChange(name=name, before=one, after=two, change=change)


def _why(lesson: Measured, name: MeasureName) -> str:
    found = lesson.measures.get(name)
    return _MISSING if found is None else found.absent or _MISSING


def _say_absent(one: Estimate, two: Estimate) -> str:
    if one:
        return f"Not measured after. {two.absent}"
    if two:
        return f"Not measured before. {one.absent}"
    if one.absent == two.absent:
        return f"Not measured in either lesson. {one.absent}"
    return f"Not measured in either lesson. Before: {one.absent} After: {two.absent}"


def _find_budget(name: MeasureName, before: Measured, after: Measured) -> Mapping[str, float]:
    """Return what is left of each cause in the change, one sigma each."""
    one, two = _causes(before.measures[name]), _causes(after.measures[name])
    if SCATTER in one and SCATTER in two:
        _share_scatter(one, before.measures[name].repeats, two, after.measures[name].repeats)
    budget = {}
    for cause in {**one, **two}:
        u1, u2 = one.get(cause, 0.0), two.get(cause, 0.0)
        shared = find_shared(cause, name, before, after)
        budget[cause] = math.sqrt(max(u1**2 + u2**2 - 2 * shared * u1 * u2, 0.0))
    return budget


def _causes(estimate: Estimate) -> dict[str, float]:
    """Return the budget, with what it leaves of the uncertainty as a cause of its own."""
    told = math.hypot(*estimate.budget.values())
    rest = math.sqrt(max(estimate.standard_uncertainty**2 - told**2, 0.0))
    whole = not estimate.budget or rest > 1e-6 * estimate.standard_uncertainty
    return {**estimate.budget, **({REST: rest} if whole else {})}


def _share_scatter(
    one: dict[str, float], first: tuple[float, ...], two: dict[str, float], second: tuple[float, ...]
) -> None:
    """Replace the scatter of each lesson by what the setups of both show, where any has more than one."""
    repeats = pool_scatter([first, second])
    if repeats is not None:
        one[SCATTER] = repeats.sem / math.sqrt(max(len(first), 1))
        two[SCATTER] = repeats.sem / math.sqrt(max(len(second), 1))
