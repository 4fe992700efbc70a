"""How the scatter of start lines changed between two practice tests."""

import math

from putt_posture.values import PracticeResult, SpreadChange

__all__ = ["compare_spreads"]


def compare_spreads(earlier: PracticeResult, later: PracticeResult) -> SpreadChange:
    """Find the change of the scatter with its 95 % interval.

    The interval of the difference is made of the two profile intervals, each end of it from the ends that work the same
    way, in quadrature (G. Y. Zou and A. Donner, "Construction of confidence limits about effect measures: a general
    approach", *Statistics in Medicine* 27, 2008). It leans as the two lean, and takes the tests as independent.

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
