"""What practice tests show of short and of long putts, beside what professionals hole from the same lengths."""

from datetime import date
from typing import Literal

from attrs import frozen

from putt_posture.values.showing import brief

__all__ = ["Practised", "PuttRange"]


@brief
@frozen(kw_only=True)
class PuttRange:
    """Short or long putts of one student, pooled.

    Attributes
    ----------
    putts : {"short", "long"}
    least_cm, most_cm : float
        Shortest and longest of them, ball to the middle of the hole.
    tried, holed : int
    low, high : float
        95 % interval of the chance of holing, 0 to 1 (Wilson).
    usual : float
        The share that professionals hole of as many putts from the same lengths, 0 to 1.
    """

    putts: Literal["short", "long"]
    least_cm: float
    most_cm: float
    tried: int
    holed: int
    low: float
    high: float
    usual: float

    @property
    def is_weak(self) -> bool:
        """Whether the share of the professionals lies above the interval."""
        return self.high < self.usual


@brief
@frozen(kw_only=True)
class Practised:
    """The practice tests that count for one lesson.

    Attributes
    ----------
    tests : int
        How many.
    first, last : date
        The same day for one test.
    ranges : tuple of PuttRange
        At most two, short putts first; one with too few putts is left out.
    """

    tests: int
    first: date
    last: date
    ranges: tuple[PuttRange, ...]
