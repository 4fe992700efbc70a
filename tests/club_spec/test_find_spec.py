import math

import pytest
from attrs import evolve
from hypothesis import example, given
from hypothesis import strategies as st

from putt_posture.club_spec import find_club_spec
from putt_posture.errors import UsageError
from putt_posture.figures import as_printed, format_imperial, inches
from putt_posture.fitting.inputs import name_long_putter
from putt_posture.fitting.limits import find_stock_length_in
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


def test_two_inches_off_are_cut_with_what_they_do_to_the_feel():
    made = spec()
    assert (made.advice, made.stock_change_in) == ("cut", -2.0)
    assert made.swing_weight_change == pytest.approx(-16.8)
    assert made.length_change.value == pytest.approx(-1.9 * 2.54)
    assert "about 17 swing-weight points lighter" in made.feel[0]
    assert "45 g on the putter head" in made.feel[1]
    assert any("cannot be undone" in note for note in made.notes)


def test_an_inch_on_is_extended_and_nothing_is_cut():
    made = spec(36.1, stock_in=36.0)
    assert (made.advice, made.stock_change_in) == ("extend", 1.0)
    assert "9 swing-weight points heavier" in made.feel[0]
    assert not any("cannot be undone" in note for note in made.notes)


def test_a_wide_interval_asks_for_more_before_anything_is_cut():
    fit = Fit(putter_length=cm(83.8, 1.5), stock_length_in=33.0, lie=deg(71.0))
    made = find_club_spec(fit, Student(stature_cm=176.0, handed="right", putter_length_cm=88.0))
    assert made.advice == "cut"
    assert any("more than an inch" in note for note in made.notes)
    assert not any("more than an inch" in note for note in spec().notes)


def test_a_change_inside_its_interval_is_left_at_the_length_in_use():
    # "extend by 0.5 in" stood in bold above "need not change".
    made = spec(33.6, stock_in=33.5, current_in=33.0)
    assert (made.advice, made.stock_change_in, made.swing_weight_change) == ("leave", 0.0, 0.0)
    assert made.advice_says == "leave at 33.0\N{NO-BREAK SPACE}in"
    assert made.feel == ("The length stays, and with it the feel of the putter head.",)
    assert "less than these numbers can show" in made.advice_why


@pytest.mark.parametrize(
    ("current_in", "says"),
    [(48.0, "of another kind (long,"), (41.0, "of another kind (arm-lock or mid-length,"), (36.5, "too far to cut")],
)
def test_far_outside_no_cut_is_worked_out(current_in, says):
    # A 48 in putter was told to be cut by 14.5 in, with 87 points and 174 g.
    made = spec(33.4, stock_in=33.5, current_in=current_in)
    assert (made.advice, made.stock_change_in, made.swing_weight_change) == ("another", None, None)
    assert says in made.advice_sentence
    assert "by hand" in made.advice_sentence
    assert made.advice_sentence.count(". ") == 0
    assert not any(word in " ".join(made.feel) for word in ("points", " g "))
    assert not any("cannot be undone" in note for note in made.notes)


def test_a_long_putter_is_known_as_such_though_two_inches_would_do():
    made = spec(37.0, stock_in=37.0, current_in=38.5)
    assert made.advice == "another"
    assert "arm-lock" in made.advice_sentence


@example(wanted=35.3, current=38.85, sigma=4.625)  # as far apart as the margin, in tenths
@given(
    wanted=st.integers(560, 800).map(lambda half_tenths: half_tenths / 20),
    current=st.integers(560, 1040).map(lambda half_tenths: half_tenths / 20),
    sigma=st.floats(min_value=0.1, max_value=6.0),
)
def test_every_case_of_inside_outside_and_far_outside_agrees_with_what_is_printed(wanted, current, sigma):
    length = cm(wanted * 2.54, sigma)
    stock = find_stock_length_in(length)
    fit = Fit(putter_length=length, stock_length_in=stock, lie=deg(71.0))
    student = Student(stature_cm=176.0, handed="right", putter_length_cm=current * 2.54)
    made, in_use = find_club_spec(fit, student), as_printed(inches(student.putter_length_cm), "in")
    printed = format_imperial(length).split(" ± ")[0]
    apart = round(10 * float(printed)) - round(10 * in_use)
    inside = abs(apart) <= round(10 * as_printed(made.length_change.margin / 2.54, "in"))
    step = round(10 * stock) - round(10 * in_use)
    if inside or step == 0:
        assert (made.advice, made.stock_change_in) == ("leave", 0.0)
        assert made.advice_says == f"leave at {in_use:.1f}\N{NO-BREAK SPACE}in"
    elif name_long_putter(student.putter_length_cm) or abs(step) > 20:
        assert (made.advice, made.stock_change_in, made.swing_weight_change) == ("another", None, None)
    else:
        assert made.advice == ("cut" if step < 0 else "extend")
        assert made.stock_change_in == pytest.approx(step / 10)
        assert (made.swing_weight_change < 0) is (step < 0)
        assert abs(step) <= 20
    assert (step < 0) is (apart < 0) or made.advice == "leave"


@given(st.floats(min_value=28, max_value=40), st.floats(min_value=28, max_value=40))
def test_the_change_is_the_suggestion_less_the_putter_in_use(wanted, current):
    made = spec(wanted, current_in=current, stock_in=round(2 * wanted) / 2)
    assert current * 2.54 + made.length_change.value == pytest.approx(wanted * 2.54)
    assert made.length_change.standard_uncertainty > LENGTH_SD


def test_an_unknown_putter_in_use_leaves_the_change_absent_with_the_reason():
    made = spec(current_in=None)
    assert made.length_change.absent == "The length of the putter in use was not given."
    assert made.stock_change_in is None
    assert made.swing_weight_change is None
    assert "is not known" in made.feel[0]


def test_an_absent_length_gives_a_sheet_with_reasons():
    fit = Fit(putter_length=absent("No hands.", unit="cm"), stock_length_in=None, lie=absent("No shaft.", unit="deg"))
    made = find_club_spec(fit, Student(stature_cm=176.0, handed="right", putter_length_cm=88.9, putter_lie_deg=71.0))
    assert made.length_change.absent == "There is no length to change to: No hands."
    assert made.lie_change.absent == "There is no lie to bend to: No shaft."
    assert {check.keeps for check in made.checks} == {None}


@pytest.mark.parametrize(
    ("lie", "says"),
    [
        (71.0, "Leave at 71°"),
        (72.5, "Leave at 71°"),
        (73.4, "2.4° more upright"),
        (68.0, "3.0° flatter"),
        (78.0, "more than a putter head is bent"),
        (78.0, "Another lie"),
    ],
)
def test_bending_is_said_with_its_direction(lie, says):
    made = spec(lie=lie, current_lie=71.0)  # with a margin of 2.2°, the gauge's included
    assert says in made.bend_sentence
    assert made.lie_change.value == pytest.approx(lie - 71.0)


def test_an_unknown_lie_in_use_asks_for_a_gauge():
    assert "lie gauge" in spec().bending


@pytest.mark.parametrize("lie", [95.0, 5.0, math.nan])
def test_a_lie_that_cannot_be_is_refused_with_one_sentence(lie):
    with pytest.raises(UsageError, match=r"is possible; check the gauge|a finite number is needed"):
        spec(current_lie=lie)
