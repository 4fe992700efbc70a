"""From single values to the study's two tables: one row a measure, and one row a measure and camera condition.

Rows are those of `measuring.measure_shot`; every number is in the measure's own unit unless its name says otherwise.
"""

import itertools
from collections.abc import Iterable
from typing import Any, Final

import pandas as pd
from conditions import in_order, label_groups
from measuring import BOTH
from scene_measures import OF_THE_SCENE
from shots import Shot
from targets import MOST_ABSENT_PERCENT, MOST_WIDTH, RMSE_TARGETS, SHOULD_HOLD_PERCENT

from putt_posture.measures import MEASURES
from putt_posture.values import VIEW_TITLES, VIEWS, MeasureName

__all__ = [
    "ENOUGH_FOR_HIGH",
    "label_shots",
    "misses",
    "summarise",
    "tabulate_condition",
    "tabulate_measures",
    "tabulate_scene",
]

ENOUGH_FOR_HIGH: Final = 100
"""With fewer, 99 % cannot be told from 100 %: all of them hold more often than not where each does with 99 %."""

_TALE: Final = ("n", "absent", "bias", "SD", "RMSE", "p95", "worst", "holds %")
"""What is said of each group of the second table."""


def summarise(rows: pd.DataFrame) -> dict[str, float]:
    """Return the numbers about one measure in one group of shots.

    Parameters
    ----------
    rows : DataFrame
        Columns truth, value, standard_uncertainty, low and high; value is NaN where the measure is absent, truth
        where there is nothing to measure, and such rows do not count.

    Returns
    -------
    dict
        n : how many were measured.
        absent : how many were not, though there was something to measure.
        bias, SD, RMSE : of value less truth; RMSE² = bias² + SD².
        p95, worst : of its size; the percentile is interpolated.
        u : median standard uncertainty.
        width : median half-width of the 95 % interval, in RMSE.
        holds % : how often the 95 % interval holds the truth.
    """
    there = rows[rows.truth.notna()]
    seen = there[there.value.notna()]
    error = seen.value - seen.truth
    rmse = float((error**2).mean() ** 0.5)
    half = (seen.high - seen.low) / 2
    holds = (seen.low <= seen.truth) & (seen.truth <= seen.high)
    return {
        "n": len(seen),
        "absent": len(there) - len(seen),
        "bias": float(error.mean()),
        "SD": float(error.std(ddof=0)),
        "RMSE": rmse,
        "p95": float(error.abs().quantile(0.95)),
        "worst": float(error.abs().max()),
        "u": float(seen.standard_uncertainty.median()),
        "width": float(half.median()) / rmse if rmse else float("nan"),
        "holds %": 100 * float(holds.mean()),
    }


def misses(name: MeasureName, numbers: dict[str, float]) -> list[str]:
    """Return which targets a measure misses, by the table's headings; a measure never seen misses ``absent``."""
    total = numbers["n"] + numbers["absent"]
    missed = []
    if name in RMSE_TARGETS and numbers["RMSE"] > RMSE_TARGETS[name]:
        missed.append("RMSE")
    if total and 100 * numbers["absent"] / total > MOST_ABSENT_PERCENT:
        missed.append("absent")
    if numbers["n"]:
        low, high = SHOULD_HOLD_PERCENT
        if numbers["holds %"] < low or (numbers["holds %"] > high and numbers["n"] >= ENOUGH_FOR_HIGH):
            missed.append("holds")
        if numbers["width"] > MOST_WIDTH:
            missed.append("width")
    return missed


def tabulate_measures(rows: pd.DataFrame) -> pd.DataFrame:
    """Return one row for each measure that was studied, with its target and whether all targets are met."""
    table: list[dict[str, Any]] = []
    for name, unit, chosen in _by_measure(rows):
        numbers = summarise(chosen)
        missed = misses(name, numbers)
        table.append(
            {
                "measure": name,
                "unit": unit,
                **numbers,
                "target": RMSE_TARGETS.get(name, float("nan")),
                "met": f"no: {' '.join(missed)}" if missed else "yes",
            }
        )
    return pd.DataFrame(table).set_index("measure")


def tabulate_scene(rows: pd.DataFrame) -> pd.DataFrame:
    """Return one row for each of `OF_THE_SCENE` and view."""
    table: list[dict[str, Any]] = []
    for (name, unit), view in itertools.product(OF_THE_SCENE.items(), VIEWS):
        chosen = rows[(rows.measure == name) & (rows.view == view)]
        if not chosen.empty:
            table.append({"measure": name, "unit": unit, "group": VIEW_TITLES[view].lower(), **summarise(chosen)})
    return pd.DataFrame(table).set_index(["measure", "unit", "group"])


def label_shots(shots: Iterable[Shot]) -> pd.DataFrame:
    """Return the conditions of every shot and view: columns folder, view, and one for each condition."""
    return pd.DataFrame(
        [{"folder": shot.name, "view": view, **label_groups(shot, view)} for shot in shots for view in VIEWS]
    )


def tabulate_condition(rows: pd.DataFrame, groups: pd.DataFrame, condition: str) -> pd.DataFrame:
    """Return one row for each measure and group of one condition.

    Parameters
    ----------
    rows : DataFrame
    groups : DataFrame
        From `label_shots`.
    condition : str
        One of `conditions.CONDITIONS`.

    Returns
    -------
    DataFrame
        The condition is that of the view which a measure came from. A measure that came from both views, or is
        absent and could have come from either, counts in the groups of both, once where they are the same.
    """
    both = rows.view == BOTH
    single = pd.concat([rows[~both], *(rows[both].assign(view=view) for view in VIEWS)])
    labelled = single.merge(groups, on=["folder", "view"], how="left", validate="many_to_one")
    once = labelled.drop_duplicates(["folder", "measure", condition])
    table: list[dict[str, Any]] = []
    for name, unit, chosen in _by_measure(once):
        for group in in_order(condition, chosen[condition].unique()):
            numbers = summarise(chosen[chosen[condition] == group])
            table.append({"measure": name, "unit": unit, "group": group, **{key: numbers[key] for key in _TALE}})
    return pd.DataFrame(table).set_index(["measure", "unit", "group"])


def _by_measure(rows: pd.DataFrame) -> Iterable[tuple[MeasureName, str, pd.DataFrame]]:
    for name, measure in MEASURES.items():
        unit = measure.unit
        chosen = rows[rows.measure == name]
        if chosen.truth.notna().any():
            yield name, unit, chosen
