"""Putts that were counted, kept and given back."""

from datetime import date

import pytest
from filed import TODAY

from putt_posture.archive import add_practice_test, load_history
from putt_posture.errors import UsageError
from putt_posture.values import PuttCount


def test_practice_tests_come_in_the_order_of_time_and_their_putts_by_distance(archive, player):
    for month in (6, 3):
        counts = [PuttCount(distance_cm=100.0 * month, tried=5, holed=2), PuttCount(distance_cm=90.0, tried=3, holed=3)]
        add_practice_test(archive, player, day=date(2026, month, 1), counts=counts, today=TODAY)
    history = load_history(archive, player, today=TODAY)
    assert [test.day.month for test in history.practice] == [3, 6]
    assert [count.distance_cm for count in history.practice[0].counts] == [90.0, 300.0]


def test_putts_of_one_length_are_added_up(archive, player):
    counts = [PuttCount(distance_cm=100.0, tried=5, holed=2), PuttCount(distance_cm=100.0, tried=3, holed=3)]
    add_practice_test(archive, player, day=TODAY, counts=counts, today=TODAY)
    (test,) = load_history(archive, player, today=TODAY).practice
    assert test.counts == (PuttCount(distance_cm=100.0, tried=8, holed=5),)


@pytest.mark.parametrize(
    ("count", "says"),
    [
        (PuttCount(distance_cm=9e9, tried=5, holed=2), "is not possible"),
        (PuttCount(distance_cm=100.0, tried=2, holed=5), "5 putts holed of 2 tried"),
        (PuttCount(distance_cm=100.0, tried=0, holed=0), "0 putts holed of 0 tried"),
    ],
)
def test_putts_that_cannot_be_are_refused(archive, player, count, says):
    with pytest.raises(UsageError, match=says):
        add_practice_test(archive, player, day=TODAY, counts=[count], today=TODAY)
    assert load_history(archive, player, today=TODAY).practice == ()
