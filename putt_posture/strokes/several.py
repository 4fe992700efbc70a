"""Several strokes of a clip: which count, their mean, and how much they scatter.

From three strokes on a number is their mean; with fewer it is that of the stroke that follows the measured setup.
Scatter is said from ten on: the 95 % half-width of a mean is 2.48, 1.24 and 0.72 standard deviations for 3, 5 and 10
strokes, but the standard deviation itself is known within a factor of 0.60 to 2.87 at 5 and 0.69 to 1.83 at 10. From
one stroke nothing is said of how strokes differ.
"""

import math
from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np

from putt_posture.measures import STROKE_MEASURES
from putt_posture.strokes.budget import OF_ONE_STROKE, missing
from putt_posture.values import (
    NORMAL_95,
    Estimate,
    MeasureName,
    Setup,
    Stroke,
    StrokeKind,
    StrokeScatter,
    View,
    WithHands,
)

__all__ = [
    "LEAST_FOR_MEAN",
    "LEAST_FOR_SCATTER",
    "choose_kind",
    "choose_shown",
    "find_scatter",
    "join_strokes",
    "join_with_hands",
]

LEAST_FOR_MEAN: Final = 3
LEAST_FOR_SCATTER: Final = 10
_KINDS: Final[tuple[StrokeKind, ...]] = ("putt", "unsure", "practice")
_JOINED: Final = "mean of {count} strokes; {method}"


def choose_kind(strokes: Sequence[Stroke]) -> StrokeKind | None:
    """Return the kind of strokes that counts: putts, or else those of which it is not known, or else practice strokes.

    None where there is no stroke.

    Parameters
    ----------
    strokes : sequence of Stroke
        Of all views.
    """
    found = {stroke.kind for stroke in strokes}
    return next((kind for kind in _KINDS if kind in found), None)


def choose_shown(strokes: Sequence[Stroke], kind: StrokeKind | None, setup: Setup) -> int | None:
    """Return which stroke follows the measured setup: the first of a kind that starts after it, or else the nearest.

    Parameters
    ----------
    strokes : sequence of Stroke
        Of one view, in order of time.
    kind : StrokeKind or None
        As `choose_kind` found it; where the view has none of it, all count.
    setup : Setup
        That stands for the lesson in this view.

    Returns
    -------
    int or None
        None where there is no stroke.
    """
    if not strokes:
        return None
    counted = [index for index, stroke in enumerate(strokes) if stroke.kind == kind] or list(range(len(strokes)))
    times = {index: _time_of(strokes[index]) for index in counted}
    later = [index for index in counted if times[index] >= setup.moment_s]
    if later:
        return min(later, key=lambda index: times[index])
    return min(counted, key=lambda index: abs(times[index] - setup.moment_s))


def _time_of(stroke: Stroke) -> float:
    """Return a clip time of the stroke, s: its top, or the nearest event that is known."""
    for name in ("top", "impact", "start", "finish"):
        if found := stroke.events[name]:
            return float(found.value)
    path = next(iter(stroke.paths.values()), None)
    return float(np.median(path.times_s)) if path is not None else math.inf


def join_strokes(
    of: Mapping[View, Sequence[Stroke]], kind: StrokeKind | None, shown: Mapping[View, int]
) -> dict[MeasureName, Estimate]:
    """Return one estimate for each record: a mean from three strokes on, that of the shown stroke with fewer.

    Parameters
    ----------
    of : mapping of View to sequence of Stroke
    kind : StrokeKind or None
        Which strokes count.
    shown : mapping of View to int
        Which stroke follows the measured setup.
    """
    return {name: _join(name, of, kind, shown) for name in STROKE_MEASURES}


def join_with_hands(strokes: Sequence[Stroke], kind: StrokeKind | None, shown: int | None) -> dict[str, WithHands]:
    """Return which points go with the hands or against them: as the shown stroke says, or from three strokes on most.

    Most is more than half of the strokes that count, with none the other way.

    Parameters
    ----------
    strokes : sequence of Stroke
        Face on.
    kind : StrokeKind or None
        Which strokes count.
    shown : int or None
        Which stroke follows the measured setup; None without a stroke.
    """
    if shown is None:
        return {}
    counted = [stroke for stroke in strokes if stroke.kind == kind]
    if len(counted) < LEAST_FOR_MEAN:
        return dict(strokes[shown].with_hands)
    return {point: _most([stroke.with_hands[point] for stroke in counted]) for point in strokes[shown].with_hands}


def _most(said: Sequence[WithHands]) -> WithHands:
    clear = set(said) - {"neither"}
    return clear.pop() if len(clear) == 1 and 2 * said.count("neither") < len(said) else "neither"


def _join(
    name: MeasureName, of: Mapping[View, Sequence[Stroke]], kind: StrokeKind | None, shown: Mapping[View, int]
) -> Estimate:
    absences = []
    for view in STROKE_MEASURES[name].views:
        if view not in shown:
            continue
        found = [stroke.numbers[name] for stroke in of[view] if stroke.kind == kind and stroke.numbers[name]]
        if len(found) >= LEAST_FOR_MEAN:
            return _mean(found)
        one = of[view][shown[view]].numbers[name]
        if one:
            return one
        absences.append(one)
    if absences:
        return absences[0]
    views = " or ".join("face-on" if view == "face_on" else "down-the-line" for view in STROKE_MEASURES[name].views)
    return missing(name, f"No stroke was seen in a {views} clip, and only that view shows it.",
                   view=STROKE_MEASURES[name].views[0])  # fmt: skip


def _mean(found: Sequence[Estimate]) -> Estimate:
    """Return the mean with its interval by Student's t; what all strokes share does not become less."""
    from scipy.stats import t  # imported here, so that the records do not load it

    values = np.array([each.value for each in found])
    count = len(values)
    between = float(np.std(values, ddof=1)) / math.sqrt(count)
    shared: dict[str, float] = {}
    for cause in dict.fromkeys(cause for each in found for cause in each.budget):
        if cause not in OF_ONE_STROKE:
            shared[cause] = math.sqrt(float(np.mean([each.budget.get(cause, 0.0) ** 2 for each in found])))
    own = math.sqrt(float(np.mean([_own(each) ** 2 for each in found]) / count))
    between = max(between, own)  # few strokes may happen to agree better than they were measured
    budget = {"from stroke to stroke": between, **shared}
    total = math.hypot(*budget.values())
    freedom = (count - 1) * (total / between) ** 4 if between > 0 else math.inf  # Welch and Satterthwaite
    return Estimate(
        value=float(values.mean()),
        standard_uncertainty=total,
        unit=found[0].unit,
        view=found[0].view,
        frames=sum(each.frames for each in found),
        method=_JOINED.format(count=count, method=found[0].method),
        floor=found[0].floor,
        budget=budget,
        repeats=tuple(values.tolist()),
        coverage=float(t.ppf(0.975, freedom)) if math.isfinite(freedom) else NORMAL_95,
        by_hand=tuple(dict.fromkeys(each for one in found for each in one.by_hand)),
    )


def _own(estimate: Estimate) -> float:
    """Return what is new in each stroke of an estimate's uncertainty, one sigma."""
    return math.hypot(0.0, *(share for cause, share in estimate.budget.items() if cause in OF_ONE_STROKE))


def find_scatter(of: Mapping[View, Sequence[Stroke]], kind: StrokeKind | None) -> dict[MeasureName, StrokeScatter]:
    """Return how much each number scatters from stroke to stroke, where ten strokes or more show it.

    What the measuring itself scatters is taken out of the sample variance and of both ends of its interval
    (chi-square).

    Parameters
    ----------
    of : mapping of View to sequence of Stroke
    kind : StrokeKind or None
        Which strokes count.
    """
    from scipy.stats import chi2  # imported here, so that the records do not load it

    scatter: dict[MeasureName, StrokeScatter] = {}
    for name, record in STROKE_MEASURES.items():
        for view in record.views:
            found = [
                stroke.numbers[name] for stroke in of.get(view, ()) if stroke.kind == kind and stroke.numbers[name]
            ]
            count = len(found)
            if count < LEAST_FOR_SCATTER:
                continue
            square = float(np.var([each.value for each in found], ddof=1))
            own = float(np.mean([_own(each) ** 2 for each in found]))
            low, high = ((count - 1) * square / chi2.ppf(share, count - 1) for share in (0.975, 0.025))
            sizes = [math.sqrt(max(each - own, 0.0)) for each in (square, low, high)]
            scatter[name] = StrokeScatter(sd=sizes[0], low=sizes[1], high=sizes[2], count=count, unit=record.unit)
            break
    return scatter
