import math

import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.errors import UsageError
from putt_posture.spec import find_club_spec
from putt_posture.values import Estimate, Fit, Student, absent

LENGTH_SD = 1.2


def cm(value, sigma=LENGTH_SD):
    return Estimate(value=value, standard_uncertainty=sigma, unit="cm")


def deg(value, sigma=1.0):
    return Estimate(value=value, standard_uncertainty=sigma, unit="deg")


def spec(length_in=33.1, *, current_in=35.0, lie=71.0, current_lie=None, stock_in=33.0):
    fit = Fit(putter_length=cm(length_in * 2.54), stock_length_in=stock_in, lie=deg(lie))
    current = None if current_in is None else current_in * 2.54
    student = Student(stature_cm=176.0, handed="right", putter_length_cm=current)
    return find_club_spec(fit, evolve(student, putter_lie_deg=current_lie))


def test_two_inches_off_make_twelve_points_lighter():
    # Common practice: about three swing-weight points for half an inch.
    made = spec()
    assert made.stock_change_in == -2.0
    assert made.swing_weight_change == -12.0
    assert made.length_change.value == pytest.approx(-1.9 * 2.54)
    assert "about 12 swing-weight points lighter" in made.feel[0]
    assert "24 g on the head" in made.feel[1]
    assert any("cannot be undone" in note for note in made.notes)


def test_half_an_inch_on_makes_three_points_heavier():
    made = spec(35.6, stock_in=35.5)
    assert made.swing_weight_change == 3.0
    assert "3 swing-weight points heavier" in made.feel[0]
    assert not any("cannot be undone" in note for note in made.notes)


def test_a_wide_interval_asks_for_more_before_anything_is_cut():
    fit = Fit(putter_length=cm(83.8, 2.7), stock_length_in=33.0, lie=deg(71.0))
    made = find_club_spec(fit, Student(stature_cm=176.0, handed="right", putter_length_cm=91.44))
    assert any("more than an inch" in note for note in made.notes)
    assert not any("more than an inch" in note for note in spec().notes)


def test_a_length_that_fits_leaves_the_feel_alone():
    made = spec(35.1, stock_in=35.0)
    assert made.feel == ("The length stays, and with it the feel of the head.",)
    assert any("need not change" in note for note in made.notes)


@given(st.floats(min_value=28, max_value=40), st.floats(min_value=28, max_value=40))
def test_the_change_is_the_suggestion_less_the_putter_in_use(wanted, current):
    made = spec(wanted, current_in=current, stock_in=round(2 * wanted) / 2)
    assert current * 2.54 + made.length_change.value == pytest.approx(wanted * 2.54)
    assert made.length_change.standard_uncertainty > LENGTH_SD
    assert made.swing_weight_change == pytest.approx(6 * (round(2 * wanted) / 2 - current), abs=0.04)


def test_an_unknown_putter_in_use_leaves_the_change_absent_with_the_reason():
    made = spec(current_in=None)
    assert made.length_change.absent == "The length of the putter in use was not given."
    assert made.stock_change_in is None
    assert made.swing_weight_change is None
    assert "cannot be said" in made.feel[0]


def test_an_absent_length_gives_a_sheet_with_reasons():
    fit = Fit(putter_length=absent("No hands.", unit="cm"), stock_length_in=None, lie=absent("No shaft.", unit="deg"))
    made = find_club_spec(fit, Student(stature_cm=176.0, handed="right", putter_length_cm=88.9, putter_lie_deg=71.0))
    assert made.length_change.absent == "There is no length to change to: No hands."
    assert made.lie_change.absent == "There is no lie to bend to: No shaft."
    assert [check.keeps for check in made.checks] == [None, None, None]


@pytest.mark.parametrize(
    ("lie", "says"),
    [(71.0, "fits as it is"), (72.5, "1.5° more upright"), (68.0, "3.0° flatter"), (78.0, "more than a head is bent")],
)
def test_bending_is_said_with_its_direction(lie, says):
    made = spec(lie=lie, current_lie=71.0)
    assert says in made.bending
    assert made.lie_change.value == pytest.approx(lie - 71.0)


def test_an_unknown_lie_in_use_asks_for_a_gauge():
    assert "lie gauge" in spec().bending


@pytest.mark.parametrize("lie", [95.0, 5.0, math.nan])
def test_a_lie_that_cannot_be_is_refused_with_one_sentence(lie):
    with pytest.raises(UsageError, match="is possible; check the gauge"):
        spec(current_lie=lie)
