"""A change is after minus before, less sure than either by what they do not share."""

import math

import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st
from measured_twice import STUDENT, measured, number

from putt_posture.changes import JOINTS_SHARED, SCALE_SHARED, find_changes
from putt_posture.values import MEASURES, absent

VALUES = st.floats(-60, 60)
SIZES = st.floats(0, 12)
BUDGETS = st.fixed_dictionaries(
    {"joints": SIZES, "measure itself": SIZES, "scale": SIZES, "scatter of the frames": SIZES},
    optional={"camera roll": SIZES, "ball found in the picture": SIZES},
)
REPEATS = st.lists(VALUES, max_size=4).map(tuple)
NUMBERS = st.builds(
    lambda value, budget, repeats: number("hand_offset", value, budget=budget, repeats=repeats),
    VALUES, BUDGETS, REPEATS,
)  # fmt: skip


def change(one, two, name="hand_offset", **more):
    return find_changes(measured(**{name: one}, **more), measured(**{name: two}, **more)).measures[name]


def test_without_a_budget_the_two_errors_add_in_quadrature() -> None:
    found = change(number("hand_offset", 9.0, 1.5), number("hand_offset", 3.0, 2.0))
    assert found.change.value == -6.0
    assert found.change.standard_uncertainty == pytest.approx(2.5)
    assert found.smallest_real == pytest.approx(4.899910, abs=1e-6)  # 1.959964 · 2.5
    assert found.real


def test_a_change_just_within_the_noise_is_none() -> None:
    assert not change(number("hand_offset", 0.0, 1.5), number("hand_offset", 4.89, 2.0)).real
    assert change(number("hand_offset", 0.0, 1.5), number("hand_offset", 4.91, 2.0)).real


def test_the_shared_part_of_the_joints_is_left_out() -> None:
    found = change(number("hand_offset", 9.0, budget={"joints": 2.0}), number("hand_offset", 3.0, budget={"joints": 1}))
    shared = JOINTS_SHARED["down_the_line"]
    assert found.change.budget["joints"] == pytest.approx(math.sqrt(4 + 1 - 2 * shared * 2 * 1))


def test_one_stature_shares_its_scale_and_a_changed_sign_turns_the_shared_part_round() -> None:
    u = {"scale": 1.0}
    same = change(number("hand_offset", 9.0, budget=u), number("hand_offset", 8.0, budget=u))
    turned = change(number("hand_offset", 9.0, budget=u), number("hand_offset", -8.0, budget=u))
    assert same.change.standard_uncertainty == pytest.approx(math.sqrt(2 - 2 * SCALE_SHARED))
    assert turned.change.standard_uncertainty == pytest.approx(math.sqrt(2 + 2 * SCALE_SHARED))


def test_setups_of_both_lessons_are_pooled_into_one_scatter() -> None:
    # Squares about the means: 2 of one degree of freedom and 6 of two, so a scatter of √(8/3) a setup.
    one = number("spine_tilt", 31.0, budget={"scatter of the frames": 0.1}, repeats=(30.0, 32.0))
    two = number("spine_tilt", 42.0, budget={"scatter of the frames": 0.1}, repeats=(41.0, 41.0, 44.0))
    found = change(one, two, "spine_tilt")
    assert found.change.standard_uncertainty == pytest.approx(math.sqrt(8 / 3 * (1 / 2 + 1 / 3)))


def test_a_lesson_of_one_setup_takes_its_scatter_from_the_other() -> None:
    one = number("spine_tilt", 31.0, budget={"scatter of the frames": 0.1}, repeats=(31.0,))
    two = number("spine_tilt", 42.0, budget={"scatter of the frames": 0.1}, repeats=(41.0, 43.0))
    assert change(one, two, "spine_tilt").change.standard_uncertainty == pytest.approx(math.sqrt(2 / 1 + 2 / 2))


def test_without_repeats_the_scatter_of_the_frames_stands() -> None:
    one = number("spine_tilt", 31.0, budget={"scatter of the frames": 0.3}, repeats=(31.0,))
    two = number("spine_tilt", 42.0, budget={"scatter of the frames": 0.4}, repeats=(42.0,))
    assert change(one, two, "spine_tilt").change.standard_uncertainty == pytest.approx(0.5)


def test_what_a_budget_does_not_explain_is_kept() -> None:
    half = evolve(number("spine_tilt", 30.0, budget={"measure itself": 3.0}), standard_uncertainty=5.0)
    found = change(half, number("spine_tilt", 30.0, 0.0), "spine_tilt")
    assert found.change.standard_uncertainty == pytest.approx(5.0)


def test_every_measure_has_an_entry_and_an_absent_one_says_when() -> None:
    hidden = absent("The hip is hidden.", unit="deg")
    found = find_changes(
        measured(spine_tilt=number("spine_tilt", 30), head_drop=hidden, knee_flex=hidden),
        measured(spine_tilt=hidden, head_drop=number("head_drop", 20), knee_flex=hidden),
    ).measures
    assert list(found) == list(MEASURES)
    assert found["spine_tilt"].change.absent == "Not measured after. The hip is hidden."
    assert found["head_drop"].change.absent == "Not measured before. The hip is hidden."
    assert found["knee_flex"].change.absent == "Not measured in either lesson. The hip is hidden."
    assert not any(each.real for each in found.values())
    assert math.isnan(found["knee_flex"].smallest_real)


@given(NUMBERS, NUMBERS)
def test_swapping_the_lessons_turns_the_sign_and_keeps_the_margin(one, two) -> None:
    there, back = change(one, two), change(two, one)
    assert there.change.value == -back.change.value
    assert there.smallest_real == pytest.approx(back.smallest_real, abs=1e-9)


@given(NUMBERS, NUMBERS)
def test_a_margin_is_a_number_and_never_below_nought(one, two) -> None:
    found = change(one, two)
    assert math.isfinite(found.smallest_real)
    assert found.smallest_real >= 0
    assert all(part >= 0 for part in found.change.budget.values())


@given(NUMBERS, NUMBERS, st.floats(-30, 30))
def test_adding_the_same_to_both_changes_nothing(one, two, constant) -> None:
    def moved(each):
        return evolve(each, value=each.value + constant, repeats=tuple(value + constant for value in each.repeats))

    # Without the scale, whose share turns its sign with the value.
    there, again = (change(a, b, scale="putter") for a, b in ((one, two), (moved(one), moved(two))))
    assert again.change.value == pytest.approx(there.change.value, abs=1e-9)
    assert again.smallest_real == pytest.approx(there.smallest_real, abs=1e-6)


@given(NUMBERS, NUMBERS)
def test_where_nothing_is_shared_and_nothing_repeated_the_squares_add(one, two) -> None:
    one, two = evolve(one, repeats=()), evolve(two, repeats=())
    found = change(one, two, scale="putter", model="", student=STUDENT)
    plain = math.hypot(one.standard_uncertainty, two.standard_uncertainty)
    assert found.change.standard_uncertainty == pytest.approx(plain, abs=1e-9)


@given(NUMBERS, NUMBERS)
def test_sharing_never_leaves_more_than_the_sum_nor_less_than_the_difference(one, two) -> None:
    one, two = evolve(one, repeats=()), evolve(two, repeats=())
    u = change(one, two).change.standard_uncertainty
    u1, u2 = one.standard_uncertainty, two.standard_uncertainty
    assert abs(u1 - u2) - 1e-9 <= u <= u1 + u2 + 1e-9
