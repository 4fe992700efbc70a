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
