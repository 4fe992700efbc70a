"""Shares holed and the scatter of start lines against statsmodels, a general-purpose library of statistics.

The scatter is a generalised linear model in disguise. From p = 2 Φ(t / σ) − 1, with t the angle within which the putt
falls, follows Φ⁻¹((1 + p) / 2) = t / σ: a binomial regression on t alone, without intercept, whose slope is 1 / σ.
"""

import csv
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from scipy import stats
from scipy.optimize import minimize
from scipy.special import ndtr, xlog1py, xlogy
from statsmodels.genmod import families
from statsmodels.genmod.families import links
from statsmodels.genmod.generalized_linear_model import GLM
from statsmodels.stats.proportion import proportion_confint

from putt_posture.practice import compare_spreads, load_yardsticks, read_practice
from putt_posture.setup_arc import fit_start_line_spread
from putt_posture.setup_arc.hole import find_threshold_angle
from putt_posture.values import PracticeTest, PuttCount

FOOT_CM = 30.48
SAME_INTERVAL = 1e-9
"""The same closed formula."""
SAME_FIT = 1e-5
"""Two optimisers on one smooth function: the loss is known to about 1e-16 of itself, its place to the root of that."""
SAME_UNCERTAINTY = 0.06
"""Observed curvature in log σ here, expected information there: they differ as the counts differ from the model."""
PROFILE_DEG = 0.06
"""Zou and Donner's interval is an approximation of the profile's; here up to 0.04 off."""
UNLISTED = "The HoledLink link function does not respect the domain"
"""statsmodels says so of every link that is not on its own list."""


class HoledLink(links.Link):
    """Φ⁻¹((1 + p) / 2), with its inverse and derivatives."""

    def __call__(self, p):
        return stats.norm.ppf((1 + p) / 2)

    def inverse(self, z):
        return 2 * stats.norm.cdf(z) - 1

    def deriv(self, p):
        return 0.5 / stats.norm.pdf(self(p))

    def deriv2(self, p):
        z = self(p)
        return 0.25 * z / stats.norm.pdf(z) ** 2


COUNTS = [
    [(3, 20, 19), (6, 20, 12), (10, 20, 5)],
    [(4, 60, 55), (8, 60, 30), (15, 60, 9), (20, 40, 4)],
    [(6, 30, 11), (12, 30, 2)],
]


def practice_test_of(rows):
    counts = tuple(PuttCount(distance_cm=feet * FOOT_CM, tried=tried, holed=holed) for feet, tried, holed in rows)
    return PracticeTest(day=date(2026, 3, 1), counts=counts)


def regression(rows):
    feet, tried, holed = (np.array(each, dtype=float) for each in zip(*rows, strict=True))
    angle = find_threshold_angle(feet * FOOT_CM)
    family = families.Binomial(link=HoledLink(), check_link=False)
    start = [1 / 2.0]
    fitted = GLM(np.column_stack([holed, tried - holed]), angle[:, None], family=family).fit(
        start_params=start, tol=1e-12
    )
    slope, error = float(fitted.params[0]), float(fitted.bse[0])
    return 1 / slope, error / slope**2


@pytest.mark.parametrize(("tried", "holed"), [(1, 0), (1, 1), (10, 3), (20, 20), (45, 44), (1443, 1346)])
def test_the_interval_of_a_share_is_that_of_statsmodels(tried, holed):
    found = read_practice(practice_test_of([(6, tried, holed)])).shares[0]
    low, high = proportion_confint(holed, tried, alpha=0.05, method="wilson")
    assert (found.low, found.high) == pytest.approx((low, high), abs=SAME_INTERVAL)


@pytest.mark.filterwarnings(f"ignore:{UNLISTED}")
@pytest.mark.parametrize("rows", COUNTS)
def test_the_scatter_is_that_of_a_binomial_regression(rows):
    found = read_practice(practice_test_of(rows)).spread.sigma
    sigma, error = regression(rows)
    assert found.value == pytest.approx(sigma, rel=SAME_FIT)
    assert found.standard_uncertainty == pytest.approx(error, rel=SAME_UNCERTAINTY)


@pytest.mark.filterwarnings(f"ignore:{UNLISTED}")
def test_the_scatter_on_berrys_table_is_that_of_a_binomial_regression():
    rows = [(count.distance_cm / FOOT_CM, count.tried, count.holed) for count in load_yardsticks()[0].counts]
    found = read_practice(practice_test_of(rows)).spread.sigma
    sigma, error = regression(rows)
    assert found.value == pytest.approx(sigma, rel=SAME_FIT)
    assert found.standard_uncertainty == pytest.approx(error, rel=SAME_UNCERTAINTY)


def test_the_interval_of_a_change_is_close_to_the_profile_of_the_joint_likelihood():
    one, two = COUNTS[1], [(4, 60, 58), (8, 60, 41), (15, 60, 20), (20, 40, 9)]
    change = compare_spreads(read_practice(practice_test_of(one)), read_practice(practice_test_of(two)))

    def loss_of(rows):
        feet, tried, holed = (np.array(each, dtype=float) for each in zip(*rows, strict=True))
        angle = find_threshold_angle(feet * FOOT_CM)

        def loss(sigma):  # without the binomial coefficients, which are the same for every scatter
            chance = 2 * ndtr(angle / sigma) - 1
            return -float(np.sum(xlogy(holed, chance) + xlog1py(tried - holed, -chance)))

        return loss

    first, second = loss_of(one), loss_of(two)

    def profile(difference):
        best = minimize(lambda sigma: first(sigma[0]) + second(sigma[0] + difference), x0=[2.0],
                        bounds=[(max(0.2, 0.2 - difference), 10.0)])  # fmt: skip
        return float(best.fun)

    grid = np.arange(-2.0, 1.0, 0.005)
    losses = np.array([profile(each) for each in grid])
    inside = grid[losses <= losses.min() + stats.chi2.ppf(0.95, 1) / 2]
    assert change.change_deg == pytest.approx(grid[losses.argmin()], abs=0.005)
    assert (change.low_deg, change.high_deg) == pytest.approx((inside[0], inside[-1]), abs=PROFILE_DEG)


@pytest.mark.parametrize(("place", "name"), [(0, "putting_berry1995.csv"), (1, "putting_broadie2018.csv")])
def test_the_shipped_putts_are_those_of_the_outside_tables(place, name):
    with (Path(__file__).parent / name).open(encoding="utf-8") as lines:
        outside = [
            (float(row["distance_ft"]), int(row["tries"]), int(row["successes"])) for row in csv.DictReader(lines)
        ]
    shipped = load_yardsticks()[place].counts
    assert [(count.tried, count.holed) for count in shipped] == [row[1:] for row in outside]
    assert [count.distance_cm / FOOT_CM for count in shipped] == pytest.approx([row[0] for row in outside])
    assert len(outside) > 10


def test_a_grid_by_hand_finds_the_same_scatter():
    rows = COUNTS[0]
    angle = np.degrees(np.arcsin((10.8 - 4.267) / 2 / (np.array([3, 6, 10]) * FOOT_CM)))
    sigma = np.arange(0.5, 4.0, 0.001)[:, None]
    chance = 2 * stats.norm.cdf(angle / sigma) - 1
    tried, holed = (np.array([row[place] for row in rows]) for place in (1, 2))
    likelihood = (holed * np.log(chance) + (tried - holed) * np.log(1 - chance)).sum(axis=1)
    inside = sigma[likelihood >= likelihood.max() - 3.841 / 2, 0]
    found = fit_start_line_spread([row[0] * FOOT_CM for row in rows], tried=tried.tolist(), holed=holed.tolist())
    assert found.sigma.value == pytest.approx(sigma[likelihood.argmax(), 0], abs=0.001)
    assert (found.low_deg, found.high_deg) == pytest.approx((inside[0], inside[-1]), abs=0.002)
