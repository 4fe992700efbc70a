"""Joining data with a model, against the worked cases of the normal distribution."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.fitting.body_model.gaussian import Gaussian
from putt_posture.fitting.learning import Datum, learn
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
    learned = learn([Datum(predicted=0.0, samples=samples["x"], measured=measured, standard_uncertainty=noise)])
    weight = prior**2 / (prior**2 + noise**2)
    assert learned.shift(0.0, samples["x"]) == pytest.approx(weight * measured, abs=1e-9)
    assert learned.standard_uncertainty(0.0, samples["x"]) == pytest.approx(math.sqrt(1 - weight) * prior, rel=1e-6)


def test_samples_and_matrices_come_to_the_same():
    # The same two data through the covariance itself: conditioning of a normal distribution, exact for sums.
    model = nothing().extend({"a": cm(10.0, 2.0), "b": cm(20.0, 3.0), "c": cm(5.0, 1.0)}, {("a", "b"): -0.5})
    samples, centre = model.spread(), model.centre()
    exact = model.join({"a": 1, "b": 1}, cm(33.0, 0.7)).join({"b": 1, "c": -2}, cm(9.0, 1.1))
    data = [
        Datum(predicted=30.0, samples=samples["a"] + samples["b"], measured=33.0, standard_uncertainty=0.7),
        Datum(predicted=10.0, samples=samples["b"] - 2 * samples["c"], measured=9.0, standard_uncertainty=1.1),
    ]
    learned = learn(data)
    for name in model.names:
        start = float(centre[name])
        assert start + learned.shift(start, samples[name]) == pytest.approx(exact[name].value, abs=1e-9)
        assert learned.standard_uncertainty(start, samples[name]) == pytest.approx(
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
        return learn(data).standard_uncertainty(0.0, samples["x"])

    assert left("e") > left("f") * 1.3


def test_without_data_the_model_stays_as_it_is():
    model = nothing().extend({"x": cm(4.0, 2.0)})
    learned = learn([])
    assert learned.shift(4.0, model.spread()["x"]) == 0.0
    assert learned.standard_uncertainty(4.0, model.spread()["x"]) == pytest.approx(2.0)
    assert learned.surprise().size == 0


def test_samples_keep_means_and_covariances_to_the_last_digit():
    model = nothing().extend({f"x{n}": cm(float(n), 1.0 + n) for n in range(35)}, {("x3", "x4"): 0.6})
    samples = np.column_stack(list(model.spread().values()))
    assert samples.mean(axis=0) == pytest.approx(model.mean, abs=1e-9)
    assert np.cov(samples.T, bias=True) == pytest.approx(model.covariance, abs=1e-8)


def test_a_sum_of_something_unknown_is_refused():
    with pytest.raises(KeyError, match="leg"):
        nothing().extend({"arm": cm(60.0, 2.0)}).join({"leg": 1}, cm(80.0, 1.0))
