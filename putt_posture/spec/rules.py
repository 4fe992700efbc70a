"""A putter held against the Equipment Rules of The R&A and USGA."""

from typing import Final

from putt_posture.body import SHORTEST_PUTTER_CM
from putt_posture.fitting.rules import STEEPEST_LIE_DEG
from putt_posture.values import Estimate, RuleCheck

__all__ = ["MOST_LOFT_DEG", "check_rules"]

MOST_LOFT_DEG: Final = 10.0
"""Equipment Rules, Part 2, 1a: a putter is a club with a loft not exceeding 10°."""


def check_rules(length: Estimate, lie: Estimate) -> tuple[RuleCheck, ...]:
    """Hold a length, cm, and a lie, deg, against their limits, and name that of the loft."""
    return _check_length(length), _check_shaft(lie), _name_loft()


def _check_length(length: Estimate) -> RuleCheck:
    keeps = bool(length.value >= SHORTEST_PUTTER_CM) if length else None
    return RuleCheck(
        name="length",
        title="Length",
        limit="at least 18 in (45.7 cm); the 48 in at most for other clubs do not hold for putters",
        clause="Equipment Rules, Part 2, 1c",
        keeps=keeps,
        says="There is no length to check." if keeps is None else _say(keeps, length.low >= SHORTEST_PUTTER_CM),
    )


def _check_shaft(lie: Estimate) -> RuleCheck:
    keeps = bool(lie.value <= STEEPEST_LIE_DEG) if lie else None
    if keeps is None:
        says = "There is no lie to check."
    else:
        says = f"{90 - lie.value:.0f}° from the vertical. {_say(keeps, lie.high <= STEEPEST_LIE_DEG)}"
    return RuleCheck(
        name="shaft_angle",
        title="Shaft",
        limit="at least 10° from the vertical as the putter stands at address, a lie of 80° at most",
        clause="Equipment Rules, Part 2, 1d",
        keeps=keeps,
        says=says,
    )


def _name_loft() -> RuleCheck:
    return RuleCheck(
        name="loft",
        title="Loft",
        limit=f"not over {MOST_LOFT_DEG:g}°",
        clause="Equipment Rules, Part 2, 1a",
        keeps=None,
        says="The loft is not found from posture: the builder measures it.",
    )


def _say(keeps: bool, surely: bool) -> str:
    if not keeps:
        return "Not kept."
    return "Kept." if surely else "Kept, but the interval reaches beyond the limit: measure the finished putter."
