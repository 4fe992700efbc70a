"""Practice tests: what is holed, what it tells of the start lines, and what cannot be told."""

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.errors import UsageError
from putt_posture.practice import LEAST_PUTTS, compare_spreads, load_yardsticks, read_practice
from putt_posture.setup_arc import find_make_probability
from putt_posture.values import PracticeTest, PuttCount

DAY = date(2026, 3, 1)


def practice(*counts, day=DAY):
    return PracticeTest(
        day=day, counts=tuple(PuttCount(distance_cm=cm, tried=tried, holed=holed) for cm, tried, holed in counts)
    )


USUAL = practice((91.4, 20, 19), (182.9, 20, 12), (304.8, 20, 5))


def counts_of():
    putts = st.tuples(st.sampled_from([91.4, 152.4, 182.9, 304.8, 457.2]), st.integers(1, 30))
    return putts.flatmap(lambda pair: st.tuples(st.just(pair[0]), st.just(pair[1]), st.integers(0, pair[1])))


tests = st.lists(
    st.lists(counts_of(), min_size=1, max_size=4).map(lambda rows: practice(*rows)), min_size=1, max_size=5
)


@given(tests, st.randoms())
def test_the_order_of_tests_and_counts_does_not_matter(given_tests, chance):
    shuffled = list(given_tests)
    chance.shuffle(shuffled)
    turned = [PracticeTest(day=test.day, counts=test.counts[::-1]) for test in shuffled]
    assert read_practice(*turned) == read_practice(*given_tests)


@given(tests)
def test_two_counts_of_one_length_are_their_sum(given_tests):
    apart = read_practice(*given_tests)
    summed = practice(*((each.distance_cm, each.tried, each.holed) for each in apart.shares))
    together = read_practice(summed)
    assert together.shares == apart.shares
    assert together.spread == apart.spread
    assert (together.tried, together.holed) == (
        sum(count.tried for test in given_tests for count in test.counts),
        sum(count.holed for test in given_tests for count in test.counts),
    )


@given(tests)
def test_there_is_a_spread_or_a_reason_but_never_both(given_tests):
    found = read_practice(*given_tests)
    assert (found.spread is None) == bool(found.why_not)
    for each in found.shares:
        assert 0 <= each.low <= each.share <= each.high <= 1
        assert each.low < each.high
    if found.spread is not None:
        assert found.spread.low_deg <= found.spread.sigma.value <= found.spread.high_deg


def test_lengths_a_hair_apart_are_one_length():
    found = read_practice(practice((304.80, 10, 4), (304.803, 10, 6)))
    assert [(each.distance_cm, each.tried, each.holed) for each in found.shares] == [(304.8, 20, 10)]


def test_days_of_pooled_tests_are_the_first_and_the_last():
    later = practice((182.9, 5, 2), day=DAY + timedelta(days=40))
    found = read_practice(later, USUAL)
    assert (found.tests, found.first, found.last) == (2, DAY, DAY + timedelta(days=40))


@pytest.mark.parametrize(
    ("counts", "says"),
    [
        ([(182.9, 12, 12)], "All 12 putts were holed"),
        ([(182.9, 12, 0)], "None of 12 putts was holed"),
        ([(182.9, LEAST_PUTTS - 1, 4)], f"{LEAST_PUTTS - 1} putts are too few"),
        ([(30.0, 400, 8)], "fit no scatter"),
    ],
)
def test_where_no_scatter_can_be_told_the_reason_is_said(counts, says):
    found = read_practice(practice(*counts))
    assert found.spread is None
    assert says in found.why_not
    assert found.shares[0].tried == counts[0][1]


def test_lengths_that_nobody_tried_are_left_out():
    assert len(read_practice(practice((182.9, 12, 6), (304.8, 0, 0))).shares) == 1


@pytest.mark.parametrize(
    ("given_tests", "says"),
    [
        ([], "No putts were given"),
        ([practice()], "No putts were given"),
        ([practice((182.9, 0, 0))], "No putts were given"),
        ([practice((182.9, 5, 6))], "6 putts holed of 5"),
        ([practice((2.0, 5, 3))], "A putt of 2 cm"),
    ],
)
def test_counts_that_cannot_be_are_refused(given_tests, says):
    with pytest.raises(UsageError, match=says):
        read_practice(*given_tests)


def test_counts_that_fall_as_the_model_has_it_are_no_misfit():
    assert read_practice(USUAL).misfit == ""


def test_counts_that_rise_with_distance_are_said_to_be_a_misfit():
    found = read_practice(practice((91.4, 20, 5), (304.8, 20, 19)))
    assert "do not fall with distance" in found.misfit


def test_a_clear_improvement_is_a_change_and_its_sign_is_less_scatter():
    better = practice((91.4, 60, 60), (182.9, 60, 55), (304.8, 60, 38))
    worse = practice((91.4, 60, 50), (182.9, 60, 25), (304.8, 60, 10))
    change = compare_spreads(read_practice(worse), read_practice(better))
    assert change.real
    assert change.high_deg < 0
    back = compare_spreads(read_practice(better), read_practice(worse))
    assert (back.change_deg, back.low_deg, back.high_deg) == pytest.approx(
        (-change.change_deg, -change.high_deg, -change.low_deg)
    )


def test_two_alike_tests_show_no_change():
    change = compare_spreads(read_practice(USUAL), read_practice(USUAL))
    assert change
    assert change.change_deg == 0
    assert not change.real


@pytest.mark.parametrize(
    ("earlier", "later", "says"),
    [(False, True, "The earlier test is"), (True, False, "The later test is"), (False, False, "Both tests are")],
)
def test_without_a_scatter_no_change_can_be_told(earlier, later, says):
    none = practice((182.9, 12, 12))
    change = compare_spreads(*(read_practice(USUAL if has else none) for has in (earlier, later)))
    assert not change
    assert not change.real
    assert change.why_not == f"{says} without a scatter."


def test_yardsticks_say_whose_putts_they_are_and_where_they_were_published():
    berry, broadie = load_yardsticks()
    for each in (berry, broadie):
        assert "professional golfers" in each.who
        assert each.source
        assert list(each.counts) == sorted(each.counts, key=lambda count: count.distance_cm)
    assert sum(count.tried for count in broadie.counts) > 1_000_000
    assert (berry.modelled, broadie.modelled) == (True, False)


def test_the_interval_of_a_change_holds_it_about_nineteen_times_out_of_twenty():
    feet, drawn, held, real = [4, 8, 14], np.random.default_rng(11), 0, 0
    lengths = [each * 30.48 for each in feet]
    for _ in range(300):
        results = []
        for sigma in (2.2, 1.9):
            holed = drawn.binomial(30, find_make_probability(lengths, sigma_deg=sigma))
            counts = [(cm, 30, int(each)) for cm, each in zip(lengths, holed, strict=True)]
            results.append(read_practice(practice(*counts)))
        change = compare_spreads(*results)
        held += change.low_deg <= 1.9 - 2.2 <= change.high_deg
        real += change.real
    # Binomial, 300 trials of 0.95: four standard deviations are 0.05.
    assert held / 300 == pytest.approx(0.95, abs=0.05)
    assert 0 < real < 150
