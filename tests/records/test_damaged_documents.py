"""A `measures.json` in which something cannot be is refused in one sentence that names the field."""

import json
import re

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from spoiling import as_text, mutations, places_of, spoilt

from putt_posture.clips.files import MAX_SIDE_PX
from putt_posture.documents import read_record, schema
from putt_posture.errors import PuttPostureError, UsageError

VIEW = ("views", "down_the_line")
TILT = ("measures", "spine_tilt")


def refusal(text):
    with pytest.raises(UsageError) as caught:
        read_record(text, where="the copy")
    said = str(caught.value)
    assert "\n" not in said
    assert len(said) < 700
    return said


@pytest.mark.parametrize(
    ("place", "value", "says"),
    [
        ((*TILT, "value"), float("nan"), "measures/spine_tilt/value is no finite number"),
        ((*TILT, "high"), float("inf"), "measures/spine_tilt/high is no finite number"),
        ((*TILT, "value"), 10**400, "measures/spine_tilt/value is no finite number"),
        ((*TILT, "value"), 1e10, "at measures/spine_tilt/value: .* maximum"),
        ((*TILT, "high"), 1e9, r"measures/spine_tilt/high is 1e\+09, and at most 1e\+06 is possible"),
        ((*TILT, "standard_uncertainty"), 2e6, "measures/spine_tilt/standard_uncertainty is 2e"),
        ((*TILT, "value"), True, "at measures/spine_tilt/value: True"),
        ((*TILT, "frames"), 3.0, "at measures/spine_tilt/frames: 3.0 is not of type 'integer'"),
        ((*TILT, "frames"), 10**9, "at measures/spine_tilt/frames"),
        ((*TILT, "budget"), {f"cause {number}": 1.0 for number in range(200)}, "at measures/spine_tilt/budget"),
        ((*TILT, "budget"), {"\0": 1.0}, "measures/spine_tilt/budget/. holds a null character"),
        ((*TILT, "method"), "\ud800", "measures/spine_tilt/method holds half a character"),
        ((*TILT, "view"), "down_the_line", None),
        (("warnings",), ["x"] * 20_000, "at warnings"),
        (("warnings",), json.loads("[" * 400 + "]" * 400), "warnings/.* lies too deep"),
        (("made_on",), "2026-02-30", "made_on is 2026-02-30, which is not a day"),
        (("made_on",), "0001-01-01", "made_on is 0001-01-01, and a day from 1990"),
        (("student", "stature_cm"), 400.0, "student: The height of 400 cm is out of range"),
        (("student", "stature_cm"), 1e-30, "student: The height"),
        (("student", "putter_lie_deg"), -3, "at student/putter_lie_deg"),
        ((*VIEW, "width"), 10**6, "at views/down_the_line/width"),
        ((*VIEW, "still", "box_px"), [0, 0, 0, 0], "views/down_the_line/still/box_px is 0 0 0 0, which is not a part"),
        ((*VIEW, "still", "box_px"), [100, 10, 20, 900], "still/box_px is 100 10 20 900, which is not a part"),
        ((*VIEW, "still", "box_px"), [0, 0, 8999, 8999], "still/box_px is 0 0 8999 8999, which is not a part"),
        ((*VIEW, "still", "box_px"), [-5, 0, 10, 10], "at views/down_the_line/still/box_px/0"),
        ((*VIEW, "still", "size"), [0, 10], "at views/down_the_line/still/size/0"),
        ((*VIEW, "still", "size"), [16_000, 16_000], "still/size is 16000 × 16000 pixels"),
        ((*VIEW, "still", "size"), [1200, 1200], "still/size is 1200 × 1200, which differs in shape"),
        (("pictures", "ghost", "box_px"), [0, 0, 0, 0], "pictures/ghost/box_px is 0 0 0 0, which is not a part"),
        ((*VIEW, "still_index"), 3, "still_index is 3, and the setups have 3 frames, counted from 0"),
        ((*VIEW, "still_index"), True, "at views/down_the_line/still_index"),
        ((*VIEW, "setups"), [], "at views/down_the_line/setups"),
        ((*VIEW, "setup_times_s"), [1.0, 2.0], "setup_times_s has 2 times for 1 setups"),
        ((*VIEW, "setups", 0, "window_s"), [3.0, 1.0], "setups/0/window_s ends before it begins"),
        ((*VIEW, "px_per_cm_standard_uncertainty"), None, "px_per_cm and its standard uncertainty are not both"),
        ((*VIEW, "px_per_cm"), 1e-5, "px_per_cm is 1e-05, so that the picture would show"),
        ((*VIEW, "ground_v_px"), 1e6, "ground_v_px lies far outside"),
        ((*VIEW, "ball_px"), [-90_000, 3], "ball_px lies far outside"),
        ((*VIEW, "roll", "value"), 90.0, "roll is 90°"),
        ((*VIEW, "roll", "unit"), "cm", "at views/down_the_line/roll/unit"),
        ((*VIEW, "forward"), 1.0, "at views/down_the_line/forward"),
        (
            ("fit", "putter_length", "value"),
            0,
            "fit/putter_length/value is 0 cm, which is not a possible",
        ),
        (
            ("fit", "putter_length", "value"),
            -86.0,
            "fit/putter_length/value is -86 cm, which is not a possible",
        ),
        (("fit", "curves", "lie"), [1.0], "fit/curves/lie has 1 numbers"),
        (("arcs", "after", "face_deg"), [], "arcs/after/face_deg has 0 numbers"),
        (("views",), {}, "at views"),
        (("schema",), 2.0, "has schema 2.0"),
    ],
    ids=lambda each: "/".join(map(str, each)) if isinstance(each, tuple) else None,
)
def test_what_cannot_be_is_named_with_its_field(document, place, value, says):
    text = as_text(spoilt(json.loads(document), place, value))
    if says is None:
        read_record(text, where="the copy")
    else:
        assert re.search(says, refusal(text))


def test_a_view_that_a_measure_names_must_be_there(document):
    lone = json.loads(document)
    del lone["views"]["face_on"]
    assert re.search(r"measures/\w+/view is face_on, and there is no such view", refusal(as_text(lone)))


def test_a_ghost_needs_the_view_that_it_is_drawn_over(document):
    lone = json.loads(document)
    del lone["views"]["down_the_line"]
    assert "pictures/ghost is there" in refusal(as_text(lone))


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "it is not JSON"),
        ("[" * 100_000, "it is not JSON|are nested too deep"),
        ("[" * 100_000 + "]" * 100_000, "are nested too deep"),
        ('{"schema": 2, "schema": 2}', "it holds schema twice"),
        ('{"schema": ' + "9" * 10_000 + "}", "schema is no finite number"),
        ('{"schema": 1e400}', "schema is no finite number"),
        ('{"schema": -Infinity}', "schema is no finite number"),
        (b'{"schema": "\xff"}', "it is not JSON"),
        ("7", "has schema None"),
        ("[2]", "has schema None"),
        ("null", "has schema None"),
        ('{"' + "x" * 100_000 + '": NaN}', "xxx… is no finite number"),
    ],
    ids=range(12),
)
def test_what_is_no_such_document_is_one_sentence(text, says):
    assert re.search(says, refusal(text))


def test_a_document_with_a_million_faults_names_one(document):
    """The library would else gather them all, each with its words."""
    many = json.loads(document)
    many["views"]["face_on"]["given"] = [1] * 200_000
    assert "at views/face_on/given" in refusal(as_text(many))


def test_a_number_in_any_place_is_bounded(document):
    """Every number that the document holds may be replaced by one beyond all bounds, and is then refused."""
    whole = json.loads(document)
    numbers = [place for place in places_of(whole) if type(_at(whole, place)) in (int, float)]
    assert len(numbers) > 300
    for place in numbers[:: len(numbers) // 60]:
        refusal(as_text(spoilt(whole, place, 1e12)))


def _at(document, place):
    for part in place:
        document = document[part]
    return document


def test_the_schema_and_the_door_for_clips_agree_on_the_largest_picture():
    view = schema()["$defs"]["view"]["properties"]
    assert view["width"]["maximum"] == view["height"]["maximum"] == MAX_SIDE_PX


@given(data=st.data())
@settings(max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
def test_a_document_changed_anywhere_is_read_or_refused_in_one_sentence(document, data):
    text = as_text(data.draw(mutations(json.loads(document))))
    try:
        record = read_record(text, where="the copy")
    except PuttPostureError:
        refusal(text)
    else:
        assert record.measured.measures


@given(data=st.binary(max_size=200) | st.text(max_size=200))
def test_any_bytes_are_refused_in_one_sentence(data):
    refusal(data)
