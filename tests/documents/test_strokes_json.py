"""The strokes of a lesson go into its document and come back; what does not belong together is refused."""

import json
import sys
from pathlib import Path

import pytest
from attrs import evolve

sys.path.insert(0, str(Path(__file__).parents[1] / "strokes"))

from invented import make_lesson
from made_up import make_strokes, no_strokes

from putt_posture.documents.lesson_json import lesson_as_text
from putt_posture.documents.lesson_reading import read_record
from putt_posture.errors import UsageError
from putt_posture.measures import STROKE_MEASURES
from putt_posture.values import Estimate, StrokeScatter, absent


def numbers_of(value=0.67):
    return {
        name: Estimate(
            value=value, standard_uncertainty=0.02, unit=each.unit, view="face_on", method="made up", repeats=(0.6,),
            budget={"frames": 0.01}, by_hand=("events of the stroke",), automatic=0.61,
        )
        if name != "hands_straightness"
        else absent("Too short.", unit=each.unit)
        for name, each in STROKE_MEASURES.items()
    }  # fmt: skip


@pytest.fixture
def lesson():
    strokes = make_strokes(count=3, numbers=numbers_of())
    strokes = evolve(
        strokes,
        scatter={"backswing_time": StrokeScatter(sd=0.03, low=0.02, high=0.05, count=10, unit="s")},
        warnings=("The first stroke was left out.",),
    )
    return evolve(make_lesson(), strokes=strokes)


@pytest.fixture
def told(lesson):
    return json.loads(lesson_as_text(lesson))


def test_what_was_measured_of_strokes_comes_back_whole_but_for_the_paths(lesson):
    strokes, read = lesson.strokes, read_record(lesson_as_text(lesson), where="it").strokes
    for name, each in strokes.numbers.items():
        if each:
            assert read.numbers[name] == each
        else:
            assert (bool(read.numbers[name]), read.numbers[name].absent) == (False, "Too short.")
    assert (read.scatter, read.shown, read.together, read.counted, read.warnings, read.why_none) == (
        strokes.scatter, strokes.shown, True, 3, strokes.warnings, ""
    )  # fmt: skip
    for view, of_view in strokes.of.items():
        for was, now in zip(of_view, read.of[view], strict=True):
            assert (was.view, was.number, was.kind, was.why, was.doubts) == (
                now.view, now.number, now.kind, now.why, now.doubts
            )  # fmt: skip
            assert dict(now.events) == dict(was.events)
            assert now.paths == {}


def test_a_lesson_without_a_stroke_keeps_the_reason():
    read = read_record(lesson_as_text(evolve(make_lesson(), strokes=no_strokes("Nothing swings."))), where="it")
    assert not read.strokes
    assert read.strokes.why_none == "Nothing swings."


def test_a_lesson_whose_strokes_were_left_out_has_none():
    assert read_record(lesson_as_text(make_lesson()), where="it").strokes is None


def test_a_measure_that_the_earlier_program_did_not_know_is_absent_with_that_reason(told):
    del told["strokes"]["numbers"]["tempo_ratio"]
    told["versions"]["putt_posture"] = "0.1.9"
    read = read_record(json.dumps(told), where="it")
    assert not read.strokes.numbers["tempo_ratio"]
    assert "Version 0.1.9" in read.strokes.numbers["tempo_ratio"].absent


@pytest.mark.parametrize(
    ("place", "value", "said"),
    [
        (("numbers", "spine_tilt"), "backswing_time", "numbers/spine_tilt is not a measure of a stroke"),
        (("numbers", "backswing_time", "unit"), "cm", "backswing_time/unit is cm, and s was needed"),
        (("numbers", "backswing_time", "value"), 1e8, "at most 1e.06 is possible"),
        (("shown", "face_on"), 7, "shown/face_on is 7, and there is no such stroke"),
        (("of", "face_on", 1, "view"), "down_the_line", "of/face_on/1/view is down_the_line"),
        (("of", "face_on", 1, "number"), 1, "is not in the order of the clip"),
        (("of", "face_on", 1, "kind"), "chip", "kind"),
        (("of",), {"face_on": [], "down_the_line": []}, "holds no stroke"),
        (("scatter", "backswing_time", "low"), 0.06, "ends before it begins"),
        (("scatter", "backswing_time", "unit"), "cm", "is not the scatter of a measure"),
    ],
)
def test_what_does_not_belong_together_is_named_with_its_place(told, place, value, said):
    part = told["strokes"]
    for step in place[:-1]:
        part = part[step]
    part[place[-1]] = told["strokes"]["numbers"][value] if value == "backswing_time" else value
    if place == ("of",):
        told["strokes"]["shown"] = {}
    with pytest.raises(UsageError, match=said):
        read_record(json.dumps(told), where="it")
