"""A number says what it rests on that was given by hand, and what it would be without it."""

from pathlib import Path

import pytest
from attrs import evolve

from putt_posture.clips import read_clip
from putt_posture.detection.detect import detect_in_clips
from putt_posture.documents import rows_of
from putt_posture.errors import UsageError
from putt_posture.figures import format_margin
from putt_posture.lesson import measure_detections, measure_lesson
from putt_posture.values import Given, PlacedLandmark, Student

PICTURE = Path(__file__).parents[1] / "landmarks" / "pictures" / "golfer_face_on.jpg"
STUDENT = Student(stature_cm=175.0, handed="right", sex="male")


@pytest.fixture(scope="module")
def detections():
    return {"face_on": detect_in_clips({"face_on": read_clip(PICTURE, view="face_on")})["face_on"]}


@pytest.fixture(scope="module")
def bare(detections):
    return measure_detections(detections, student=STUDENT)


def place(bare, joint, *, by):
    result = bare.views["face_on"]
    u, v = result.joints.point(joint)[result.still_index]
    return PlacedLandmark(landmark=joint, point_px=(float(u) + by[0], float(v) + by[1]))


def test_nothing_is_by_hand_where_nothing_was_given(bare):
    assert all(each.by_hand == () and each.automatic is None for each in bare.posture.estimates.values())


def test_the_measure_of_a_placed_joint_is_by_hand_and_others_are_not(detections, bare):
    # A shoulder is no part of the face-on scale, which rests on the legs.
    given = Given(landmarks=(place(bare, "left_shoulder", by=(0.0, 25.0)),))
    lesson = measure_detections(detections, student=STUDENT, given={"face_on": given})
    level, was = lesson.posture["shoulder_level"], bare.posture["shoulder_level"]
    assert level.by_hand == ("left shoulder",)
    assert level.automatic == was.value
    assert level.value != was.value
    assert level.method == f"{was.method}; by hand: left shoulder"
    assert lesson.posture["stance_width"] == bare.posture["stance_width"]


def test_of_several_things_given_only_what_a_number_rests_on_is_named(detections, bare):
    given = Given(
        landmarks=(place(bare, "left_shoulder", by=(0.0, 25.0)), place(bare, "left_ankle", by=(30.0, 0.0))),
    )
    lesson = measure_detections(detections, student=STUDENT, given={"face_on": given})
    assert lesson.posture["stance_width"].by_hand == ("left ankle",)
    assert "left shoulder" in lesson.posture["shoulder_level"].by_hand


def test_it_is_said_wherever_the_number_is_printed(detections, bare):
    given = Given(landmarks=(place(bare, "left_shoulder", by=(0.0, 25.0)),))
    lesson = measure_detections(detections, student=STUDENT, given={"face_on": given})
    assert format_margin(lesson.posture["shoulder_level"]).endswith("(by hand)")
    row = next(each for each in rows_of(lesson) if each.name == "shoulder_level")
    assert row.figure.endswith("(by hand)")
    assert "by hand: left shoulder" in row.provenance
    assert row.provenance.endswith("without it")
    assert lesson.views["face_on"].scene.given == ("left shoulder",)


def test_a_point_outside_the_picture_and_a_landmark_that_is_none_are_refused_before_the_long_work(monkeypatch):
    monkeypatch.setattr("putt_posture.lesson.detect_in_clips", None)
    for name, point, says in (
        ("left_hip", (1e5, 5.0), "lies outside the picture"),
        ("tail", (5.0, 5.0), "no landmark"),
    ):
        with pytest.raises(UsageError, match=says):
            measure_lesson(student=STUDENT, face_on=PICTURE, landmark_at={"face_on": [(name, point)]})


def test_the_ground_that_was_pointed_at_goes_before_the_feet(detections, bare):
    scene = bare.views["face_on"].scene
    u = float(bare.views["face_on"].joints.middle("ankle")[0, 0])
    level = evolve(Given(roll_deg=0.0), ground_px=(u, scene.ground_v_px.value + 20.0))
    found = measure_detections(detections, student=STUDENT, given={"face_on": level}).views["face_on"].scene
    assert found.ground_v_px.value == pytest.approx(scene.ground_v_px.value + 20.0, abs=0.5)
    assert "ground" in found.given
