"""Scale, camera and facing read off a stick golfer whose truth is known by construction."""

import math

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from stick_golfer import SIZE, Camera, Golfer, see, student_of

from putt_posture.body import predict_joint_length
from putt_posture.scene import Seen, read_scenes
from putt_posture.scene.roll import find_roll
from putt_posture.scene.scale import BENT_BODY_SHARE
from putt_posture.values import Given

ROLL_TOLERANCE_DEG = 0.3
"""A drawn post is a few pixels wide and its edges are rounded to whole pixels."""
SCALE_TOLERANCE = 0.03
"""The stick golfer's proportions are not exactly those of the tables."""

BLANK = np.full((SIZE[1], SIZE[0], 3), 128, dtype=np.uint8)


def seen(golfer: Golfer, camera: Camera, **given: object) -> Seen:
    return Seen(landmarks=see(golfer, camera), picture=BLANK, given=Given(**given))  # type: ignore[arg-type]


def posts(roll_deg: float, *, convergence_deg: float = 0.0) -> np.ndarray:
    picture = np.full((1200, 900, 3), 90, dtype=np.uint8)
    for u in (80, 240, 430, 660, 820):
        lean = math.radians(roll_deg + convergence_deg * (u - 450) / 450)
        top = (round(u + 550 * math.tan(lean)), 50)
        bottom = (round(u - 550 * math.tan(lean)), 1150)
        cv2.line(picture, top, bottom, (230, 230, 220), 9, cv2.LINE_AA)
    return picture


@pytest.mark.parametrize("roll", [-4.0, -1.5, 0.0, 0.7, 3.0])
def test_roll_is_read_from_long_posts(roll):
    found = find_roll(posts(roll), view="down_the_line")
    assert found.value == pytest.approx(roll, abs=ROLL_TOLERANCE_DEG)
    assert "verticals" in found.method


def test_posts_that_lean_apart_give_the_roll_of_the_middle():
    found = find_roll(posts(1.0, convergence_deg=3.0), view="down_the_line")
    assert found.value == pytest.approx(1.0, abs=ROLL_TOLERANCE_DEG)


def test_a_picture_without_verticals_is_taken_as_level_and_says_so():
    found = find_roll(BLANK, view="face_on")
    assert found.value == 0.0
    assert found.standard_uncertainty >= 1.0
    assert "no clear verticals" in found.method


def test_posts_inside_the_student_are_left_out():
    found = find_roll(posts(3.0), view="face_on", ignore_px=(0, 0, 900, 1200))
    assert found.value == 0.0


@given(tilt=st.floats(10, 55), knee=st.floats(5, 35))
def test_scale_from_stature_does_not_shrink_with_a_bent_body(tilt, knee):
    golfer, camera = Golfer(tilt_deg=tilt, knee_flex_deg=knee), Camera()
    scene = read_scenes({"down_the_line": seen(golfer, camera)}, student_of(golfer))["down_the_line"]
    # A stick golfer's ends are its joints; those of the landmarks lie inside, and its spine does not bend.
    truth = camera.focal_px / camera.distance_cm / BENT_BODY_SHARE
    assert scene.scale_source == "stature"
    assert scene.px_per_cm.value == pytest.approx(truth, rel=SCALE_TOLERANCE)
    assert scene.px_per_cm.low < truth < scene.px_per_cm.high


def test_an_object_of_known_length_comes_before_the_putter_and_stature():
    golfer, camera = Golfer(), Camera()
    ends = tuple(tuple(float(c) for c in camera.project(np.array([0.0, y, 0.0]))) for y in (-40.0, 80.0))
    student = student_of(golfer, putter_length_cm=88.9)
    scene = read_scenes(
        {"down_the_line": seen(golfer, camera, scale_object=(120.0, ends), shaft_px=((0.0, 0.0), (1.0, 1.0)))}, student
    )["down_the_line"]
    assert scene.scale_source == "object"
    assert scene.px_per_cm.value == pytest.approx(camera.focal_px / camera.distance_cm, rel=1e-6)


def test_the_putters_length_comes_before_stature():
    golfer, camera = Golfer(), Camera()
    lie = math.radians(70.0)
    ends = [np.array([0.0, 40.0, 0.0]) + reach * np.array([0.0, -math.cos(lie), math.sin(lie)]) for reach in (88.9, 0)]
    shaft = tuple(tuple(float(c) for c in camera.project(end)) for end in ends)
    scene = read_scenes(
        {"down_the_line": seen(golfer, camera, shaft_px=shaft)}, student_of(golfer, putter_length_cm=88.9)
    )["down_the_line"]
    assert scene.scale_source == "putter"
    assert scene.px_per_cm.value == pytest.approx(camera.focal_px / camera.distance_cm, rel=1e-3)


def test_face_on_borrows_its_scale_from_down_the_line():
    golfer = Golfer()
    side, front = Camera(distance_cm=350.0), Camera(view="face_on", distance_cm=480.0)
    scenes = read_scenes({"down_the_line": seen(golfer, side), "face_on": seen(golfer, front)}, student_of(golfer))
    assert scenes["face_on"].scale_source == "other_view"
    ratio = scenes["face_on"].px_per_cm.value / scenes["down_the_line"].px_per_cm.value
    assert ratio == pytest.approx(350.0 / 480.0, rel=0.03)


def test_an_object_face_on_also_scales_down_the_line():
    golfer = Golfer()
    side, front = Camera(), Camera(view="face_on", distance_cm=480.0)
    ends = tuple(tuple(float(c) for c in front.project(np.array([x, 0.0, 0.0]))) for x in (-60.0, 60.0))
    scenes = read_scenes(
        {"down_the_line": seen(golfer, side), "face_on": seen(golfer, front, scale_object=(120.0, ends))},
        student_of(golfer),
    )
    assert scenes["down_the_line"].scale_source == "other_view"
    assert scenes["down_the_line"].px_per_cm.value == pytest.approx(side.focal_px / side.distance_cm, rel=0.03)


def test_a_given_roll_is_taken_as_it_is():
    golfer = Golfer()
    scene = read_scenes({"face_on": seen(golfer, Camera(view="face_on"), roll_deg=1.4)}, student_of(golfer))["face_on"]
    assert scene.roll.value == 1.4
    assert scene.given == ("camera roll",)


@pytest.mark.parametrize("left", [False, True])
def test_facing_follows_the_hand(left):
    golfer = Golfer(left_handed=left)
    scenes = read_scenes(
        {"down_the_line": seen(golfer, Camera()), "face_on": seen(golfer, Camera(view="face_on"))}, student_of(golfer)
    )
    expected = -1 if left else 1
    assert {scene.forward for scene in scenes.values()} == {expected}
    assert not any("faces" in warning for warning in scenes["down_the_line"].warnings)


def test_a_student_who_faces_the_wrong_way_is_said():
    golfer = Golfer()
    student = student_of(golfer, handed="left")
    scene = read_scenes({"down_the_line": seen(golfer, Camera())}, student)["down_the_line"]
    assert any("faces right" in warning for warning in scene.warnings)


@pytest.mark.parametrize(
    ("camera", "word"),
    [
        (Camera(distance_cm=120.0, focal_px=1300.0, height_cm=95.0), "stand 4 to 6 m away"),
        (Camera(height_cm=20.0), "too low"),
        (Camera(yaw_deg=40.0), "well off the line"),
        (Camera(view="face_on", yaw_deg=60.0), "square to the chest"),
    ],
)
def test_a_badly_placed_camera_is_said(camera, word):
    golfer = Golfer()
    scene = read_scenes({camera.view: seen(golfer, camera)}, student_of(golfer))[camera.view]
    assert any(word in warning for warning in scene.warnings), scene.warnings


def test_a_well_placed_camera_draws_no_warning():
    golfer = Golfer()
    scenes = read_scenes(
        {"down_the_line": seen(golfer, Camera()), "face_on": seen(golfer, Camera(view="face_on"))}, student_of(golfer)
    )
    assert all(scene.warnings == () for scene in scenes.values())


@pytest.mark.parametrize("view", ["down_the_line", "face_on"])
def test_the_ground_is_where_heels_and_toes_stand(view):
    golfer, camera = Golfer(), Camera(view=view)
    landmarks = see(golfer, camera)
    scene = read_scenes({view: seen(golfer, camera)}, student_of(golfer))[view]
    heel, toe = (landmarks.middle(part)[0, 1] for part in ("heel", "foot_index"))
    assert scene.ground_v_px.value == pytest.approx(heel + 0.25 * (toe - heel), abs=1e-6)
    assert scene.ground_v_px.method == "heel and toe of the shoes"


def test_the_ground_lies_an_ankle_and_a_sole_below_the_ankles_where_shoes_are_unseen():
    golfer, camera = Golfer(), Camera()
    student = student_of(golfer)
    feet = ("left_heel", "right_heel", "left_foot_index", "right_foot_index")
    hidden = Seen(landmarks=see(golfer, camera, hidden=feet), picture=BLANK, given=Given())
    scene = read_scenes({"down_the_line": hidden}, student)["down_the_line"]
    ankle = predict_joint_length("ankle_height", student.stature_cm, student.sex).value
    below = scene.ground_v_px.value - see(golfer, camera).middle("ankle")[0, 1]
    assert below / scene.px_per_cm.value == pytest.approx(ankle + 2.5, abs=1e-6)
