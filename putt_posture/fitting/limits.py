"""Limits of putters and setups: the Equipment Rules of The R&A and USGA, and what a coach may ask for.

The ranges of a wanted setup catch typing errors, and postures that a coach should not ask for.
"""

import math
from collections.abc import Mapping
from typing import Final

from attrs import evolve, fields

from putt_posture.body import SHORTEST_PUTTER_CM
from putt_posture.errors import UsageError
from putt_posture.figures import as_printed, format_length, format_value, inches
from putt_posture.values import Estimate, WantedSetup

__all__ = [
    "STEEPEST_LIE_DEG",
    "WANTED_SETUP_RANGES",
    "check_putter_lie",
    "check_wanted_setup",
    "find_stock_length_in",
    "keep_length_to_rules",
    "keep_lie_to_rules",
]

STEEPEST_LIE_DEG: Final = 80.0
"""Equipment Rules, Part 2, 1d(i): in the normal address position the shaft must diverge from the vertical by at least
10° in the toe–heel plane."""

STOCK_STEP_IN: Final = 0.5
"""Putters are sold and cut to the half inch (common practice)."""

WANTED_SETUP_RANGES: Final[Mapping[str, tuple[float, float]]] = {
    "hand_offset_cm": (-15.0, 25.0),
    "elbow_depth_cm": (-15.0, 15.0),
    "eye_offset_cm": (-40.0, 15.0),
    "balance_percent": (30.0, 75.0),
    "knee_flex_deg": (0.0, 45.0),
    "back_rounding_deg": (0.0, 60.0),
    "head_drop_deg": (-20.0, 50.0),
    "eyes_lowered_deg": (0.0, 50.0),
    "elbow_bend_deg": (0.0, 90.0),
    "tilt_deg": (5.0, 60.0),
    "lie_deg": (55.0, STEEPEST_LIE_DEG),
    "grip_down_cm": (-5.0, 15.0),
}
"""Ranges that may be asked for (judged); the tilt up to the 60° that ISO 11226:2000 allows (from memory), the lie up to
the 80° of the Equipment Rules."""

PUTTER_LIE_RANGE_DEG: Final = (55.0, STEEPEST_LIE_DEG)
"""Lies of putters that are sold, deg; above 80° they are not allowed (Equipment Rules, Part 2, 1d(i))."""

_UNITS: Final = {"cm": "cm", "deg": "°", "percent": "%"}


def keep_length_to_rules(length: Estimate) -> tuple[Estimate, str | None]:
    """Return a length of at least 18 inches, with one sentence where it was raised.

    The Rules' upper limit of 48 inches does not apply to putters.

    Parameters
    ----------
    length : Estimate
        cm.
    """
    if not length or length.value >= SHORTEST_PUTTER_CM:
        return length, None
    says = (
        f"The length came out at {format_length(length.value)} and was raised to {format_length(SHORTEST_PUTTER_CM)}, "
        "the least that a club must have (R&A and USGA Equipment Rules)."
    )
    return evolve(length, value=SHORTEST_PUTTER_CM), says


def keep_lie_to_rules(lie: Estimate) -> tuple[Estimate, str | None]:
    """Return a lie of at most 80°, with one sentence where it was lowered.

    Parameters
    ----------
    lie : Estimate
        deg.
    """
    if not lie or lie.value <= STEEPEST_LIE_DEG:
        return lie, None
    says = (
        f"The lie of {format_value(lie.value, 'deg')} was lowered to {STEEPEST_LIE_DEG:g}°: the shaft must be at least "
        "10° off the vertical (R&A and USGA Equipment Rules)."
    )
    return evolve(lie, value=STEEPEST_LIE_DEG), says


def find_stock_length_in(length: Estimate) -> float | None:
    """Find the half inch nearest to a length as it is printed; None where it is absent.

    Parameters
    ----------
    length : Estimate
        cm.

    Examples
    --------
    >>> find_stock_length_in(Estimate(value=84.5, standard_uncertainty=2.0, unit="cm"))
    33.5
    """
    if not length:
        return None
    return round(as_printed(inches(length.value), "in") / STOCK_STEP_IN) * STOCK_STEP_IN


def check_wanted_setup(wanted: WantedSetup) -> WantedSetup:
    """Check that a setup may be asked for and return it.

    Parameters
    ----------
    wanted : WantedSetup

    Raises
    ------
    UsageError
        If a value is out of range; the sentence names it.

    Examples
    --------
    >>> check_wanted_setup(WantedSetup(knee_flex_deg=20.0)).knee_flex_deg
    20.0
    """
    for each in fields(WantedSetup):
        value = getattr(wanted, each.name)
        if value is not None:
            _check(each.name, value, WANTED_SETUP_RANGES[each.name])
    return wanted


def check_putter_lie(lie_deg: float) -> float:
    """Check that the lie of a putter in use is possible and return it.

    Parameters
    ----------
    lie_deg : float
        Shaft to ground, deg.

    Raises
    ------
    UsageError
        If it is out of range.
    """
    _check("putter_lie_deg", lie_deg, PUTTER_LIE_RANGE_DEG)
    return lie_deg


def _check(name: str, value: float, bounds: tuple[float, float]) -> None:
    low, high = bounds
    if math.isfinite(value) and low <= value <= high:
        return
    words, _, unit = name.rpartition("_")
    sign = _UNITS[unit]
    rule = " (the Rules ask for a shaft at least 10° from the vertical)" if name.endswith("lie_deg") else ""
    raise UsageError(
        f"The {words.replace('_', ' ')} of {value:g} {sign} is out of range; {low:g} to {high:g} {sign} is "
        f"possible{rule}; check the number and its unit."
    )
