"""Short and long putts of practice tests, each held against what professionals hole from the same lengths."""

from collections.abc import Mapping
from typing import Final, Literal

import numpy as np

from putt_posture.practice.reading import LEAST_PUTTS, add_up, find_interval
from putt_posture.practice.yardsticks import load_yardsticks
from putt_posture.values import PracticeTest, Practised, PuttRange

__all__ = ["LONG_FROM_CM", "SHORT_TO_CM", "find_ranges"]

SHORT_TO_CM: Final = 200.0
"""Putts up to this count as short (judged; what coaches call short putts)."""
LONG_FROM_CM: Final = 450.0
"""Putts from this on count as long (judged): professionals hole fewer than one in four of them."""
_YARDSTICK: Final = "broadie2018"
"""The published putts that reach far enough."""


def find_ranges(*tests: PracticeTest) -> Practised | None:
    """Hold the short and the long putts of one or several tests against those of professionals.

    Parameters
    ----------
    *tests : PracticeTest
        Pooled, as if the student had putted alike in all of them.

    Returns
    -------
    Practised or None
        With Wilson's 95 % intervals. None where neither range has `LEAST_PUTTS`.

    Raises
    ------
    UsageError
        If a count cannot be.
    """
    counts = add_up(tests)
    short = {cm: count for cm, count in counts.items() if cm <= SHORT_TO_CM}
    far = {cm: count for cm, count in counts.items() if cm >= LONG_FROM_CM}
    ranges = tuple(each for each in (_range("short", short), _range("long", far)) if each is not None)
    if not ranges:
        return None
    days = [test.day for test in tests]
    return Practised(tests=len(tests), first=min(days), last=max(days), ranges=ranges)


def _range(putts: Literal["short", "long"], counts: Mapping[float, tuple[int, int]]) -> PuttRange | None:
    tried, holed = (sum(count[place] for count in counts.values()) for place in (0, 1))
    if tried < LEAST_PUTTS:
        return None
    low, high = find_interval(holed, tried)
    return PuttRange(
        putts=putts,
        least_cm=min(counts),
        most_cm=max(counts),
        tried=tried,
        holed=holed,
        low=low,
        high=high,
        usual=sum(count[0] * _usual_share(cm) for cm, count in counts.items()) / tried,
    )


def _usual_share(distance_cm: float) -> float:
    """Return the share that professionals hole from a length, straight between the published ones."""
    usual = next(each for each in load_yardsticks() if each.name == _YARDSTICK).counts
    lengths, shares = [each.distance_cm for each in usual], [each.holed / each.tried for each in usual]
    return float(np.interp(distance_cm, lengths, shares))
