"""Medians of what was seen are NumPy's, to the last bit."""

import warnings

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.values import medians_seen


@given(
    seed=st.integers(0, 999),
    shape=st.sampled_from([(1,), (2,), (7,), (8,), (1, 3), (4, 2), (9, 33, 2), (6, 5, 3, 2)]),
    unseen=st.sampled_from([0.0, 0.3, 0.8, 1.0]),
    last=st.booleans(),
)
def test_medians_seen_are_those_of_numpy(seed, shape, unseen, last):
    generator = np.random.default_rng(seed)
    values = generator.normal(0, 100, shape)
    values[generator.uniform(size=shape) < unseen] = np.nan
    axis = -1 if last else 0
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)
        expected = np.nanmedian(values, axis=axis)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        np.testing.assert_array_equal(medians_seen(values, axis=axis), expected)


@pytest.mark.parametrize("shape", [(0,), (0, 2)])
def test_medians_of_nothing_are_absent(shape):
    assert np.isnan(medians_seen(np.empty(shape))).all()
