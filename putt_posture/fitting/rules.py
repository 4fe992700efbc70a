"""The limits of length and lie by the Equipment Rules of The R&A and USGA."""

from typing import Final

from attrs import evolve

from putt_posture.body import SHORTEST_PUTTER_CM
from putt_posture.figures import as_printed, format_length, format_value, inches
from putt_posture.values import Estimate

__all__ = ["STEEPEST_LIE_DEG", "find_stock_length_in", "keep_length_to_rules", "keep_lie_to_rules"]

STEEPEST_LIE_DEG: Final = 80.0
"""Equipment Rules, Part 2, 1d(i): in the normal address position the shaft must diverge from the vertical by at least
10° in the toe–heel plane."""

STOCK_STEP_IN: Final = 0.5
"""Putters are sold and cut to the half inch (common practice)."""


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
