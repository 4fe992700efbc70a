"""Strokes through the pipeline: looked for in clips, measured with what is by hand, and again from what was kept."""

import sys
from pathlib import Path

import pytest
from attrs import evolve

sys.path.insert(0, str(Path(__file__).parent / "strokes"))

from made_up import make_stroke, no_strokes
from made_up_seen import make_seen_stroke

from putt_posture import lesson as pipeline
from putt_posture import measuring
from putt_posture.detection.loading import load_detections
from putt_posture.errors import UsageError
from putt_posture.measuring import Measuring
from putt_posture.records import read_result_folder
from putt_posture.values import (
    EVENTS_BY_HAND,
    Estimate,
    Given,
    PlacedEvent,
    SeenStrokes,
    Strokes,
    Student,
)

RELEASED = Path(__file__).parent / "records" / "released" / "0.1.0" / "folder"
STUDENT = Student(stature_cm=178.0, handed="right")


class FakeStrokes:
    """Stands for `measure_strokes`: one number that depends on the scale and on the top that was placed by hand."""

    def __init__(self):
        self.asked = []

    def __call__(self, views, student):
        self.asked.append({view: each.given for view, each in views.items()})
        of = {}
        for view, each in views.items():
            tops = [one.time_s for one in each.given.event_times if one.event == "top"]
            back = Estimate(value=tops[-1] if tops else 0.67, standard_uncertainty=0.01, unit="s", view=view)
            length = Estimate(value=100 / each.scene.px_per_cm.value, standard_uncertainty=0.01, unit="cm", view=view)
            of[view] = (make_stroke(view, numbers={"backswing_time": back, "hands_back": length}),)
        first = next(iter(of.values()))[0]
        return Strokes(
            of=of, numbers=first.numbers, shown=dict.fromkeys(of, 0), counted=1, warnings=("The light is low.",)
        )


@pytest.fixture
def fake(monkeypatch):
    found = FakeStrokes()
    monkeypatch.setattr(measuring, "measure_strokes", found)
    return found


@pytest.fixture(scope="module")
def detections():
    """What was seen in a small clip, with one made-up stroke."""
    found = load_detections(read_result_folder(RELEASED)).detections["face_on"]
    stroke = make_seen_stroke(found, start_s=3.3, events=False)
    return {"face_on": evolve(found, strokes=SeenStrokes(view="face_on", strokes=(stroke,)))}


@pytest.fixture
def made(detections):
    return Measuring(detections=detections, student=STUDENT)


def placed(time_s, *, stroke=1, event="top"):
    return {"face_on": Given(event_times=(PlacedEvent(stroke=stroke, event=event, time_s=time_s),))}


def test_the_strokes_and_their_warnings_are_the_lessons(made, fake):
    lesson = made.measure()
    assert lesson.strokes.numbers["backswing_time"].value == 0.67
    assert "The light is low." in lesson.warnings
    assert lesson.views["face_on"].strokes is made.detections["face_on"].strokes


def test_where_no_stroke_was_looked_for_there_are_none(detections, fake):
    bare = {view: evolve(each, strokes=None) for view, each in detections.items()}
    assert Measuring(detections=bare, student=STUDENT).measure().strokes is None
    assert fake.asked == []


def test_a_number_says_that_it_rests_on_an_event_by_hand_and_the_setup_does_not(made, fake):
    lesson = made.measure(placed(3.9))
    back = lesson.strokes.numbers["backswing_time"]
    assert (back.value, back.automatic, back.by_hand) == (3.9, 0.67, (EVENTS_BY_HAND,))
    assert lesson.strokes.of["face_on"][0].numbers["backswing_time"].by_hand == (EVENTS_BY_HAND,)
    assert lesson.strokes.numbers["hands_back"].by_hand == ()
    assert all(each.by_hand == () for each in lesson.posture.estimates.values())


def test_a_length_of_the_stroke_says_that_it_rests_on_a_scale_by_hand(made, fake):
    given = {"face_on": Given(scale_object=(100.0, ((50.0, 50.0), (50.0, 270.0))))}
    lesson = made.measure(given)
    assert lesson.strokes.numbers["hands_back"].by_hand == ("scale object",)
    assert lesson.strokes.numbers["backswing_time"].by_hand == ()


@pytest.mark.parametrize(("stroke", "time_s"), [(2, 3.9), (1, 99.0)])
def test_an_event_that_lies_in_no_stroke_is_not_used_and_named(made, fake, stroke, time_s):
    lesson = made.measure(placed(time_s, stroke=stroke))
    assert lesson.strokes.numbers["backswing_time"].value == 0.67
    assert any(
        f"top of stroke {stroke} was placed by hand at {time_s:.2f} s" in each and "not used" in each
        for each in lesson.warnings
    )


def test_a_quick_measuring_keeps_the_strokes_until_an_event_moves(made, fake):
    made.measure_quickly()
    asked = len(fake.asked)
    made.measure_quickly({"face_on": Given(ball_px=(130.0, 430.0))})
    assert len(fake.asked) == asked
    moved, _ = made.measure_quickly(placed(3.9))
    assert len(fake.asked) == asked + 1
    assert moved.strokes.numbers["backswing_time"].value == 3.9


def test_strokes_are_looked_for_by_default_in_clips_and_left_out_on_wish(detections, fake, monkeypatch):
    looked = []

    def detect(found, views, *, handed, without_putter, progress):
        looked.append((sorted(found), handed, views["face_on"].scene.px_per_cm.value > 0))
        return {view: SeenStrokes(view=view, why_none="Nobody swings.") for view in found}

    bare = {view: evolve(each, strokes=None) for view, each in detections.items()}
    monkeypatch.setattr(pipeline, "read_clip", lambda path, view, capture_rate_hz=None: bare[view].clip)
    monkeypatch.setattr(pipeline, "detect_in_clips", lambda clips, **_given: bare)
    monkeypatch.setattr(pipeline, "detect_strokes", detect)
    monkeypatch.setattr(measuring, "measure_strokes", lambda views, student: no_strokes("Nobody swings."))
    told = []
    lesson = pipeline.measure_lesson(
        student=STUDENT, face_on="front.mov", progress=lambda what, done: told.append(done)
    )
    assert looked == [(["face_on"], "right", True)]
    assert (bool(lesson.strokes), lesson.strokes.why_none) == (False, "Nobody swings.")
    bare_lesson = pipeline.measure_lesson(student=STUDENT, face_on="front.mov", setup_only=True)
    assert (len(looked), bare_lesson.strokes) == (1, None)
    for name, each in bare_lesson.posture.estimates.items():
        other = lesson.posture[name]
        assert (each.value, each.standard_uncertainty) == (other.value, other.standard_uncertainty) or not each


def test_no_stroke_is_looked_for_in_a_still(detections, fake, monkeypatch):
    still = {
        view: evolve(each, strokes=None, clip=evolve(each.clip, kind="still")) for view, each in detections.items()
    }
    monkeypatch.setattr(pipeline, "read_clip", lambda path, view, capture_rate_hz=None: still[view].clip)
    monkeypatch.setattr(pipeline, "detect_in_clips", lambda clips, **_given: still)
    monkeypatch.setattr(pipeline, "detect_strokes", lambda *_given, **_more: pytest.fail("it was looked for"))
    assert pipeline.measure_lesson(student=STUDENT, face_on="front.jpg").strokes is None


@pytest.mark.parametrize(
    ("event_at", "said"),
    [
        ({"face_on": [(1, "middle", 3.0)]}, "event"),
        ({"face_on": [(0, "top", 3.0)]}, "stroke"),
        ({"face_on": [(1, "top", -3.0)]}, "time_s"),
        ({"face_on": [(1, "top")]}, r"a stroke, its event and the time were needed"),
        ({"face_on": "top"}, "a list was needed"),
        ({"behind": [(1, "top", 3.0)]}, "behind"),
    ],
)
def test_an_event_that_cannot_be_is_refused_before_any_work(event_at, said):
    with pytest.raises(UsageError, match=said):
        pipeline.measure_lesson(student=STUDENT, face_on="front.mov", event_at=event_at)


def test_an_event_by_hand_and_no_strokes_contradict_each_other():
    with pytest.raises(UsageError, match="Give one or the other"):
        pipeline.measure_lesson(
            student=STUDENT, face_on="front.mov", event_at={"face_on": [(1, "top", 3.0)]}, setup_only=True
        )
