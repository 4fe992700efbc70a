"""Setups of one session are repeats."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.changes import JUDGED_FREEDOM, find_minimal_difference, join_judged, pool_scatter

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


def test_without_setups_of_their_own_the_judged_scatter_is_all_there_is() -> None:
    found = join_judged(None, judged=2.0)
    assert (found.sem, found.degrees_of_freedom) == (2.0, JUDGED_FREEDOM)


@given(st.lists(st.floats(-60, 60), min_size=2, max_size=40), st.floats(0.1, 5.0))
def test_the_joined_scatter_lies_between_and_nearer_to_what_is_told_by_more(values, judged) -> None:
    own = pool_scatter([values])
    found = join_judged(own, judged=judged)
    assert min(own.sem, judged) - 1e-9 <= found.sem <= max(own.sem, judged) + 1e-9
    weight = (found.sem**2 - judged**2) * found.degrees_of_freedom
    assert weight == pytest.approx((own.sem**2 - judged**2) * own.degrees_of_freedom, abs=1e-6)
