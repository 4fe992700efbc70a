"""The putter in use: its length is known to a tape's breadth, the hands' place on it is not.

A putter held at the top of its grip tells how high the hands are. One that is braced against the forearm or reaches to
belly or chest stands far above the hands, and its length tells nothing of them.
"""

from typing import Final

from putt_posture.body import PUTTER_TAPE_SD_CM, SHORTEST_PUTTER_CM
from putt_posture.units import CM_PER_INCH
from putt_posture.values import Estimate, Student

__all__ = ["GRIP_DOWN_SD_CM", "find_putter_in_use", "find_putter_slip", "name_long_putter"]

GRIP_DOWN_SD_CM: Final = 1.3
"""How much students grip down, or up, from their usual hold: one sigma of about half an inch (common practice)."""

PUTTER_SLIP: Final = 0.1
"""How often a putter of usual length tells nothing of the hands: gripped far down, or its length mistyped (judged)."""

LONG_FROM_IN: Final = (37.0, 41.0)
"""Inches from which putters may be of a long kind, and from which all are (common practice; a man of two metres may
hold one of 39 in at the top of its grip)."""

LONG_KINDS: Final = (("arm-lock", 38.0, 44.0), ("mid-length", 40.0, 46.0), ("long", 45.0, 60.0))
"""Kinds of putters that are not held at the top of their grip, with the lengths in which they are sold, inches (common
practice): braced against the forearm, to the belly, to the chest."""


def find_putter_in_use(student: Student) -> Estimate | None:
    """Give the length of the putter in use, cm; None where it was not said."""
    if student.putter_length_cm is None:
        return None
    return Estimate(
        value=student.putter_length_cm,
        standard_uncertainty=PUTTER_TAPE_SD_CM,
        unit="cm",
        method="measured with a tape",
        floor=SHORTEST_PUTTER_CM,
    )


def find_putter_slip(length_cm: float) -> float:
    """Find how likely a putter's length tells nothing of where the hands are, before they are looked at, 0 to 1.

    It rises without a corner from `PUTTER_SLIP` to 1 over `LONG_FROM_IN`.

    Examples
    --------
    >>> [round(find_putter_slip(inches * 2.54), 2) for inches in (35, 39, 44)]
    [0.1, 0.55, 1.0]
    """
    start, end = LONG_FROM_IN
    part = min(max((length_cm / CM_PER_INCH - start) / (end - start), 0.0), 1.0)
    return PUTTER_SLIP + (1 - PUTTER_SLIP) * part**2 * (3 - 2 * part)


def name_long_putter(length_cm: float) -> str | None:
    """Name the kinds of long putters that a length is sold in; None where it is that of a usual one.

    Examples
    --------
    >>> name_long_putter(42 * 2.54)
    'arm-lock or mid-length'
    >>> name_long_putter(35 * 2.54) is None
    True
    """
    inches = length_cm / CM_PER_INCH
    kinds = [kind for kind, least, most in LONG_KINDS if least <= inches <= most]
    return " or ".join(kinds) or None
