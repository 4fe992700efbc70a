"""Changes from one lesson to the next: whether each is more than the noise that the two do not share.

Only errors that are the same by their nature count as shared: with too large a share, noise would be called a change.
Two shots of one body in one setup and the same clothes share about a quarter to a half of the joint errors
(tests/accuracy/joint_sharing.py), and the same stature gives part of the same scale error each time. In two lessons
setup and clothes differ, so these shares are upper limits, and none of them is counted.

u(change)² = Σ over the causes of error of u₁² + u₂² − 2 ρ u₁ u₂, with ρ the part that both lessons share (the law of
propagation of uncertainty with correlated inputs, JCGM 100:2008, 5.2.2). The scatter from one setup to the next is
known from few setups; the other causes are from studies of many bodies and are taken as known. So the change is
compared with Student's t with the effective degrees of freedom of Welch and Satterthwaite, ν = u⁴ / Σ (uᵢ⁴ / νᵢ) (JCGM
100:2008, G.4.1). Which measures changed is decided for all measures together; see `families`. The numbers of the stroke
are a family of their own, so that what is said of the setup does not depend on whether a stroke was filmed; of them one
stroke stands for one setup.
"""

import math
from collections.abc import Mapping
from typing import Final

from attrs import evolve
from scipy.special import stdtr, stdtrit

from putt_posture.changes.families import control_family
from putt_posture.changes.repeats import Repeats, find_repeats, join_judged, setups_of
from putt_posture.measures import MEASURES, RECORDS, STROKE_MEASURES
from putt_posture.values import LEVEL, Changes, Estimate, MeasureChange, Measured, MeasureName, View, absent

__all__ = ["OFFSETS_SHARED", "find_changes", "find_shared", "weigh_change"]

OFFSETS_SHARED: Final[Mapping[View, float]] = {"down_the_line": 0.9, "face_on": 0.9}
"""The landmark error of a joint that is the same on all people is the same in both lessons, except for the part that
depends on the posture (judged)."""
SCATTER: Final = "scatter of the frames"
BETWEEN: Final = "scatter of the setups"
"""The cause that replaces it in a change: how much one setup differs from the next, and its frames from each other."""
JUDGED: Final = "scatter of the setups, judged"
"""The same where no lesson has several setups that show it."""
BETWEEN_STROKES: Final = "from stroke to stroke"
"""The cause in the mean of several strokes. A change always has it, since one stroke does not show how the next is."""
JUDGED_STROKES: Final = "from stroke to stroke, judged"
"""The same where no lesson has several strokes that show it."""
REST: Final = "not split up"
"""The part of the uncertainty that is not in the budget; all of it without a budget."""
_MISSING: Final = "It is missing."
_ALL_KNOWN: Final = 1e6
"""Largest ratio of uncertainty to scatter in the formula: the degrees of freedom are then practically infinite."""


def find_shared(cause: str, name: MeasureName, before: Measured, after: Measured) -> float:
    """Find how strongly the errors of one measure from one cause are correlated between two lessons.

    Parameters
    ----------
    cause : str
        A key of the budgets.
    name : MeasureName
        Present in both.
    before, after : Measured

    Returns
    -------
    float
        Their correlation, 0 to 1. It is 0 for every cause except the landmark error that all people share, and for that
        too where another model or other views were used.
    """
    if cause != "renders are not people":
        return 0.0
    one, two = before.measures[name], after.measures[name]
    models = [tuple(each.landmark_models.get(view) for view in RECORDS[name].views) for each in (before, after)]
    if one.view is None or one.view != two.view or models[0] != models[1] or not any(models[0]):
        return 0.0
    return OFFSETS_SHARED[one.view]


def find_changes(before: Measured, after: Measured, *, repeats: Mapping[MeasureName, Repeats] | None = None) -> Changes:
    """Find the change of every measure.

    Parameters
    ----------
    before, after : Measured
        Two lessons of one student.
    repeats : mapping of MeasureName to Repeats, optional
        How much the student's setups scatter, from all known lessons; without it from these two lessons.

    Returns
    -------
    Changes
        One entry for each name of `MEASURES`, without warnings, and for each name of `STROKE_MEASURES` where either
        lesson has strokes. All present measures of the setup are judged together, and those of the stroke.
    """
    known = find_repeats([before, after]) if repeats is None else repeats
    found = {name: _find_change(name, before, after, known.get(name)) for name in MEASURES}
    filmed = any(name in STROKE_MEASURES for each in (before, after) for name in each.measures)
    strokes = {name: _find_change(name, before, after, known.get(name)) for name in STROKE_MEASURES if filmed}
    return Changes(measures=control_family(found), strokes=control_family(strokes))


def weigh_change(
    name: MeasureName, before: Estimate, after: Estimate, change: Estimate, *, freedom: float = math.inf
) -> MeasureChange:
    """Return how often noise alone makes a change as large as this, for this measure alone.

    Parameters
    ----------
    name : MeasureName
    before, after : Estimate
    change : Estimate
        Its coverage is set from the degrees of freedom.
    freedom : float
        Effective degrees of freedom of its standard uncertainty.
    """
    if not change:
        return MeasureChange(
            name=name, before=before, after=after, change=change, chance=math.nan, joint_chance=math.nan
        )
    u = change.standard_uncertainty
    chance = 2 * float(stdtr(freedom, -abs(change.value) / u)) if u > 0 else float(change.value == 0)
    change = evolve(change, coverage=float(stdtrit(freedom, 1 - LEVEL / 2)))
    return MeasureChange(name=name, before=before, after=after, change=change, chance=chance, joint_chance=chance)


def _find_change(name: MeasureName, before: Measured, after: Measured, own: Repeats | None) -> MeasureChange:
    unit = RECORDS[name].unit
    one, two = (each.measures.get(name) or absent(_why(each, name), unit=unit) for each in (before, after))
    if not (one and two):
        return weigh_change(name, one, two, absent(_say_absent(one, two), unit=unit))
    found, freedom = _find_budget(name, before, after), math.inf
    judged, of_stroke = RECORDS[name].scatter_sd, name in STROKE_MEASURES
    if judged is not None and (of_stroke or SCATTER in found):
        for cause in (SCATTER, BETWEEN_STROKES):
            found.pop(cause, None)
        known = join_judged(own, judged=judged)
        scatter = math.hypot(_scatter_of(one, known), _scatter_of(two, known))
        names = (JUDGED_STROKES, BETWEEN_STROKES) if of_stroke else (JUDGED, BETWEEN)
        found[names[0] if own is None else names[1]] = scatter
        freedom = known.degrees_of_freedom * min(math.hypot(*found.values()) / scatter, _ALL_KNOWN) ** 4
    change = Estimate(
        value=two.value - one.value,
        standard_uncertainty=math.hypot(*found.values()),
        unit=unit,
        view=one.view if one.view == two.view else None,
        method="after minus before, what both share of their errors left out",
        budget=found,
    )
    return weigh_change(name, one, two, change, freedom=freedom)


def _scatter_of(estimate: Estimate, known: Repeats) -> float:
    """Return the uncertainty of a lesson's mean from the scatter of its setups, one sigma."""
    setups = len(setups_of(estimate))
    if setups > 1:
        return known.sem / math.sqrt(setups)
    return math.hypot(known.sem, estimate.budget.get(SCATTER, 0.0))


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


def _find_budget(name: MeasureName, before: Measured, after: Measured) -> dict[str, float]:
    """Return the part of each cause that is left in the change, one sigma each."""
    one, two = _causes(before.measures[name]), _causes(after.measures[name])
    budget = {}
    for cause in {**one, **two}:
        u1, u2 = one.get(cause, 0.0), two.get(cause, 0.0)
        shared = find_shared(cause, name, before, after)
        budget[cause] = math.sqrt(max(u1**2 + u2**2 - 2 * shared * u1 * u2, 0.0))
    return budget


def _causes(estimate: Estimate) -> dict[str, float]:
    """Return the budget, with the rest of the uncertainty as a cause of its own."""
    known = math.hypot(*estimate.budget.values())
    rest = math.sqrt(max(estimate.standard_uncertainty**2 - known**2, 0.0))
    whole = not estimate.budget or rest > 1e-6 * estimate.standard_uncertainty
    return {**estimate.budget, **({REST: rest} if whole else {})}
