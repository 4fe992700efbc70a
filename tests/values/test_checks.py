"""What a person writes by hand is checked when it is made; each mistake is one sentence of the project's own."""

import numpy as np
import pytest
from compared import make_after
from invented import make_lesson

from putt_posture import (
    Student,
    WantedSetup,
    compare,
    fit_putter,
    measure_lesson,
    read_length_cm,
    read_result_folder,
    store_lesson,
)
from putt_posture.errors import ArgumentError, PuttPostureError, UnknownName, UsageError
from putt_posture.values import Estimate, Given, PuttCount

GOOD = {"stature_cm": 178, "handed": "right"}
SEGMENT = ((410.0, 1630.0), (880.0, 1634.0))


def says_in_one_sentence(error):
    """Tell whether a message is a sentence or two in one line that says what was found and what to do."""
    said = str(error)
    return isinstance(error, PuttPostureError) and "\n" not in said and said.endswith((".", "?")) and len(said) < 260


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"stature_cm": "178"}, "stature_cm of Student is the text '178'; a number of centimetres is needed"),
        ({"stature_cm": None}, "stature_cm of Student is None; a number"),
        ({"stature_cm": True}, "is a bool, True; a number"),
        ({"stature_cm": [178]}, r"is a list, \[178\]; a number"),
        ({"stature_cm": -178}, "stature_cm of Student is -178; it must be more than 0. Check the number and its sign"),
        ({"stature_cm": float("nan")}, "is nan; a finite number is needed"),
        ({"handed": "Right"}, "handed of Student is 'Right'; 'right' or 'left' is needed. Did you mean 'right'?"),
        ({"handed": None}, "handed of Student is None; 'right' or 'left' is needed"),
        ({"sex": "f"}, "sex of Student is 'f'; 'female' or 'male' is needed"),
        ({"name": 7}, "name of Student is an int, 7; a text is needed"),
        ({"wrist_floor_cm": "33in"}, r'read_length_cm\("5ft10in"\) makes one of a text'),
        ({"putter_length_cm": 0}, "putter_length_cm of Student is 0; it must be more than 0"),
        ({"putter_lie_deg": "70"}, "putter_lie_deg of Student is the text '70'; a number of degrees is needed"),
    ],
)
def test_a_student_that_cannot_be_is_refused_when_it_is_made(wrong, says):
    with pytest.raises(UsageError, match=says) as caught:
        Student(**{**GOOD, **wrong})
    assert says_in_one_sentence(caught.value)


def test_a_wrong_type_is_a_type_error_too():
    with pytest.raises(TypeError):
        Student(stature_cm="178", handed="right")
    with pytest.raises(ValueError, match="handed"):
        Student(stature_cm=178, handed="Right")


def test_numbers_of_numpy_are_numbers():
    assert Student(stature_cm=np.float64(178), handed="right").stature_cm == 178
    assert Student(stature_cm=np.int64(178), handed="right", name=None).stature_cm == 178


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda: WantedSetup(knee_flex_deg="20"), "knee_flex_deg of WantedSetup is the text '20'; a number of degrees"),
        (lambda: WantedSetup(tilt_deg=float("inf")), "tilt_deg of WantedSetup is inf; a finite number"),
        (lambda: Given(roll_deg="2"), "roll_deg of Given is the text '2'; a number of degrees"),
        (lambda: Given(distance_cm=-400), "distance_cm of Given is -400; it must be more than 0"),
        (lambda: Given(ball_px=(410,)), r"ball_px of Given is a tuple, \(410,\); two numbers are needed: \(u, v\)"),
        (lambda: Given(ball_px=(410, "x")), "v of ball_px of Given is the text 'x'; a number"),
        (lambda: Given(shaft_px=(1, 2)), "the first end of shaft_px of Given is an int, 1; two numbers"),
        (lambda: Given(shaft_px=((1, 2), (1, 2))), "Both ends of shaft_px of Given are the same point"),
        (lambda: Given(scale_object=120), r"a length in centimetres and its two ends are needed"),
        (lambda: Given(scale_object=(-120, SEGMENT)), "the length_cm of scale_object of Given is -120"),
        (lambda: PuttCount(distance_cm="91", tried=10, holed=5), "distance_cm of PuttCount is the text '91'"),
        (lambda: PuttCount(distance_cm=0, tried=5, holed=2), "distance_cm of PuttCount is 0; it must be more than 0"),
        (lambda: PuttCount(distance_cm=91, tried=-5, holed=2), "tried of PuttCount is -5; it must be 0 or more"),
        (lambda: PuttCount(distance_cm=91, tried=10.5, holed=5), "tried of PuttCount is a float, 10.5; a whole number"),
        (lambda: Estimate(value="3", standard_uncertainty=1, unit="cm"), "value of Estimate is a str, '3'; a number"),
        (lambda: Estimate(value=3, standard_uncertainty=-1, unit="cm"), "An estimate needs a finite value"),
    ],
)
def test_each_value_made_by_hand_is_checked(make, says):
    with pytest.raises(UsageError, match=says) as caught:
        make()
    assert says_in_one_sentence(caught.value)


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"student": GOOD}, r"student is a dict, .*; a Student is needed. Write Student\(stature_cm=178"),
        ({"down_the_line": ["side.mov"]}, r"down_the_line is a list, \['side.mov'\]; a path is needed.* Give one file"),
        ({"face_on": 3}, "face_on is an int, 3; a path is needed"),
        ({"setup_at": [4.2]}, r"setup_at is a list, \[4.2\]; a mapping by view is needed"),
        ({"setup_at": {"side": [4.2]}}, "There is no view 'side' in setup_at. There are: down_the_line, face_on"),
        ({"setup_at": {"down-the-line": [4.2]}}, "There is no view 'down-the-line'.* Did you mean 'down_the_line'?"),
        ({"setup_at": {"face_on": 4.2}}, r"setup_at\['face_on'\] is 4.2; a list of seconds is needed"),
        ({"setup_at": {"face_on": [-1]}}, r"setup_at\['face_on'\]\[0\] is -1; it must be 0 or more"),
        ({"scale_object": {"face_on": ("120cm", SEGMENT)}}, "the length_cm of scale_object.* is the text '120cm'"),
        ({"capture_rate_hz": "240"}, "capture_rate_hz is the text '240'; a number of frames a second"),
        ({"capture_rate_hz": {"face_on": 0}}, r"capture_rate_hz\['face_on'\] is 0; it must be more than 0"),
        ({"camera_roll_deg": {"face_on": "2"}}, r"camera_roll_deg\['face_on'\] is the text '2'; a number of degrees"),
        ({"camera_distance_cm": {"face_on": -4}}, r"camera_distance_cm\['face_on'\] is -4; it must be more than 0"),
        ({"student_at": {"face_on": 5}}, r"student_at\['face_on'\] is an int, 5; two numbers"),
        ({"shaft_at": {"face_on": (1, 2)}}, r"the first end of shaft_at\['face_on'\]"),
        ({"ball_at": {"face_on": "1,2"}}, r"ball_at\['face_on'\] is the text '1,2'; two numbers"),
        ({"wanted": {"knee_flex_deg": 20}}, "wanted is a dict, .*; a WantedSetup is needed"),
        ({"progress": 3}, "progress is 3; a function"),
        ({"handed": "right"}, r"measure_lesson takes no handed. What is known of the student goes into Student\(…\)"),
        ({"setup_on": {}}, "measure_lesson takes no setup_on. Did you mean 'setup_only' or 'setup_at'"),
    ],
)
def test_arguments_of_measure_lesson_are_checked_before_a_clip_is_opened(wrong, says):
    arguments = {"student": Student(**GOOD), "down_the_line": "there/is/no/such.mov"} | wrong
    with pytest.raises(UsageError, match=says) as caught:
        measure_lesson(**arguments)
    assert says_in_one_sentence(caught.value)


def test_a_missing_argument_is_said_in_a_sentence():
    with pytest.raises(ArgumentError, match=r"measure_lesson was not called as it should be: missing .*'student'"):
        measure_lesson(down_the_line="side.mov")


def test_misnamed_views_are_key_errors_too():
    with pytest.raises(KeyError) as caught:
        measure_lesson(student=Student(**GOOD), face_on="a.mov", ball_at={"front": (1, 2)})
    assert isinstance(caught.value, UnknownName)


def test_a_comparison_of_other_things_is_refused(tmp_path):
    with pytest.raises(ArgumentError, match="before is an int, 3; a lesson or its result folder is needed"):
        compare(3, 4)
    with pytest.raises(UsageError, match="is not there"):
        compare(tmp_path / "no", tmp_path / "none")
    with pytest.raises(ArgumentError, match=r"compare takes no out\. It takes before, after, folder"):
        compare(tmp_path, tmp_path, out="x")


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda place: store_lesson("lesson", place), "lesson is the text 'lesson'; a Lesson is needed"),
        (lambda place: store_lesson(make_lesson(), ["out"]), r"folder is a list, \['out'\]; a path is needed"),
        (lambda place: read_result_folder([place]), "folder is a list, .*; a path is needed"),
        (lambda place: compare(make_lesson(), make_after(), 3), "folder is an int, 3; a path is needed"),
        (lambda place: fit_putter(None, GOOD), "student is a dict, .*; a Student is needed"),
        (lambda place: fit_putter({}, Student(**GOOD)), "posture is a dict, {}; a Posture is needed"),
        (lambda place: fit_putter(None, Student(**GOOD), wanted=20), "wanted is an int, 20; a WantedSetup is needed"),
        (lambda place: read_length_cm(178), "The length 178 is not text. Write it with its unit"),
    ],
)
def test_public_functions_say_which_argument_is_wrong(call, says, tmp_path):
    with pytest.raises(UsageError, match=says) as caught:
        call(tmp_path / "out")
    assert says_in_one_sentence(caught.value)
    assert list(tmp_path.iterdir()) == []
