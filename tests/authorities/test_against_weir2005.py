"""Scatter of setups and smallest real change against the arithmetic of reliability studies.

J. P. Weir, "Quantifying test-retest reliability using the intraclass correlation coefficient and the SEM", J. Strength
Cond. Res. 19(1), 2005, 231-240; the abstract was seen, the equations are from memory: SEM = SD √(1 − ICC) = √MS_error,
minimal difference = SEM · 1.96 · √2. The mean squares come from scipy's analysis of variance, another way than that of
the program. The table is worked by hand.
"""

import math

import numpy as np
import pytest
from scipy.stats import f_oneway

from putt_posture.changes import find_changes, find_minimal_difference, find_repeats, pool_scatter
from putt_posture.values import Estimate, Measured

# Spine tilt, degrees, of two setups each of four students. Sums 60, 72, 76, 96; differences 2, −2, 4, 0.
TABLE = np.array([[29.0, 31.0], [37.0, 35.0], [36.0, 40.0], [48.0, 48.0]])
MS_WITHIN = 3.0  # (2² + 2² + 4² + 0²) / 2 over 4 degrees of freedom
MS_BETWEEN = 112.0  # means 30, 36, 38, 48 about 38: (64 + 4 + 0 + 100) · 2 over 3
SAME = 1e-9
"""Both sides are exact but for rounding."""


def test_pooled_scatter_is_the_root_of_the_error_mean_square_worked_by_hand() -> None:
    found = pool_scatter(TABLE.tolist())
    assert found.sem == pytest.approx(math.sqrt(MS_WITHIN), abs=SAME)
    assert found.degrees_of_freedom == 4


def test_pooled_scatter_is_that_of_scipys_analysis_of_variance() -> None:
    # scipy gives the ratio of the mean squares; the one between follows from the means alone.
    ratio = f_oneway(*TABLE).statistic
    between = 2 * np.var(TABLE.mean(axis=1), ddof=1)
    assert between == pytest.approx(MS_BETWEEN, abs=SAME)
    assert pool_scatter(TABLE.tolist()).sem == pytest.approx(math.sqrt(between / ratio), abs=SAME)


def test_sem_is_the_spread_of_people_times_the_root_of_one_less_the_icc() -> None:
    ratio = f_oneway(*TABLE).statistic
    icc = (ratio - 1) / (ratio + 1)  # ICC(1,1) of two trials
    variance = (MS_BETWEEN + MS_WITHIN) / 2  # of single trials, people and error
    assert pool_scatter(TABLE.tolist()).sem == pytest.approx(math.sqrt(variance * (1 - icc)), abs=SAME)


def test_minimal_difference_of_pairs_is_that_of_the_spread_of_their_differences() -> None:
    differences = TABLE[:, 1] - TABLE[:, 0]
    spread = math.sqrt(np.mean(differences**2))  # no learning from the one to the other is taken out
    found = pool_scatter(TABLE.tolist())
    assert found.minimal_difference == pytest.approx(1.96 * spread, rel=1e-4)  # 1.96 is rounded


@pytest.mark.parametrize(("sem", "difference"), [(2.0, 5.5), (1.0, 2.8), (0.0, 0.0), (3.6, 10.0)])
def test_minimal_difference_is_sem_times_1_96_times_root_2(sem, difference) -> None:
    assert find_minimal_difference(sem) == pytest.approx(difference, abs=0.05)


def test_smallest_change_of_single_setups_comes_to_the_minimal_difference_where_the_students_scatter_is_known() -> None:
    # One setup before and one after; what the student scatters is known from many setups of another lesson, so that
    # the judged scatter, which counts for eight, has no weight: below a hundredth.
    def tilt(*setups: float) -> Measured:
        one = Estimate(
            value=setups[0], standard_uncertainty=1e-6, unit="deg", view="down_the_line",
            budget={"scatter of the frames": 1e-6}, repeats=setups,
        )  # fmt: skip
        return Measured(measures={"spine_tilt": one})

    known = (30.0, 30.0 + 4 * math.sqrt(2)) * 2000
    sem = pool_scatter([known]).sem
    found = find_changes(tilt(30.0), tilt(36.0), repeats=find_repeats([tilt(*known)])).measures["spine_tilt"]
    assert found.smallest_alone == pytest.approx(find_minimal_difference(sem), rel=0.01)
