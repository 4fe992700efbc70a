import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.errors import UsageError
from putt_posture.setup_arc import find_make_probability, fit_start_line_spread

putts = st.floats(min_value=30, max_value=3000)
sigmas = st.floats(min_value=0.2, max_value=20)


@given(putts, putts, sigmas)
def test_a_longer_putt_is_holed_no_more_often(one, two, sigma):
    near, far = sorted((one, two))
    chances = find_make_probability([near, far], sigma_deg=sigma)
    assert 1 >= chances[0] >= chances[1] > 0


@given(putts, sigmas, st.floats(min_value=1.01, max_value=5))
def test_more_scatter_holes_no_more_putts(putt, sigma, times):
    assert find_make_probability(putt, sigma_deg=times * sigma) <= find_make_probability(putt, sigma_deg=sigma)


def test_a_putt_that_starts_in_the_hole_is_holed():
    assert find_make_probability(1.0, sigma_deg=1.0) == pytest.approx(1.0)


@given(st.floats(min_value=0.5, max_value=10))
def test_counts_as_the_model_expects_them_give_its_scatter_back(sigma):
    lengths = [60.0, 150.0, 300.0, 600.0]
    holed = np.rint(1_000_000 * find_make_probability(lengths, sigma_deg=sigma)).astype(int)
    found = fit_start_line_spread(lengths, tried=[1_000_000] * 4, holed=holed.tolist())
    assert found.sigma.value == pytest.approx(sigma, rel=1e-3)
    assert found.low_deg < sigma < found.high_deg


def test_the_interval_holds_the_scatter_about_nineteen_times_out_of_twenty():
    chance, drawn = find_make_probability([150.0, 300.0], sigma_deg=2.0), np.random.default_rng(7)
    held = 0
    for _ in range(300):
        holed = drawn.binomial(40, chance)
        found = fit_start_line_spread([150.0, 300.0], tried=[40, 40], holed=holed.tolist())
        held += found.low_deg <= 2.0 <= found.high_deg
    # Binomial, 300 trials of 0.95: four standard deviations are 0.05.
    assert held / 300 == pytest.approx(0.95, abs=0.05)


def test_few_putts_make_a_wide_interval_that_leans_upward():
    found = fit_start_line_spread([300.0], tried=[10], holed=[3])
    assert found.high_deg - found.sigma.value > found.sigma.value - found.low_deg > 0
    assert (found.tried, found.holed) == (10, 3)


@pytest.mark.parametrize(
    ("tried", "holed", "says"),
    [
        ([10, 10], [10, 10], "some holed and some missed"),
        ([10, 10], [0, 0], "some holed and some missed"),
        ([10, 10], [11, 2], "11 putts holed of 10"),
        ([10, 10], [-1, 2], "-1 putts holed"),
        ([10], [2], "one of each is needed"),
    ],
)
def test_counts_that_cannot_be_are_refused_with_one_sentence(tried, holed, says):
    with pytest.raises(UsageError, match=says):
        fit_start_line_spread([150.0, 300.0], tried=tried, holed=holed)
