"""A change is after minus before, less sure than either by what they do not share."""

import math

import pytest
from attrs import evolve
from hypothesis import assume, given
from hypothesis import strategies as st
from measured_twice import measured, number
from scipy.stats import t as student_t

from putt_posture.changes import JUDGED_FREEDOM, OFFSETS_SHARED, find_changes, find_repeats, weigh_change
from putt_posture.measures import MEASURES
from putt_posture.values import absent

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
    assert found.smallest_alone == pytest.approx(4.899910, abs=1e-6)  # 1.959964 · 2.5
    assert found.real


def test_a_change_just_within_the_noise_is_none() -> None:
    assert not change(number("hand_offset", 0.0, 1.5), number("hand_offset", 4.89, 2.0)).real
    assert change(number("hand_offset", 0.0, 1.5), number("hand_offset", 4.91, 2.0)).real


def test_what_the_landmarks_miss_alike_on_everybody_is_left_out() -> None:
    cause = "renders are not people"
    found = change(number("hand_offset", 9.0, budget={cause: 2.0}), number("hand_offset", 3.0, budget={cause: 1.0}))
    shared = OFFSETS_SHARED["down_the_line"]
    assert found.change.budget[cause] == pytest.approx(math.sqrt(4 + 1 - 2 * shared * 2 * 1))


@pytest.mark.parametrize("cause", ["joints", "scale", "camera roll", "measure itself"])
def test_nothing_else_is_left_out(cause) -> None:
    found = change(number("hand_offset", 9.0, budget={cause: 2.0}), number("hand_offset", 3.0, budget={cause: 1.0}))
    assert found.change.budget[cause] == pytest.approx(math.sqrt(5))


FRAMES = {"scatter of the frames": 0.1}
JUDGED = MEASURES["spine_tilt"].scatter_sd


def tilt(*setups, frames=0.1, **causes):
    budget = {"scatter of the frames": frames, **causes}
    return number("spine_tilt", sum(setups) / len(setups), budget=budget, repeats=setups)


def test_setups_of_both_lessons_are_pooled_into_one_scatter_and_joined_with_the_judged_one() -> None:
    # Squares about the means: 2 of one degree of freedom and 6 of two; the judged scatter counts for eight.
    found = change(tilt(30.0, 32.0), tilt(41.0, 41.0, 44.0), "spine_tilt")
    assert JUDGED_FREEDOM == 8
    scatter = math.sqrt((2 + 6 + 8 * JUDGED**2) / (3 + 8))
    assert found.change.budget == {"scatter of the setups": pytest.approx(scatter * math.sqrt(1 / 2 + 1 / 3))}
    assert found.smallest_alone == pytest.approx(student_t.ppf(0.975, 11) * found.change.standard_uncertainty)


def test_more_lessons_of_the_student_tell_the_scatter_too() -> None:
    one, two = (measured(spine_tilt=tilt(value)) for value in (30.0, 31.0))
    steady = measured(spine_tilt=tilt(*[30.0, 30.5] * 20))
    alone = find_changes(one, two).measures["spine_tilt"].change
    helped = find_changes(one, two, repeats=find_repeats((one, two, steady))).measures["spine_tilt"].change
    assert set(alone.budget) == {"scatter of the setups, judged"}
    assert set(helped.budget) == {"scatter of the setups"}
    assert helped.standard_uncertainty < alone.standard_uncertainty


def test_with_one_setup_each_the_judged_scatter_stands_and_is_marked_so() -> None:
    found = change(tilt(31.0, frames=0.3), tilt(42.0, frames=0.4), "spine_tilt")
    assert found.change.budget == {
        "scatter of the setups, judged": pytest.approx(math.sqrt(2 * JUDGED**2 + 0.3**2 + 0.4**2))
    }


def test_setups_that_agree_to_the_last_digit_were_read_once() -> None:
    read_once = change(tilt(70.0, 70.0, 70.0), tilt(71.0, 71.0, 71.0), "spine_tilt").change
    assert read_once.standard_uncertainty == pytest.approx(
        change(tilt(70.0), tilt(71.0), "spine_tilt").change.standard_uncertainty
    )


def test_the_putter_does_not_scatter_with_the_address() -> None:
    one, two = (number("putter_length", 90.0, budget={"joints": 1.0, **FRAMES}, repeats=(90.0,)) for _ in "ab")
    assert set(change(one, two, "putter_length").change.budget) == {"joints", "scatter of the frames"}


def test_the_degrees_of_freedom_are_those_of_welch_and_satterthwaite() -> None:
    # JCGM 100:2008, G.4.1, equation G.2b: one cause of 8 degrees of freedom, the others known.
    found = change(tilt(31.0, joints=3.0), tilt(42.0, joints=3.0), "spine_tilt")
    u, scatter = found.change.standard_uncertainty, found.change.budget["scatter of the setups, judged"]
    freedom = u**4 / (scatter**4 / JUDGED_FREEDOM)
    assert found.change.coverage == pytest.approx(student_t.ppf(0.975, freedom))
    assert found.chance == pytest.approx(2 * student_t.sf(11.0 / u, freedom))


def test_a_change_that_is_known_to_the_last_digit_is_one_unless_it_is_nought() -> None:
    one, two = number("spine_tilt", 30.0, 0.0), number("spine_tilt", 31.0, 0.0)
    assert change(one, two, "spine_tilt").real
    assert not change(one, one, "spine_tilt").real


def test_of_many_that_pass_their_own_margin_none_need_be_a_change() -> None:
    names = [name for name in MEASURES if name != "putter_length"]
    before = measured(**{name: number(name, 10.0, 1.0) for name in names})
    after = measured(**{name: number(name, 10.0 + (3.2 if at < 2 else 0.0), 1.0) for at, name in enumerate(names)})
    found = find_changes(before, after).measures
    passing = [name for name in names if found[name].chance < 0.05]
    assert passing == names[:2]
    assert [found[name].maybe for name in passing] == [True, True]
    assert not any(each.real for each in found.values())
    assert found[names[0]].joint_chance == pytest.approx(22 * found[names[0]].chance)


def test_absent_changes_have_no_chance_and_are_nothing() -> None:
    none = absent("It is hidden.", unit="deg")
    found = weigh_change("spine_tilt", none, none, none)
    assert math.isnan(found.chance)
    assert not found.real
    assert not found.maybe


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
    assert math.isnan(found["knee_flex"].smallest_alone)


@given(NUMBERS, NUMBERS)
def test_swapping_the_lessons_turns_the_sign_and_keeps_the_margin(one, two) -> None:
    there, back = change(one, two), change(two, one)
    assert there.change.value == -back.change.value
    assert there.smallest_alone == pytest.approx(back.smallest_alone, abs=1e-9)


@given(NUMBERS, NUMBERS)
def test_a_margin_is_a_number_and_never_below_nought(one, two) -> None:
    found = change(one, two)
    assert math.isfinite(found.smallest_alone)
    assert found.smallest_alone >= 0
    assert all(part >= 0 for part in found.change.budget.values())


@given(NUMBERS, NUMBERS, st.floats(-30, 30))
def test_adding_the_same_to_both_changes_nothing(one, two, constant) -> None:
    def moved(each):
        return evolve(each, value=each.value + constant, repeats=tuple(value + constant for value in each.repeats))

    # Setups that differ by less than rounding become the same number, and then count as read once.
    assume(all(len(set(each.repeats)) == len(set(moved(each).repeats)) for each in (one, two)))
    there, again = (change(a, b) for a, b in ((one, two), (moved(one), moved(two))))
    assert again.change.value == pytest.approx(there.change.value, abs=1e-9)
    assert again.smallest_alone == pytest.approx(there.smallest_alone, abs=1e-6)


def bare(estimate):
    """Take out what is told by the setups."""
    budget = {cause: u for cause, u in estimate.budget.items() if cause != "scatter of the frames"}
    return number("hand_offset", estimate.value, budget=budget) if any(budget.values()) else number("hand_offset", 0.0)


@given(NUMBERS, NUMBERS)
def test_where_nothing_is_shared_and_nothing_scatters_the_squares_add(one, two) -> None:
    one, two = bare(one), bare(two)
    found = change(one, two)
    plain = math.hypot(one.standard_uncertainty, two.standard_uncertainty)
    assert found.change.standard_uncertainty == pytest.approx(plain, abs=1e-9)
