"""Practice tests read: shares holed, the scatter of start lines, and how that changed."""

import math
from collections import defaultdict
from collections.abc import Iterable
from typing import Final

import numpy as np
from scipy.special import chdtrc, xlogy

from putt_posture.errors import UsageError
from putt_posture.practice.results import HoledShare, PracticeResult, SpreadChange
from putt_posture.setup_arc import SIGMA_RANGE_DEG, check_counts, find_make_probability, fit_start_line_spread
from putt_posture.values import PracticeTest, StartLineSpread

__all__ = ["LEAST_PUTTS", "add_up", "compare_spreads", "find_interval", "read_practice"]

LEAST_PUTTS: Final = 10
"""Chosen: with fewer, the ends of the interval lie more than a factor of 4.5 apart even where half are holed."""
_DOUBT: Final = 0.01
"""Chosen: below this chance of so poor an agreement, the model is said not to describe the counts."""
_AT_THE_END: Final = 0.99


def read_practice(*tests: PracticeTest) -> PracticeResult:
    """Read one practice test, or several pooled.

    Counts of one length (to 0.1 mm) are added up; the order of tests and counts does not matter. Pooling assumes that
    the scatter is the same in all tests.

    Parameters
    ----------
    *tests : PracticeTest
        At least one.

    Returns
    -------
    PracticeResult
        Shares with Wilson's 95 % score interval (E. B. Wilson, *Journal of the American Statistical Association* 22,
        1927), the scatter by maximum likelihood, see `fit_start_line_spread`.

    Raises
    ------
    UsageError
        If there is no test, no putt, or a count that cannot be.
    """
    shares = tuple(_share(cm, tried, holed) for cm, (tried, holed) in sorted(add_up(tests).items()))
    if not shares:
        raise UsageError("No putts were given; at least one putt tried is needed to read a practice test.")
    spread, why_not = _fit(shares)
    return PracticeResult(
        tests=len(tests),
        first=min(test.day for test in tests),
        last=max(test.day for test in tests),
        shares=shares,
        spread=spread,
        why_not=why_not,
        misfit=_misfit(shares, spread) if spread else "",
    )


def compare_spreads(earlier: PracticeResult, later: PracticeResult) -> SpreadChange:
    """Find the change of the scatter with its 95 % interval.

    The interval of the difference is made of the two profile intervals, each end of it from the ends that work the same
    way, in quadrature (G. Y. Zou and A. Donner, "Construction of confidence limits about effect measures: a general
    approach", *Statistics in Medicine* 27, 2008). It leans as the two lean, and takes the tests as independent.

    Parameters
    ----------
    earlier, later : PracticeResult

    Returns
    -------
    SpreadChange
        Deg, later minus earlier, + is more scatter; falsy where either test has no scatter.
    """
    one, two = earlier.spread, later.spread
    if one is None or two is None:
        which = "Both tests are" if one is None and two is None else "The earlier test is" if one is None else (
            "The later test is"
        )  # fmt: skip
        return SpreadChange(
            change_deg=math.nan, low_deg=math.nan, high_deg=math.nan, why_not=f"{which} without a scatter."
        )
    change = two.sigma.value - one.sigma.value
    return SpreadChange(
        change_deg=change,
        low_deg=change - math.hypot(two.sigma.value - two.low_deg, one.high_deg - one.sigma.value),
        high_deg=change + math.hypot(two.high_deg - two.sigma.value, one.sigma.value - one.low_deg),
    )


def add_up(tests: Iterable[PracticeTest]) -> dict[float, tuple[int, int]]:
    """Return the putts tried and holed by length, cm; lengths without a putt are left out.

    Parameters
    ----------
    tests : iterable of PracticeTest

    Raises
    ------
    UsageError
        If a count cannot be.
    """
    sums: dict[float, tuple[int, int]] = defaultdict(lambda: (0, 0))
    for count in (count for test in tests for count in test.counts):
        check_counts([count.distance_cm], tried=[count.tried], holed=[count.holed])
        length = round(count.distance_cm, 2)
        tried, holed = sums[length]
        sums[length] = (tried + count.tried, holed + count.holed)
    return {length: counts for length, counts in sums.items() if counts[0]}


def find_interval(holed: int, tried: int) -> tuple[float, float]:
    """Return Wilson's 95 % score interval of the chance of holing, 0 to 1; the share that was holed lies in it.

    Parameters
    ----------
    holed, tried : int
    """
    from scipy.stats import binomtest  # slow to import, and most lessons have no practice test

    share, interval = holed / tried, binomtest(holed, tried).proportion_ci(method="wilson")
    return min(float(interval.low), share), max(float(interval.high), share)  # rounding can put an end a hair inside


def _share(distance_cm: float, tried: int, holed: int) -> HoledShare:
    low, high = find_interval(holed, tried)
    return HoledShare(distance_cm=distance_cm, tried=tried, holed=holed, share=holed / tried, low=low, high=high)


def _fit(shares: tuple[HoledShare, ...]) -> tuple[StartLineSpread | None, str]:
    tried, holed = [each.tried for each in shares], [each.holed for each in shares]
    putts, made = sum(tried), sum(holed)
    if made == putts:
        return None, (
            f"All {putts} putts were holed, so the scatter is small, but how small is not certain. Add "
            "putts from farther away."
        )
    if made == 0:
        return None, (
            f"None of {putts} putts was holed, so the scatter is large, but how large is not certain. Add putts "
            "from nearer."
        )
    if putts < LEAST_PUTTS:
        return None, (
            f"{putts} putts are too few to show how much start lines scatter; at least {LEAST_PUTTS} are needed."
        )
    spread = fit_start_line_spread([each.distance_cm for each in shares], tried=tried, holed=holed)
    if not SIGMA_RANGE_DEG[0] / _AT_THE_END < spread.sigma.value < SIGMA_RANGE_DEG[1] * _AT_THE_END:
        return (
            None,
            f"{made} of {putts} putts holed from these lengths fit no scatter of start lines; check the counts.",
        )
    return spread, ""


def _misfit(shares: tuple[HoledShare, ...], spread: StartLineSpread) -> str:
    """Test the counts against the fitted chances: deviance, compared with chi-square."""
    if len(shares) < 2:
        return ""
    tried, holed = (np.array([getattr(each, name) for each in shares], dtype=float) for name in ("tried", "holed"))
    lengths = [each.distance_cm for each in shares]
    hit = tried * np.clip(find_make_probability(lengths, sigma_deg=spread.sigma.value), 1e-12, 1 - 1e-12)
    missed = tried - holed
    deviance = 2 * float(np.sum(xlogy(holed, holed / hit) + xlogy(missed, missed / (tried - hit))))
    if chdtrc(len(shares) - 1, deviance) >= _DOUBT:
        return ""
    return (
        "The shares do not fall with distance as the model expects, so the scatter is a rough number. On long putts "
        "speed counts too, and tests on other greens or days may differ."
    )
