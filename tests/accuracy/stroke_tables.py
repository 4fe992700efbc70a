"""From single values of strokes to the table of targets, and to one row a number.

Rows are those of `stroke_measuring.measure_take`.
"""

from collections.abc import Mapping
from typing import Any, Final

import pandas as pd
from attrs import frozen
from tables import summarise

from putt_posture.measures import STROKE_MEASURES
from putt_posture.values import STROKE_EVENTS, VIEW_TITLES, View

__all__ = ["TARGETS", "StrokeTarget", "tabulate_numbers", "tabulate_targets"]

SHOULD_HOLD_PERCENT: Final = (90.0, 99.0)
MOST_WIDTH: Final = 2.5
_MILLI: Final = 1000.0
_FIRST: Final[tuple[View, ...]] = ("face_on", "down_the_line")
"""A lesson with both views takes its times face on."""


@frozen(kw_only=True)
class StrokeTarget:
    """One line of the table.

    Attributes
    ----------
    title : str
    whats : tuple of str
        The rows that count.
    kind : str
        ``share``: percent of rows whose value is the truth; ``rmse``; ``relative``: RMSE in percent of the truth;
        ``series``: root mean square over the frames of all strokes.
    most : float
        The target in `unit`: at least so many percent of a share, at most so much of the others.
    bias : float or None
        Most bias, in `unit`.
    scale : float
        From the unit of the rows to `unit`.
    view : str or None
        Only rows of this view.
    """

    title: str
    whats: tuple[str, ...]
    kind: str
    most: float
    unit: str
    bias: float | None = None
    scale: float = 1.0
    view: str | None = None


TARGETS: Final[tuple[StrokeTarget, ...]] = (
    StrokeTarget(title="strokes found", whats=("found",), kind="share", most=98, unit="%"),
    StrokeTarget(title="practice told from putt", whats=("kind",), kind="share", most=98, unit="%"),
    StrokeTarget(title="setup inside the quiet address", whats=("setup",), kind="share", most=98, unit="%"),
    *(
        StrokeTarget(
            title=f"{name}, {VIEW_TITLES[view].lower()}", whats=(name,), kind="rmse", most=most, unit="ms", bias=10,
            scale=_MILLI, view=view,
        )
        for view in _FIRST
        for name, most in (("start", 25), ("top", 15), ("impact", 10))
    ),
    *(
        StrokeTarget(
            title=f"ratio back : through, {VIEW_TITLES[view].lower()}", whats=("tempo_ratio",), kind="relative", most=5,
            unit="%", view=view,
        )
        for view in _FIRST
    ),
    StrokeTarget(title="backswing length of hands", whats=("hands_back",), kind="rmse", most=0.8, unit="cm"),
    StrokeTarget(title="backswing length of head", whats=("putter_back",), kind="rmse", most=1.5, unit="cm"),
    StrokeTarget(
        title="sideways path of hands", whats=("series hands",), kind="series", most=0.4, unit="cm",
        view="down_the_line",
    ),
    StrokeTarget(
        title="peak head movement", whats=("head_along", "head_across", "head_up"), kind="rmse", most=0.6, unit="cm"
    ),
    StrokeTarget(
        title="peak sternum movement", whats=("sternum_along", "sternum_across", "sternum_up"), kind="rmse", most=0.6,
        unit="cm",
    ),
    StrokeTarget(title="change of tilt", whats=("tilt_change",), kind="rmse", most=0.8, unit="deg"),
    StrokeTarget(title="change of lead wrist", whats=("wrist_change",), kind="rmse", most=5, unit="deg"),
)  # fmt: skip
"""On strokes not used for tuning, at 60 frames a second."""


def tabulate_targets(rows: pd.DataFrame) -> pd.DataFrame:
    """Return one row a target: what was reached, in how many, and whether it is met.

    Parameters
    ----------
    rows : DataFrame
    """
    return pd.DataFrame([_line(target, rows) for target in TARGETS]).set_index("what")


def tabulate_numbers(rows: pd.DataFrame) -> pd.DataFrame:
    """Return one row a number and view, as the study of the setup has them.

    Parameters
    ----------
    rows : DataFrame
    """
    numbers = rows[rows.low.notna() | rows.absent.notna()] if "low" in rows else rows[:0]
    table = []
    for (what, view), chosen in numbers.groupby(["what", "view"], sort=False):
        if what == "found":
            continue
        in_ms = what in STROKE_EVENTS or what.endswith("_time")
        unit = "ms" if in_ms else STROKE_MEASURES[what].unit
        table.append({"what": what, "view": view, "unit": unit, **summarise(_scaled(chosen, _MILLI if in_ms else 1.0))})
    return pd.DataFrame(table).set_index(["what", "view"]) if table else pd.DataFrame()


def _line(target: StrokeTarget, rows: pd.DataFrame) -> dict[str, Any]:
    chosen = rows[rows.what.isin(target.whats)]
    if target.view:
        chosen = chosen[chosen.view == target.view]
    line: dict[str, Any] = {"what": target.title, "unit": target.unit}
    told = {"share": _share, "series": _series}.get(target.kind, _errors)(target, chosen)
    return {**line, **told, "target": target.most}


def _share(target: StrokeTarget, chosen: pd.DataFrame) -> dict[str, Any]:
    share = 100 * float((chosen.value == chosen.truth).mean()) if len(chosen) else float("nan")
    return {"n": len(chosen), "absent": 0, "reached": share, "met": "yes" if share >= target.most else "no"}


def _series(target: StrokeTarget, chosen: pd.DataFrame) -> dict[str, Any]:
    if not len(chosen):
        return {"n": 0, "absent": 0, "reached": float("nan"), "met": "no"}
    rms = target.scale * float((chosen.value**2).mean() ** 0.5)
    missed = [] if rms <= target.most else ["RMSE"]
    holds = 100 * float(chosen.holds.mean())
    if not SHOULD_HOLD_PERCENT[0] <= holds:
        missed.append("holds")
    return {
        "n": len(chosen), "absent": 0, "bias": target.scale * float(chosen.bias.mean()), "reached": rms,
        "holds %": holds, "met": _met(missed),
    }  # fmt: skip


def _errors(target: StrokeTarget, chosen: pd.DataFrame) -> dict[str, Any]:
    scaled = _scaled(chosen, 100 / chosen.truth if target.kind == "relative" else target.scale)
    if "low" not in scaled or not scaled.value.notna().any():
        return {"n": 0, "absent": len(chosen), "reached": float("nan"), "met": "no"}
    numbers: Mapping[str, float] = summarise(scaled)
    missed = ["RMSE"] if numbers["RMSE"] > target.most else []
    if target.bias is not None and abs(numbers["bias"]) > target.bias:
        missed.append("bias")
    if numbers["holds %"] < SHOULD_HOLD_PERCENT[0]:
        missed.append("holds")
    if numbers["width"] > MOST_WIDTH:
        missed.append("width")
    return {
        "n": numbers["n"], "absent": numbers["absent"], "bias": numbers["bias"], "reached": numbers["RMSE"],
        "holds %": numbers["holds %"], "±/RMSE": numbers["width"], "met": _met(missed),
    }  # fmt: skip


def _scaled(chosen: pd.DataFrame, scale: float | pd.Series) -> pd.DataFrame:
    names = [name for name in ("truth", "value", "standard_uncertainty", "low", "high") if name in chosen]
    return chosen.assign(**{name: chosen[name] * scale for name in names})


def _met(missed: list[str]) -> str:
    return f"no: {' '.join(missed)}" if missed else "yes"
