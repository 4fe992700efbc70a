"""Limits of a wanted setup: they catch typing errors, and postures that a coach should not ask for."""

import math
from collections.abc import Mapping
from typing import Final

from attrs import fields

from putt_posture.errors import UsageError
from putt_posture.fitting.rules import STEEPEST_LIE_DEG
from putt_posture.values import WantedSetup

__all__ = ["WANTED_SETUP_RANGES", "check_putter_lie", "check_wanted_setup"]

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
