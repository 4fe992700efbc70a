"""How much start lines scatter, from putts tried and holed."""

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from scipy.optimize import brentq, minimize_scalar
from scipy.special import chdtri, log_ndtr, ndtr

from putt_posture.errors import UsageError
from putt_posture.setup_arc.hole import check_putt, find_threshold_angle
from putt_posture.values import Estimate, StartLineSpread

__all__ = ["SIGMA_RANGE_DEG", "check_counts", "fit_start_line_spread"]

SIGMA_RANGE_DEG: Final = (0.01, 60.0)
"""From steadier than any machine to no aim at all."""
_DROP: Final = float(chdtri(1, 0.05)) / 2
"""How far the log-likelihood falls at the ends of a 95 % profile interval."""


def fit_start_line_spread(putts_cm: Sequence[float], *, tried: Sequence[int], holed: Sequence[int]) -> StartLineSpread:
    """Fit the scatter of start lines to counts by maximum likelihood.

    The model is that of `find_make_probability`.

    Parameters
    ----------
    putts_cm : sequence of float
        Lengths of putt.
    tried, holed : sequence of int
        Putts of each length, as many as lengths.

    Returns
    -------
    StartLineSpread
        The standard uncertainty is from the curvature of the log-likelihood, the interval from its profile.

    Raises
    ------
    UsageError
        If the counts are impossible, or all putts were holed or all missed, so that no scatter fits best.
    """
    check_counts(putts_cm, tried=tried, holed=holed)
    if sum(holed) in (0, sum(tried)):
        raise UsageError(
            f"{sum(holed)} of {sum(tried)} putts were holed; some holed and some missed are needed to find the scatter."
        )
    lengths, tries, successes = (np.array(each, dtype=float) for each in (putts_cm, tried, holed))
    threshold = find_threshold_angle(lengths)

    def loss(log_sigma: float) -> float:
        # From the tail, so that no logarithm of 0 is taken.
        off = -threshold / math.exp(log_sigma)
        missed = math.log(2) + log_ndtr(off)
        return -float(np.sum(successes * np.log1p(-2 * ndtr(off)) + (tries - successes) * missed))

    low, high = (math.log(end) for end in SIGMA_RANGE_DEG)
    best = minimize_scalar(loss, bounds=(low, high), method="bounded", options={"xatol": 1e-9})
    middle, least = float(best.x), float(best.fun)
    ends = []
    for end in (low, high):
        inside = loss(end) - least - _DROP
        ends.append(end if inside <= 0 else float(brentq(lambda log: loss(log) - least - _DROP, end, middle)))
    step = 1e-3
    curvature = (loss(middle + step) - 2 * least + loss(middle - step)) / step**2
    sigma = math.exp(middle)
    return StartLineSpread(
        sigma=Estimate(
            value=sigma,
            standard_uncertainty=sigma / math.sqrt(curvature),
            unit="deg",
            method="maximum likelihood, angle alone",
            floor=0.0,
        ),
        low_deg=math.exp(ends[0]),
        high_deg=math.exp(ends[1]),
        tried=int(tries.sum()),
        holed=int(successes.sum()),
    )


def check_counts(putts_cm: Sequence[float], *, tried: Sequence[int], holed: Sequence[int]) -> None:
    """Check that counts of putts are possible.

    Parameters
    ----------
    putts_cm : sequence of float
        Lengths of putt, cm.
    tried : sequence of int
        Putts tried from each length.
    holed : sequence of int
        Putts holed from each length.

    Raises
    ------
    UsageError
        If there are not as many counts as lengths, a length is not possible for a putt, or more were holed than tried.
    """
    if not len(putts_cm) == len(tried) == len(holed) > 0:
        raise UsageError(
            f"{len(putts_cm)} lengths, {len(tried)} counts of putts tried and {len(holed)} of putts holed were given; "
            "one of each is needed for every length."
        )
    for putt, tries, successes in zip(putts_cm, tried, holed, strict=True):
        check_putt(putt)
        if not 0 <= successes <= tries:
            raise UsageError(
                f"{successes} putts holed of {tries} tried from {putt:g} cm is not possible; check the counts."
            )
