"""A putter checked against the Equipment Rules of The R&A and USGA, and how it may be held.

Equipment Rules in the edition in force since January 2019. Read: Part 2, 1a with its interpretation, 2a, 2c and 3 (the
USGA's pages of that edition). 1d was read in the R&A's guide to the same clause of the Rules before, and 1c in a rules
column that quotes it. Rules of Golf in the edition of 2023 (from memory); 10.1b as clubs quote it.
"""

from typing import Final

from putt_posture.body import SHORTEST_PUTTER_CM
from putt_posture.figures import format_value
from putt_posture.fitting.inputs import name_long_putter
from putt_posture.fitting.limits import STEEPEST_LIE_DEG
from putt_posture.values import Estimate, RuleCheck

__all__ = ["MOST_LOFT_DEG", "check_rules"]

MOST_LOFT_DEG: Final = 10.0
"""Equipment Rules, Part 2, 1a: a putter is a club with a loft not exceeding 10°."""
UPRIGHT_LIMIT_DEG: Final = 25.0
"""Part 2, 1d(i): as far from the vertical a shaft may have to be where the putter can be used upright or nearly so."""
_PART_2: Final = "Equipment Rules of 2019, Part 2"


def check_rules(length: Estimate, lie: Estimate, *, current_cm: float | None = None) -> tuple[RuleCheck, ...]:
    """Check a putter against the limits, and name those that posture cannot show.

    Parameters
    ----------
    length, lie : Estimate
        As suggested, cm and deg.
    current_cm : float, optional
        Length of the putter in use: where it is long, what matters for long putters is named too.
    """
    lengths = (length.value if length else None, current_cm)
    long = any(each is not None and name_long_putter(each) for each in lengths)
    checks = [_check_length(length), _check_shaft(lie, long=long), _name_lean(), _name_loft()]
    return (*checks, *([_name_two_grips()] if long else []), _name_anchoring())


def _check_length(length: Estimate) -> RuleCheck:
    keeps = bool(length.value >= SHORTEST_PUTTER_CM) if length else None
    return RuleCheck(
        name="length",
        title="Length",
        limit="at least 18 in (45.7 cm); no upper limit: the 48 in (121.9 cm) for other clubs do not hold for putters",
        clause=f"{_PART_2}, 1c",
        keeps=keeps,
        says="There is no length to check." if keeps is None else _say(keeps, length.low >= SHORTEST_PUTTER_CM),
    )


def _check_shaft(lie: Estimate, *, long: bool) -> RuleCheck:
    keeps = bool(lie.value <= STEEPEST_LIE_DEG) if lie else None
    if keeps is None:
        says = "There is no lie to check."
    else:
        lean = format_value(90 - lie.value, "deg")
        says = f"{lean} from the vertical. {_say(keeps, lie.high <= STEEPEST_LIE_DEG)}"
        if keeps and long and 90 - lie.value < UPRIGHT_LIMIT_DEG:
            says += " A long putter that can be used upright may need more: ask the ruling body."
    return RuleCheck(
        name="shaft_angle",
        title="Shaft, from the side",
        limit=f"at least 10° from the vertical at address, so a lie of 80° at most; up to {UPRIGHT_LIMIT_DEG:g}° may "
        "be required of a putter that can be used upright or nearly so, as some long ones can",
        clause=f"{_PART_2}, 1d(i)",
        keeps=keeps,
        says=says,
    )


def _name_lean() -> RuleCheck:
    return RuleCheck(
        name="shaft_lean",
        title="Shaft, along the line",
        limit="at most 20° forward and 10° backward at address",
        clause=f"{_PART_2}, 1d(ii)",
        keeps=None,
        says="Posture does not show this: the builder measures it.",
    )


def _name_loft() -> RuleCheck:
    return RuleCheck(
        name="loft",
        title="Loft",
        limit=f"not over {MOST_LOFT_DEG:g}°",
        clause=f"{_PART_2}, 1a",
        keeps=None,
        says="Posture does not show the loft: the builder measures it.",
    )


def _name_two_grips() -> RuleCheck:
    return RuleCheck(
        name="two_grips",
        title="Two grips",
        limit="both round and on the shaft's axis, at least 1.5 in (3.8 cm) apart, the upper at least 5 in (12.7 cm) "
        "long",
        clause=f"{_PART_2}, 3c",
        keeps=None,
        says="A putter may have two grips, as long ones often do: the builder measures them.",
    )


def _name_anchoring() -> RuleCheck:
    return RuleCheck(
        name="anchoring",
        title="How it is held",
        limit="neither the club nor a gripping hand held against the body, nor a forearm against it as an anchor "
        "point; held against a hand or forearm is allowed",
        clause="Rules of Golf of 2023, 10.1b",
        keeps=None,
        says="Any length may be used, but it must not be anchored: the coach checks that.",
    )


def _say(keeps: bool, surely: bool) -> str:
    if not keeps:
        return "Not kept."
    return "Kept." if surely else "Kept, but the interval reaches beyond the limit: measure the finished putter."
