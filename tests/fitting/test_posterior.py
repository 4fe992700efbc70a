"""Joining data with a model, against the worked cases of the normal distribution."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.fitting.body_model.gaussian import Gaussian
from putt_posture.fitting.posterior import Datum, update
from putt_posture.values import Estimate

SIGMA = st.floats(min_value=0.2, max_value=5)


def cm(value, sigma):
    return Estimate(value=value, standard_uncertainty=sigma, unit="cm")


def nothing():
    return Gaussian(names=(), mean=np.zeros(0), covariance=np.zeros((0, 0)))


@given(SIGMA, SIGMA, st.floats(-10, 10))
def test_a_measured_number_is_weighed_by_precision(prior, noise, measured):
    # The mean of two independent normal numbers by their precisions: JCGM 100:2008 (GUM), F.1.2, or any textbook.
    model = nothing().extend({"x": cm(0.0, prior)})
    samples = model.spread()
    posterior = update([Datum(predicted=0.0, samples=samples["x"], measured=measured, standard_uncertainty=noise)])
    weight = prior**2 / (prior**2 + noise**2)
    assert posterior.shift(0.0, samples["x"]) == pytest.approx(weight * measured, abs=1e-9)
    assert posterior.standard_uncertainty(0.0, samples["x"]) == pytest.approx(math.sqrt(1 - weight) * prior, rel=1e-6)


def test_samples_and_matrices_come_to_the_same():
    # The same two data through the covariance itself: conditioning of a normal distribution, exact for sums.
    model = nothing().extend({"a": cm(10.0, 2.0), "b": cm(20.0, 3.0), "c": cm(5.0, 1.0)}, {("a", "b"): -0.5})
    samples, centre = model.spread(), model.centre()
    exact = model.join({"a": 1, "b": 1}, cm(33.0, 0.7)).join({"b": 1, "c": -2}, cm(9.0, 1.1))
    data = [
        Datum(predicted=30.0, samples=samples["a"] + samples["b"], measured=33.0, standard_uncertainty=0.7),
        Datum(predicted=10.0, samples=samples["b"] - 2 * samples["c"], measured=9.0, standard_uncertainty=1.1),
    ]
    posterior = update(data)
    for name in model.names:
        start = float(centre[name])
        assert start + posterior.shift(start, samples[name]) == pytest.approx(exact[name].value, abs=1e-9)
        assert posterior.standard_uncertainty(start, samples[name]) == pytest.approx(
            exact[name].standard_uncertainty, rel=1e-6
        )


def test_two_data_that_share_an_error_count_less_than_two_that_do_not():
    model = nothing().extend({"x": cm(0.0, 3.0), "e": cm(0.0, 1.0), "f": cm(0.0, 1.0)})
    samples = model.spread()

    def left(second):
        data = [
            Datum(predicted=0.0, samples=samples["x"] + samples[error], measured=1.0, standard_uncertainty=0.1)
            for error in ("e", second)
        ]
        return update(data).standard_uncertainty(0.0, samples["x"])

    assert left("e") > left("f") * 1.3


def contradict(measured, *, slip=0.1):
    """Return what a prior of 0 ± 2 and a datum of standard uncertainty 1 come to."""
    samples = nothing().extend({"x": cm(0.0, 2.0)}).spread()["x"]
    posterior = update([Datum(predicted=0.0, samples=samples, measured=measured, standard_uncertainty=1.0, slip=slip)])
    return posterior, posterior.shift(0.0, samples), posterior.standard_uncertainty(0.0, samples)


def test_a_datum_is_put_aside_by_how_likely_it_is_a_slip():
    # Bayes' rule for the contaminated normal of Box and Tiao (1968), the densities by scipy.
    from scipy.stats import norm

    sigma = math.hypot(2.0, 1.0)
    for measured in (0.0, 3.0, 6.0, -9.0):
        posterior, moved, left = contradict(measured)
        right, slip = 0.9 * norm.pdf(measured, 0, sigma), 0.1 * norm.pdf(measured, 0, 3 * sigma)
        aside = slip / (right + slip)
        assert posterior.aside() == pytest.approx([aside])
        assert moved == pytest.approx((1 - aside) * 0.8 * measured)
        within = (1 - aside) * 0.8 + aside * 4.0
        assert left == pytest.approx(math.sqrt(within + aside * (1 - aside) * (0.8 * measured) ** 2), rel=1e-6)


def test_an_outlier_is_found_beyond_two_to_three_standard_uncertainties():
    sigma = math.hypot(2.0, 1.0)
    assert contradict(2.0 * sigma)[0].aside() < 0.25
    assert contradict(3.0 * sigma)[0].aside() > 0.5
    assert contradict(30.0)[1] == pytest.approx(0.0, abs=1e-6)
    assert contradict(30.0)[2] == pytest.approx(2.0, rel=1e-6)


def test_a_datum_that_is_never_or_always_a_slip_counts_in_full_or_not_at_all():
    assert contradict(30.0, slip=0.0)[1] == pytest.approx(0.8 * 30.0)
    posterior, moved, left = contradict(1.0, slip=1.0)
    assert (moved, left) == (0.0, pytest.approx(2.0, rel=1e-6))
    assert posterior.against_the_rest(0) == pytest.approx((1.0, math.hypot(2.0, 1.0)))


def test_of_three_data_the_one_that_contradicts_the_others_is_put_aside():
    model = nothing().extend({"x": cm(0.0, 5.0)})
    samples = model.spread()["x"]
    data = [
        Datum(predicted=0.0, samples=samples, measured=each, standard_uncertainty=1.0, slip=0.1)
        for each in (6.0, 6.5, -2.0)
    ]
    posterior = update(data)
    assert posterior.aside()[:2].max() < 0.1
    assert posterior.aside()[2] > 0.9
    gap, sd = posterior.against_the_rest(2)
    assert gap == pytest.approx(-2.0 - 6.25 * 50 / 51)
    assert sd == pytest.approx(math.sqrt(1 + 25 / 51))


def test_a_bounded_datum_moves_a_mean_no_further_and_widens_it():
    # Huber's bound: up to it Bayes' rule as it is, beyond it the mean stays.
    known = nothing().extend({"x": cm(0.0, 2.0)})
    sigma = math.hypot(2.0, 1.0)
    inside, at, beyond = (
        known.join({"x": 1}, cm(measured, 1.0), most=2.5)["x"] for measured in (2.0, 2.5 * sigma, 4.0 * sigma)
    )
    assert inside == known.join({"x": 1}, cm(2.0, 1.0))["x"]
    assert beyond.value == pytest.approx(at.value) == pytest.approx(0.8 * 2.5 * sigma)
    assert beyond.standard_uncertainty == pytest.approx(math.hypot(at.standard_uncertainty, 0.8 * 1.5 * sigma))


def test_without_data_the_model_stays_as_it_is():
    model = nothing().extend({"x": cm(4.0, 2.0)})
    posterior = update([])
    assert posterior.shift(4.0, model.spread()["x"]) == 0.0
    assert posterior.standard_uncertainty(4.0, model.spread()["x"]) == pytest.approx(2.0)
    assert posterior.surprise().size == 0


def test_samples_keep_means_and_covariances_to_the_last_digit():
    model = nothing().extend({f"x{n}": cm(float(n), 1.0 + n) for n in range(35)}, {("x3", "x4"): 0.6})
    samples = np.column_stack(list(model.spread().values()))
    assert samples.mean(axis=0) == pytest.approx(model.mean, abs=1e-9)
    assert np.cov(samples.T, bias=True) == pytest.approx(model.covariance, abs=1e-8)


def test_a_sum_of_something_unknown_is_refused():
    with pytest.raises(KeyError, match="leg"):
        nothing().extend({"arm": cm(60.0, 2.0)}).join({"leg": 1}, cm(80.0, 1.0))
