"""The golfers with a planted fault that are kept: what is true of them, and what is found first."""

from collections import Counter

import pytest
from planted import FIRST_FOR_CHECKING, PLANTED_AS, read_planted
from study_planted import NONE, outside_in_truth, planted_excess, rows_of

LEAST_OF_A_FAULT = 4
LEAST_FIRST = 0.0
MOST_FALSE = 1.0


@pytest.fixture(scope="module")
def golfers():
    return read_planted()


@pytest.fixture(scope="module")
def rows(golfers):
    return rows_of(golfers)


def test_every_fault_is_there_in_both_hands_and_in_children(golfers):
    assert all(golfer.seed >= FIRST_FOR_CHECKING for golfer in golfers)
    count = Counter(golfer.fault for golfer in golfers)
    assert set(count) == {*PLANTED_AS, NONE}
    assert min(count.values()) >= LEAST_OF_A_FAULT
    assert {golfer.student.handed for golfer in golfers} == {"left", "right"}
    assert any(golfer.student.stature_cm <= 150 for golfer in golfers)


def test_a_planted_fault_is_outside_its_band_in_truth(golfers):
    measured = [golfer for golfer in golfers if golfer.fault != NONE and golfer.posture is not None]
    assert all(PLANTED_AS[golfer.fault] in outside_in_truth(golfer) for golfer in measured)
    assert all(planted_excess(golfer)[0] > 0 for golfer in measured)
