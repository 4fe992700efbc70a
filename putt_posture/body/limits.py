"""Limits of what a student can be: they catch a wrong unit or a wrong reading, not unusual people."""

import math
from typing import Final

from putt_posture.errors import UsageError
from putt_posture.figures import format_given, format_length
from putt_posture.units import CM_PER_INCH
from putt_posture.values import Student

__all__ = [
    "BALL_CM",
    "LONGEST_PUTTER_CM",
    "PUTTER_TAPE_SD_CM",
    "SHORTEST_PUTTER_CM",
    "STATURE_RANGE_CM",
    "check_student",
]

BALL_CM: Final = 4.267
"""Least diameter of a ball (Rules of Golf, Equipment Rules, part 4, 3)."""
PUTTER_TAPE_SD_CM: Final = 0.3
"""One sigma of a putter length taken with a tape, cm (common practice)."""

STATURE_RANGE_CM: Final = (100.0, 230.0)
"""From a child tall enough to hold a putter to taller than almost anyone, cm."""

WRIST_FLOOR_RANGE_CM: Final = (45.0, 120.0)
"""The same for the wrist height, cm."""

WRIST_SHARE_RANGE: Final = (0.40, 0.57)
"""Wrist height over stature. ANSUR II: 0.4877 ± 0.0122 (women), 0.4825 ± 0.0123 (men); seven sigma to either side."""

SHORTEST_PUTTER_CM: Final = 18 * CM_PER_INCH
"""The R&A and USGA, Equipment Rules, Part 2, 1c: a club is at least 18 inches (0.457 m) long."""

LONGEST_PUTTER_CM: Final = 60 * CM_PER_INCH
"""Longer than any putter on sale (common practice); the Rules' 48 inches do not apply to putters."""


def check_student(student: Student) -> Student:
    """Check that a student can be real and return them.

    Parameters
    ----------
    student : Student

    Raises
    ------
    UsageError
        If the stature, the wrist height or the putter length is out of bounds, or the wrist height is not possible for
        the stature. Types, signs and words were checked when the student was made.

    Examples
    --------
    >>> check_student(Student(stature_cm=178.0, handed="right")).stature_cm
    178.0
    """
    _check_range("height", student.stature_cm, STATURE_RANGE_CM)
    if student.wrist_floor_cm is not None:
        _check_range("wrist height", student.wrist_floor_cm, WRIST_FLOOR_RANGE_CM)
        low, high = (share * student.stature_cm for share in WRIST_SHARE_RANGE)
        if not low <= student.wrist_floor_cm <= high:
            raise UsageError(
                f"The wrist height of {format_given(student.wrist_floor_cm, 'cm')} does not fit a height of "
                f"{format_given(student.stature_cm, 'cm')}, where {low:.0f} to {high:.0f} cm is possible; measure from "
                "the floor to the wrist crease, standing barefoot, arms hanging."
            )
    if student.putter_length_cm is not None:
        _check_range("putter length", student.putter_length_cm, (SHORTEST_PUTTER_CM, LONGEST_PUTTER_CM))
    return student


def _check_range(name: str, value_cm: float, bounds: tuple[float, float]) -> None:
    low, high = bounds
    if math.isfinite(value_cm) and low <= value_cm <= high:
        return
    if name == "putter length":
        found, possible = format_length(value_cm), f"{format_length(low)} to {format_length(high)}"
    else:
        found, possible = format_given(value_cm, "cm"), f"{low:g} to {high:g} cm"
    raise UsageError(f"The {name} of {found} is out of range; {possible} is possible; check the number and its unit.")
