import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import lognorm

from putt_posture.fitting.propagation import propagate
from putt_posture.values import Estimate

SAMPLING_TOLERANCE = 0.015
"""Share; 4096 evenly spread points."""

sigmas = st.floats(min_value=0.01, max_value=5)


def cm(value, sigma):
    return Estimate(value=value, standard_uncertainty=sigma, unit="cm")


@given(sigmas, sigmas, sigmas)
def test_a_weighted_sum_adds_in_quadrature(a, b, c):
    # JCGM 100:2008 (GUM), 5.1.2: the law of propagation of uncertainty, exact for a linear formula.
    value, uncertainty = propagate(lambda a, b, c: a + 2 * b - 3 * c, a=cm(1, a), b=cm(2, b), c=cm(3, c))
    assert value == pytest.approx(-4)
    assert uncertainty == pytest.approx(math.hypot(a, 2 * b, 3 * c), rel=SAMPLING_TOLERANCE)


@given(sigmas, sigmas, st.floats(min_value=-0.95, max_value=0.95))
def test_correlated_errors_add_with_their_covariance(a, b, r):
    # JCGM 100:2008 (GUM), 5.2.2: the law of propagation for correlated inputs, exact for a linear formula.
    _, uncertainty = propagate(lambda a, b: a + 2 * b, {("b", "a"): r}, a=cm(1, a), b=cm(2, b))
    expected = math.sqrt(a**2 + 4 * b**2 + 4 * r * a * b)
    assert uncertainty == pytest.approx(expected, rel=SAMPLING_TOLERANCE, abs=SAMPLING_TOLERANCE * math.hypot(a, 2 * b))


def test_correlated_errors_agree_with_chance():
    # Outside check: numpy's multivariate normal, through a formula that is not linear.
    def formula(a, b, c):
        return a / np.sin(np.radians(b)) + c**2 / 50

    correlation = {("a", "b"): -0.48, ("b", "c"): -0.43, ("a", "c"): -0.10}
    value, uncertainty = propagate(formula, correlation, a=cm(70, 2), b=cm(50, 4), c=cm(20, 3))
    matrix = np.array([[1, -0.48, -0.10], [-0.48, 1, -0.43], [-0.10, -0.43, 1]]) * np.outer([2, 4, 3], [2, 4, 3])
    drawn = np.random.default_rng(20).multivariate_normal([70, 50, 20], matrix, size=400_000)
    spread = math.sqrt(np.mean((formula(*drawn.T) - value) ** 2))
    assert uncertainty == pytest.approx(spread, rel=SAMPLING_TOLERANCE)
    assert uncertainty != pytest.approx(propagate(formula, a=cm(70, 2), b=cm(50, 4), c=cm(20, 3))[1], rel=0.1)


def test_a_correlation_with_something_that_is_not_an_input_is_ignored():
    alone = propagate(lambda a: 2 * a, a=cm(1, 1))
    assert propagate(lambda a: 2 * a, {("a", "z"): 0.9}, a=cm(1, 1)) == alone


@pytest.mark.parametrize(
    "impossible", [{("a", "b"): 1.2}, {("a", "b"): 0.9, ("b", "c"): 0.9, ("a", "c"): -0.9}, {("a", "b"): -1.0}]
)
def test_correlations_that_no_errors_can_have_are_refused(impossible):
    with pytest.raises(ValueError, match="positive definite"):
        propagate(lambda a, b, c: a + b + c, impossible, a=cm(1, 1), b=cm(1, 1), c=cm(1, 1))


def test_a_bent_formula_keeps_what_the_bend_adds():
    # exp of a normal is lognormal: root mean square distance from exp(0) by its published mean and variance.
    mean, variance = lognorm.stats(0.5, moments="mv")
    _, uncertainty = propagate(lambda a: np.exp(a), a=cm(0, 0.5))
    assert uncertainty == pytest.approx(math.sqrt(variance + (mean - 1) ** 2), rel=0.03)


def test_the_same_inputs_give_the_same_answer_to_the_last_digit():
    inputs = {"a": cm(70, 1.5), "b": cm(71, 2.0)}
    assert propagate(lambda a, b: a / np.sin(np.radians(b)), **inputs) == propagate(
        lambda a, b: a / np.sin(np.radians(b)), **inputs
    )
