"""Marks and numbers that must not flicker."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.live.marks import MARK_S, STICKY_STEPS, SteadyMark, SteadyNumber, mark_of


def test_the_mark_says_what_the_findings_judge():
    assert [mark_of(lies) for lies in ("within", "outside", "unsure", "absent")] == [
        "within", "not_yet", "cannot_tell", "cannot_tell",
    ]  # fmt: skip


def test_a_mark_changes_when_another_has_held_for_its_time_and_not_before():
    mark = SteadyMark()
    assert mark.push("within", time_s=10.0) == "cannot_tell"
    assert mark.push("within", time_s=10.0 + MARK_S - 0.01) == "cannot_tell"
    assert mark.push("within", time_s=10.0 + MARK_S + 1e-9) == "within"


@given(st.floats(0.05, MARK_S - 0.05))
def test_a_mark_that_goes_to_and_fro_faster_than_its_time_never_changes(period_s):
    mark = SteadyMark()
    mark.push("within", time_s=0.0)
    mark.push("within", time_s=1.01 * MARK_S)
    times = (1.01 * MARK_S + (step + 1) * period_s for step in range(40))
    shown = {mark.push("not_yet" if step % 2 else "within", time_s=time_s) for step, time_s in enumerate(times)}
    assert shown == {"within"}


@given(st.floats(-50, 50), st.lists(st.floats(-1, 1), min_size=1, max_size=30))
def test_a_number_stays_while_the_value_moves_by_less_than_three_quarters_of_a_digit(value, noise):
    number = SteadyNumber(1.0)
    first = number.push(value)
    assert abs(first - value) <= 0.5
    shown = {number.push(first + 0.99 * STICKY_STEPS * each) for each in noise}
    assert shown == {first}


def test_a_number_follows_a_value_that_moves_and_is_never_off_by_more_than_its_tolerance():
    number, shown = SteadyNumber(1.0), []
    for step in range(200):
        value = 20 * math.sin(step / 20)
        shown.append(number.push(value))
        assert abs(shown[-1] - value) <= STICKY_STEPS
    assert len(set(shown)) > 30
    assert all(each == pytest.approx(round(each)) for each in shown)
