"""Practice tests: shares holed, the scatter of start lines, its change, and published putts for comparison."""

from putt_posture.practice.ranges import LONG_FROM_CM, SHORT_TO_CM, find_ranges
from putt_posture.practice.reading import LEAST_PUTTS, compare_spreads, read_practice
from putt_posture.practice.results import HoledShare, PracticeResult, SpreadChange, Yardstick
from putt_posture.practice.yardsticks import fit_yardstick, load_yardsticks

__all__ = [
    "LEAST_PUTTS",
    "LONG_FROM_CM",
    "SHORT_TO_CM",
    "HoledShare",
    "PracticeResult",
    "SpreadChange",
    "Yardstick",
    "compare_spreads",
    "find_ranges",
    "fit_yardstick",
    "load_yardsticks",
    "read_practice",
]
