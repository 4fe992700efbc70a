"""The rule of thumb that knows a student's height and nothing else."""

from typing import Final

import numpy as np

from putt_posture.units import CM_PER_INCH
from putt_posture.values import Estimate, Evidence

__all__ = ["find_by_height_rule"]

_TRADE: Final = ((66.0, 32.0), (69.5, 33.0), (72.0, 34.0), (73.5, 35.0))
"""Stature and the putter usually fitted, inches: 5 ft 6, 5 ft 9 to 10, 6 ft 0, 6 ft 1 to 2 (common practice)."""

RULE_STATURES_IN: Final = (66.0, 74.0)
"""Statures that the rule is stated for, inches: 5 ft 6 to 6 ft 2 (common practice). Beyond them it says nothing."""

RULE_SD_IN: Final = 0.5
"""How far fitters depart from the rule, one sigma, inches (common practice: putters are cut to the half inch)."""


def find_by_height_rule(stature_cm: float) -> Evidence | None:
    """Find the length by the trade's rule of thumb: the straight line through what is usually fitted.

    None for a stature that the rule is not stated for.

    Examples
    --------
    >>> find_by_height_rule(180.0).length.value / 2.54 > find_by_height_rule(170.0).length.value / 2.54
    True
    >>> find_by_height_rule(150.0) is None
    True
    """
    low, high = RULE_STATURES_IN
    if not low <= round(stature_cm / CM_PER_INCH, 1) <= high:
        return None
    statures, lengths = np.array(_TRADE).T
    slope, start = np.polyfit(statures, lengths, 1)
    value = float(start + slope * stature_cm / CM_PER_INCH) * CM_PER_INCH
    return Evidence(
        name="height_rule",
        title="By the rule of thumb",
        length=Estimate(
            value=value,
            standard_uncertainty=RULE_SD_IN * CM_PER_INCH,
            unit="cm",
            method="line through what is usually fitted to a stature, common practice",
        ),
        says="What shops usually fit to this height (common practice); it knows neither arms nor setup, and is no part "
        "of the suggestion.",
    )
