"""The measures on a stick golfer whose truth is known by construction, and their properties."""

import math
from functools import cache

import numpy as np
import pytest
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st
from stick_golfer import Camera, Golfer, result_of, student_of

from putt_posture.measures import MEASURES, measure_posture
from putt_posture.values import HAND_POINTS, LANDMARK_INDEX, LANDMARK_NAMES, VIEWS, Estimate, MeasureName, Posture

ANGLE_TOLERANCE_DEG = 0.3
"""Perspective of limbs off the mid-plane is only nominally taken out."""
LENGTH_TOLERANCE_CM = 0.6
"""The same, at 4 m."""


def both(golfer: Golfer, **camera: float) -> Posture:
    side, front = Camera(view="down_the_line", **camera), Camera(view="face_on", **camera)
    views = {"down_the_line": result_of(golfer, side), "face_on": result_of(golfer, front)}
    return measure_posture(views, student_of(golfer))


@cache
def usual() -> Posture:
    """The usual golfer by the usual camera, whom several properties compare with."""
    return both(Golfer())


@given(
    tilt=st.floats(12, 55),
    drop=st.floats(0, 50),
    knee=st.floats(2, 40),
    offset=st.floats(-6, 18),
    height=st.floats(60, 85),
    left=st.booleans(),
)
def test_side_measures_are_those_the_golfer_was_built_with(tilt, drop, knee, offset, height, left):
    golfer = Golfer(
        tilt_deg=tilt,
        head_drop_deg=drop,
        knee_flex_deg=knee,
        hand_offset_cm=offset,
        hand_height_cm=height,
        left_handed=left,
    )
    posture = both(golfer)
    assert posture["spine_tilt"].value == pytest.approx(tilt, abs=ANGLE_TOLERANCE_DEG)
    assert posture["head_drop"].value == pytest.approx(drop, abs=2 * ANGLE_TOLERANCE_DEG)
    assert posture["knee_flex"].value == pytest.approx(knee, abs=2 * ANGLE_TOLERANCE_DEG)
    assert posture["hand_offset"].value == pytest.approx(offset, abs=LENGTH_TOLERANCE_CM)
    assert posture["hand_height"].value == pytest.approx(height, abs=LENGTH_TOLERANCE_CM)


@given(bend=st.floats(-8, 8), stance=st.floats(18, 45), left=st.booleans())
def test_front_measures_are_those_the_golfer_was_built_with(bend, stance, left):
    posture = both(Golfer(side_bend_deg=bend, stance_cm=stance, left_handed=left))
    assert posture["side_bend"].value == pytest.approx(bend, abs=ANGLE_TOLERANCE_DEG)
    assert posture["stance_width"].value == pytest.approx(stance, abs=LENGTH_TOLERANCE_CM)
    assert posture["shoulder_level"].value == pytest.approx(0.0, abs=ANGLE_TOLERANCE_DEG)


@settings(max_examples=10)
@given(roll=st.floats(-4, 4))
def test_a_known_roll_is_taken_out(roll):
    level, rolled = usual(), both(Golfer(), roll_deg=roll)
    for name in ("spine_tilt", "hand_offset", "hand_height", "side_bend", "stance_width"):
        assert rolled[name].value == pytest.approx(level[name].value, abs=0.05)


@given(roll=st.floats(-4, 4))
def test_an_unknown_roll_adds_one_to_one_to_the_tilt(roll):
    golfer = Golfer()
    seen = result_of(golfer, Camera(roll_deg=roll), roll=result_of(golfer, Camera()).scene.roll)
    value = measure_posture({"down_the_line": seen}, student_of(golfer))["spine_tilt"].value
    assert value == pytest.approx(golfer.tilt_deg + roll, abs=ANGLE_TOLERANCE_DEG)


@pytest.mark.parametrize(("yaw_deg", "reads_deg"), [(10.0, 39.6), (20.0, 38.3)])
def test_a_yaw_turns_forty_degrees_into_what_projection_says(yaw_deg, reads_deg):
    # Hand-worked: atan(tan 40° · cos ψ) = 39.57° at 10° and 38.26° at 20°.
    far = {"distance_cm": 40000.0, "focal_px": 150000.0}
    posture = both(Golfer(tilt_deg=40.0), yaw_deg=yaw_deg, **far)
    assert posture["spine_tilt"].value == pytest.approx(reads_deg, abs=0.1)


@settings(max_examples=10)
@given(factor=st.floats(0.4, 2.5))
def test_picture_size_does_not_change_the_measures(factor):
    scaled = both(Golfer(), focal_px=1500.0 * factor)
    for name in MEASURES:
        if usual()[name] and name not in ("elbow_gap_lead", "elbow_gap_trail"):
            assert scaled[name].value == pytest.approx(usual()[name].value, abs=0.3), name


def test_a_mirrored_world_gives_a_left_hander_the_same_numbers():
    right, left = both(Golfer()), both(Golfer(left_handed=True))
    for name in MEASURES:
        assert bool(right[name]) == bool(left[name])
        if right[name]:
            assert left[name].value == pytest.approx(right[name].value, abs=1e-6), name


def test_every_measure_has_an_entry_with_one_view():
    golfer = Golfer()
    for view in ("down_the_line", "face_on"):
        posture = measure_posture({view: result_of(golfer, Camera(view=view))}, student_of(golfer))
        assert set(posture.estimates) == set(MEASURES)
        for name, estimate in posture.estimates.items():
            assert estimate.unit == MEASURES[name].unit
            assert bool(estimate) or estimate.absent.endswith("."), name


@pytest.mark.parametrize(
    ("hidden", "gone"),
    [
        (("left_hip", "right_hip"), ("spine_tilt", "head_drop", "balance", "knee_flex")),
        (("right_ankle",), ("knee_flex", "balance")),
        (("left_wrist",), ("hand_offset", "hand_height")),
        (("left_ear",), ("head_drop",)),
    ],
)
def test_a_measure_is_absent_when_its_landmark_is_hidden(hidden, gone):
    golfer = Golfer()
    side = result_of(golfer, Camera(), hidden=hidden)
    posture = measure_posture({"down_the_line": side}, student_of(golfer))
    for name in gone:
        assert not posture[name]
        assert posture[name].absent
        assert math.isnan(posture[name].value)


def test_the_uncertainty_grows_with_roll_and_yaw_and_scale():
    golfer, camera = Golfer(), Camera()

    def uncertainty(name: MeasureName, **changed: object) -> float:
        seen = result_of(golfer, camera, **changed)
        return measure_posture({"down_the_line": seen}, student_of(golfer))[name].standard_uncertainty

    roll = result_of(golfer, camera).scene.roll
    wide_roll = evolve(roll, standard_uncertainty=3.0)
    assert uncertainty("spine_tilt", roll=wide_roll) > uncertainty("spine_tilt")
    scale = result_of(golfer, camera).scene.px_per_cm
    wide_scale = evolve(scale, standard_uncertainty=0.08 * scale.value)
    assert uncertainty("hand_height", px_per_cm=wide_scale) > uncertainty("hand_height")
    wide_yaw = evolve(result_of(golfer, camera).scene.yaw, standard_uncertainty=15.0)
    assert uncertainty("spine_tilt", yaw=wide_yaw) > uncertainty("spine_tilt")


def test_joint_errors_go_into_the_uncertainty_as_far_as_they_move_the_measure():
    # Shoulders off by 2 cm square to a trunk of 50 cm and hands off by 1 cm up, independently of each other.
    golfer, camera = Golfer(tilt_deg=0.0, trunk_cm=50.0), Camera(distance_cm=4000.0, focal_px=15000.0)
    result = result_of(golfer, camera)
    px_per_cm = result.scene.px_per_cm.value
    patterns = np.zeros((2, len(LANDMARK_NAMES), 2))
    for side in ("left", "right"):
        patterns[0, LANDMARK_INDEX[f"{side}_shoulder"]] = [2 * px_per_cm, 0.0]
        for point in HAND_POINTS:
            patterns[1, LANDMARK_INDEX[f"{side}_{point}"]] = [0.0, px_per_cm]
    posture = measure_posture({"down_the_line": evolve(result, joint_errors_px=patterns)}, student_of(golfer))
    joints = {name: posture[name].budget["joints"] for name in ("spine_tilt", "hand_offset", "hand_height")}
    assert joints["spine_tilt"] == pytest.approx(math.degrees(math.atan(2 / 50)), rel=0.01)
    assert joints["hand_offset"] == pytest.approx(2.0, rel=0.01)
    assert joints["hand_height"] == pytest.approx(1.0, rel=0.01)


def test_what_renders_miss_alike_is_a_cause_of_its_own():
    # Shoulders that all renders miss by 2 cm square to a trunk of 50 cm.
    golfer, camera = Golfer(tilt_deg=0.0, trunk_cm=50.0), Camera(distance_cm=4000.0, focal_px=15000.0)
    result = result_of(golfer, camera)
    pattern = np.zeros((1, len(LANDMARK_NAMES), 2))
    for side in ("left", "right"):
        pattern[0, LANDMARK_INDEX[f"{side}_shoulder"]] = [2 * result.scene.px_per_cm.value, 0.0]
    with_it, without = (
        measure_posture({"down_the_line": each}, student_of(golfer))["spine_tilt"]
        for each in (evolve(result, joint_offsets_px=pattern), result)
    )
    expected = math.degrees(math.atan(2 / 50))
    assert with_it.budget["renders are not people"] == pytest.approx(expected, rel=0.01)
    assert with_it.budget["joints"] == without.budget["joints"]
    assert with_it.standard_uncertainty == pytest.approx(math.hypot(without.standard_uncertainty, expected), rel=0.01)


@pytest.mark.parametrize("view", VIEWS)
def test_a_known_yaw_is_taken_out_of_lengths(view):
    # The stick golfer's camera turns the other way round.
    golfer = Golfer(hand_offset_cm=10.0)
    yawed = Camera(view=view, yaw_deg=-12.0)
    yaw = Estimate(value=12.0, standard_uncertainty=1.0, unit="deg", view=view, method="known")
    posture = measure_posture(
        {v: result_of(golfer, yawed, yaw=yaw) if v == view else result_of(golfer, Camera(view=v)) for v in VIEWS},
        student_of(golfer),
    )
    assert posture["side_bend"].value == pytest.approx(0.0, abs=0.5)
    assert posture["hand_offset"].value == pytest.approx(10.0, abs=0.7)
    assert posture["spine_tilt"].value == pytest.approx(golfer.tilt_deg, abs=1.0)


def test_a_scale_error_moves_the_hand_height_in_proportion():
    golfer, camera = Golfer(), Camera()
    scale = result_of(golfer, camera).scene.px_per_cm
    off = result_of(golfer, camera, px_per_cm=evolve(scale, value=scale.value * 1.03))
    value = measure_posture({"down_the_line": off}, student_of(golfer))["hand_height"].value
    assert value == pytest.approx(golfer.hand_height_cm / 1.03, abs=0.3)


def test_shaft_and_ball_that_the_coach_drew_are_measured():
    golfer, camera = Golfer(hand_height_cm=72.0), Camera()
    lie = math.radians(71.0)
    sole = np.array([0.0, 45.0, 0.0])
    butt = sole + 86.0 * np.array([0.0, -math.cos(lie), math.sin(lie)])
    ball = np.array([0.0, 47.0, 2.1])
    shaft = tuple(tuple(float(c) for c in camera.project(end)) for end in (butt, sole))
    seen = result_of(golfer, camera, shaft_px=shaft, ball_px=tuple(float(c) for c in camera.project(ball)))
    posture = measure_posture({"down_the_line": seen}, student_of(golfer))
    eyes = golfer.joints()["left_eye"][1]
    assert posture["shaft_lie"].value == pytest.approx(71.0, abs=0.05)
    assert posture["putter_length"].value == pytest.approx(86.0, abs=0.1)
    assert posture["eye_offset"].value == pytest.approx(eyes - 47.0, abs=LENGTH_TOLERANCE_CM)


def test_several_setups_count_as_repeats():
    golfer, camera = Golfer(), Camera()
    one = result_of(golfer, camera)
    points = one.landmarks.points_px.copy()
    points = np.concatenate([points, points + np.array([0.0, 0.0])])
    shoulder = [11, 12]
    points[3:, shoulder, 0] += 20.0  # the second setup leans further
    landmarks = evolve(
        one.landmarks,
        points_px=points,
        times_s=np.arange(6) / 30,
        setup_index=np.array([0, 0, 0, 1, 1, 1]),
        visibility=np.ones((6, 33)),
        depth=np.zeros((6, 33)),
        masks=np.concatenate([one.landmarks.masks] * 2),
        outlines=np.concatenate([one.landmarks.outlines] * 2),
    )
    both_setups = evolve(one, landmarks=landmarks, joints=landmarks)
    twice = measure_posture({"down_the_line": both_setups}, student_of(golfer))["spine_tilt"]
    once = measure_posture({"down_the_line": one}, student_of(golfer))["spine_tilt"]
    assert twice.frames == 6
    assert twice.value > once.value
    assert twice.standard_uncertainty > once.standard_uncertainty


def test_a_far_hand_that_is_not_on_the_grip_is_left_out():
    golfer = Golfer()
    seen = result_of(golfer, Camera())
    points = seen.landmarks.points_px.copy()
    far = [LANDMARK_INDEX[f"left_{part}"] for part in ("wrist", "index", "pinky")]
    points[:, far] += [-40.0, -220.0]  # on the chest
    landmarks = evolve(seen.landmarks, points_px=points)
    posture = measure_posture(
        {"down_the_line": evolve(seen, landmarks=landmarks, joints=landmarks)}, student_of(golfer)
    )
    assert posture["hand_height"].value == pytest.approx(golfer.hand_height_cm, abs=2 * LENGTH_TOLERANCE_CM)


def test_the_budget_adds_up_to_the_uncertainty_and_the_raw_value_is_kept():
    golfer = Golfer()
    seen = result_of(golfer, Camera())
    points = seen.landmarks.points_px.copy()
    points[:, [LANDMARK_INDEX["left_shoulder"], LANDMARK_INDEX["right_shoulder"]], 0] += 15.0
    moved = evolve(seen, landmarks=evolve(seen.landmarks, points_px=points), joints=seen.landmarks)
    posture = measure_posture({"down_the_line": moved}, student_of(golfer))
    tilt = posture["spine_tilt"]
    assert tilt.raw_value > tilt.value + 3.0
    for estimate in posture.estimates.values():
        if estimate and estimate.budget:
            assert math.hypot(*estimate.budget.values()) == pytest.approx(estimate.standard_uncertainty)
