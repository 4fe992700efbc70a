import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.body import check_student, find_table_widening, predict
from putt_posture.errors import UsageError
from putt_posture.figures import format_given
from putt_posture.values import Student


@given(st.floats(min_value=100, max_value=230), st.sampled_from(["right", "left"]))
def test_people_of_any_usual_stature_pass(stature, handed):
    student = Student(stature_cm=stature, handed=handed)
    assert check_student(student) is student


@pytest.mark.parametrize("stature", [90.0, 99.9, 230.1, 1780.0, 70.0])
def test_impossible_stature_is_refused_with_the_bounds(stature):
    with pytest.raises(UsageError, match=rf"height of {format_given(stature, 'cm')}.*100 to 230 cm"):
        check_student(Student(stature_cm=stature, handed="right"))


@pytest.mark.parametrize("stature", [0.0, -178.0, math.nan, math.inf])
def test_a_stature_that_is_no_length_is_refused_when_the_student_is_made(stature):
    with pytest.raises(UsageError, match="stature_cm of Student is"):
        Student(stature_cm=stature, handed="right")


@given(st.floats(min_value=125, max_value=210), st.sampled_from(["female", "male"]), st.floats(-3, 3))
def test_wrist_heights_within_three_sigma_of_the_survey_pass(stature, sex, sigmas):
    wrist = predict("wrist_height", stature, sex)
    sigma = wrist.standard_uncertainty / find_table_widening(stature, sex)
    check_student(Student(stature_cm=stature, handed="right", wrist_floor_cm=wrist.value + sigmas * sigma))


@pytest.mark.parametrize(("wrist", "words"), [(40.0, "45 to 120"), (130.0, "45 to 120"), (60.0, "does not fit")])
def test_impossible_wrist_height_is_refused(wrist, words):
    with pytest.raises(UsageError, match=words):
        check_student(Student(stature_cm=178, handed="right", wrist_floor_cm=wrist))


@pytest.mark.parametrize("inches", [17.9, 60.1, 340.0])
def test_impossible_putter_is_refused(inches):
    with pytest.raises(UsageError, match=r"putter length.*18\.0.in \(45\.7.cm\) to 60\.0.in \(152\.4.cm\)"):
        check_student(Student(stature_cm=178, handed="right", putter_length_cm=inches * 2.54))


@pytest.mark.parametrize("inches", [18, 33.5, 48, 52])
def test_putters_that_the_rules_allow_pass(inches):
    check_student(Student(stature_cm=178, handed="right", putter_length_cm=inches * 2.54))


def test_unknown_hand_and_sex_are_refused():
    with pytest.raises(UsageError, match="handed of Student is 'both'"):
        Student(stature_cm=178, handed="both")
    with pytest.raises(UsageError, match="sex of Student is 'm'"):
        Student(stature_cm=178, handed="left", sex="m")
