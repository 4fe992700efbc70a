"""Short and long putts of practice tests beside those of professionals."""

from datetime import date

import pytest

from putt_posture.practice import LEAST_PUTTS, LONG_FROM_CM, SHORT_TO_CM, find_ranges, load_yardsticks
from putt_posture.values import PracticeTest, PuttCount


def practice(*counts, day=date(2026, 3, 1)):
    return PracticeTest(
        day=day, counts=tuple(PuttCount(distance_cm=cm, tried=tried, holed=holed) for cm, tried, holed in counts)
    )


def test_the_interval_is_wilsons() -> None:
    """10 of 20 is 30 to 70 %, Wilson 1927 as the plan prints it."""
    (short,) = find_ranges(practice((150.0, 20, 10))).ranges
    assert (round(short.low, 2), round(short.high, 2)) == (0.30, 0.70)


def test_putts_between_short_and_long_count_for_neither() -> None:
    assert find_ranges(practice((SHORT_TO_CM + 1, 50, 0), (LONG_FROM_CM - 1, 50, 0))) is None


def test_too_few_putts_say_nothing() -> None:
    assert find_ranges(practice((100.0, LEAST_PUTTS - 1, 0))) is None
    assert find_ranges() is None


def test_lengths_and_tests_are_added_up() -> None:
    one, two = practice((90.0, 6, 5), (610.0, 12, 1)), practice((150.0, 6, 2), day=date(2026, 3, 8))
    found = find_ranges(one, two)
    assert (found.tests, found.first, found.last) == (2, one.day, two.day)
    short, far = found.ranges
    assert (short.putts, short.tried, short.holed, short.least_cm, short.most_cm) == ("short", 12, 7, 90.0, 150.0)
    assert (far.putts, far.tried, far.holed) == ("long", 12, 1)


def test_what_professionals_hole_is_from_the_same_lengths() -> None:
    published = load_yardsticks()[1].counts
    near = [count for count in published if count.distance_cm <= SHORT_TO_CM][-2:]
    shares = [count.holed / count.tried for count in near]
    tried = [(near[0].distance_cm, 10, 0), (near[1].distance_cm, 20, 0)]
    (short,) = find_ranges(practice(*tried)).ranges
    assert short.usual == pytest.approx((shares[0] + 2 * shares[1]) / 3, abs=1e-4)  # lengths are kept to 0.1 mm


@pytest.mark.parametrize(("holed", "weak"), [(6, True), (10, False), (12, False)])
def test_putts_are_weak_where_professionals_lie_above_the_interval(holed, weak) -> None:
    (short,) = find_ranges(practice((90.0, 6, holed // 2), (150.0, 6, holed // 2))).ranges
    assert short.is_weak is weak


def test_professionals_themselves_are_not_weak() -> None:
    counts = tuple(count for count in load_yardsticks()[1].counts if count.distance_cm > 30)  # shorter is no putt
    ranges = find_ranges(PracticeTest(day=date(2018, 1, 1), counts=counts)).ranges
    assert not any(each.is_weak for each in ranges)
