"""Setups of one session are repeats."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.changes import find_minimal_difference, pool_scatter

SESSIONS = st.lists(st.lists(st.floats(-60, 60), max_size=5), max_size=5)


def test_sessions_of_one_setup_tell_no_scatter() -> None:
    assert pool_scatter([[30.0], [], [41.0]]) is None


def test_scatter_is_about_the_mean_of_each_session_and_not_between_them() -> None:
    found = pool_scatter([[10.0, 12.0], [90.0, 92.0]])
    assert found.sem == pytest.approx(math.sqrt(2.0))
    assert found.degrees_of_freedom == 2
    assert found.minimal_difference == find_minimal_difference(found.sem)


@given(SESSIONS, st.floats(-50, 50))
def test_scatter_does_not_know_where_nought_is(sessions, constant) -> None:
    one = pool_scatter(sessions)
    two = pool_scatter([[value + constant for value in session] for session in sessions])
    assert (one is None) == (two is None)
    if one is not None:
        assert two.sem == pytest.approx(one.sem, abs=1e-6)
        assert two.degrees_of_freedom == one.degrees_of_freedom == sum(max(len(each) - 1, 0) for each in sessions)
