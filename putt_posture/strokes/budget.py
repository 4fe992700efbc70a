"""From a value and its causes of uncertainty to the estimate of a measure of a stroke."""

import math
from collections.abc import Mapping
from typing import Final

from putt_posture.measures import STROKE_MEASURES
from putt_posture.values import Estimate, MeasureName, View, absent

__all__ = ["OF_ONE_STROKE", "missing", "settle"]

OF_ONE_STROKE: Final = frozenset({"landmark noise", "event times", "start", "top", "impact", "finish"})
"""Causes that are new in each stroke; the others are the same in all strokes of a clip."""


def settle(name: str, value: float, causes: Mapping[str, float], *, view: View, frames: int, method: str) -> Estimate:
    """Return the estimate of one measure of one stroke.

    Parameters
    ----------
    name : str
        Of the record.
    value : float
        In its unit.
    causes : mapping of str to float
        One sigma of each cause, in its unit; the error of the method itself is added here.
    view : View
    frames : int
        How many frames were used.
    method : str
        One short phrase.
    """
    record = STROKE_MEASURES[name]
    if not all(map(math.isfinite, (value, *causes.values()))):
        return missing(name, "Too few frames show it.", view=view)
    budget = {**{cause: abs(share) for cause, share in causes.items()}, "method itself": record.model_sd}
    return Estimate(
        value=value if record.floor is None else max(value, record.floor),
        standard_uncertainty=math.hypot(*budget.values()),
        unit=record.unit,
        view=view,
        frames=frames,
        method=method,
        floor=record.floor,
        budget=budget,
    )


def missing(name: MeasureName | str, reason: str, *, view: View) -> Estimate:
    """Return an absent measure of a stroke.

    Parameters
    ----------
    name : str
        Of the record.
    reason : str
        One sentence that a coach understands.
    view : View
    """
    return absent(reason, unit=STROKE_MEASURES[name].unit, view=view)
