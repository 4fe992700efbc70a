"""The fit of joints to landmarks: what must not matter does not, and what it learned shows."""

import numpy as np
import pytest
from attrs import evolve
from stick_golfer import SIZE, Camera, Golfer, see

from putt_posture.joints import fit_joints
from putt_posture.joints.fit import RESOLUTION_SD
from putt_posture.scene.setup_check import MISFIT_REFUSED
from putt_posture.values import LANDMARK_INDEX, LANDMARK_NAMES, VIEWS, Landmarks

SAME_PX = 1e-6
WITHOUT_FEET_PX = 12.0
"""3 cm: what the feet tell of the other joints, they no longer tell."""


def other_side(name: str) -> str:
    return name.replace("left", "#").replace("right", "left").replace("#", "right")


OTHER_SIDE = [LANDMARK_INDEX[other_side(name)] for name in LANDMARK_NAMES]


def mirrored(landmarks: Landmarks) -> Landmarks:
    points = landmarks.points_px[:, OTHER_SIDE] * [-1, 1] + [SIZE[0], 0]
    return evolve(landmarks, points_px=points, depth=landmarks.depth[:, OTHER_SIDE])


@pytest.mark.parametrize("view", VIEWS)
def test_a_left_hander_is_the_mirror_image_of_a_right_hander(view):
    seen = see(Golfer(), Camera(view=view))
    right = fit_joints(seen, handed="right", roll_deg=0.0)
    left = fit_joints(mirrored(seen), handed="left", roll_deg=0.0)
    np.testing.assert_allclose(left.landmarks.points_px, mirrored(right.landmarks).points_px, atol=SAME_PX)
    assert left.yaw.value == pytest.approx(right.yaw.value)


@pytest.mark.parametrize("view", VIEWS)
def test_a_rolled_camera_finds_the_same_joints(view):
    turn = np.radians(2.0)
    turned = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])  # clockwise on the screen, v down
    seen = see(Golfer(), Camera(view=view))
    rolled = evolve(seen, points_px=seen.points_px @ turned)
    level = fit_joints(seen, handed="right", roll_deg=0.0)
    found = fit_joints(rolled, handed="right", roll_deg=2.0)
    np.testing.assert_allclose(found.landmarks.points_px, level.landmarks.points_px @ turned, atol=SAME_PX)


@pytest.mark.parametrize("view", VIEWS)
def test_a_picture_of_twice_the_size_gives_joints_at_twice_the_place(view):
    seen = see(Golfer(), Camera(view=view))
    large = evolve(seen, points_px=2 * seen.points_px, depth=2 * seen.depth)
    once, twice = (
        fit_joints(one, handed="right", roll_deg=0.0, resolution_px=resolution)
        for one, resolution in ((seen, 1.0), (large, 2.0))
    )
    np.testing.assert_allclose(twice.landmarks.points_px, 2 * once.landmarks.points_px, atol=SAME_PX)
    np.testing.assert_allclose(np.abs(twice.errors_px), 2 * np.abs(once.errors_px), atol=1e-3)


def test_unseen_landmarks_stay_unseen_and_the_rest_is_still_moved():
    seen = see(Golfer(), Camera(), hidden=("left_ear", "right_ear"))
    found = fit_joints(seen, handed="right", roll_deg=0.0).landmarks
    assert np.isnan(found.middle("ear")).all()
    assert np.isfinite(found.middle("hip")).all()
    assert not np.allclose(found.middle("hip"), seen.middle("hip"), atol=1.0)


@pytest.mark.parametrize("view", VIEWS)
def test_a_coarse_picture_leaves_every_joint_less_certain(view):
    seen = see(Golfer(), Camera(view=view))
    sharp, coarse = (
        fit_joints(seen, handed="right", roll_deg=0.0, resolution_px=resolution) for resolution in (1.0, 6.0)
    )
    np.testing.assert_array_equal(sharp.landmarks.points_px, coarse.landmarks.points_px)
    for side in ("left", "right"):
        for part in ("hip", "knee", "shoulder", "wrist", "ear"):
            joint = LANDMARK_INDEX[f"{side}_{part}"]
            less, more = (float(np.linalg.norm(one.errors_px[:, joint])) for one in (sharp, coarse))
            assert more**2 - less**2 == pytest.approx(2 * RESOLUTION_SD**2 * (6.0**2 - 1.0**2), rel=0.02)


def test_the_mirror_image_of_a_golfer_who_keeps_the_same_hand_has_the_shoulders_exchanged():
    # Such is a golfer who grips lead hand low: what the usual golfer's lead side does, the trail side does.
    seen = see(Golfer(), Camera(view="face_on"))
    one, other = (fit_joints(each, handed="right", roll_deg=0.0) for each in (seen, mirrored(seen)))
    np.testing.assert_allclose(other.landmarks.points_px, mirrored(one.landmarks).points_px, atol=0.01)
    assert other.yaw.value == pytest.approx(-one.yaw.value, abs=0.01)


def test_a_grip_moves_no_shoulder():
    usual, low = (see(Golfer(), Camera(view="face_on")) for _ in range(2))
    points = low.points_px.copy()
    for joint in ("wrist", "pinky", "index", "elbow"):
        points[:, LANDMARK_INDEX[f"left_{joint}"]] += [0.0, 60.0]
    low = evolve(low, points_px=points)
    one, other = (fit_joints(each, handed="right", roll_deg=0.0).landmarks for each in (usual, low))
    for joint in ("left_shoulder", "right_shoulder", "left_hip", "right_hip"):
        np.testing.assert_allclose(other.point(joint), one.point(joint), atol=SAME_PX)


def test_the_mean_residual_of_renders_is_kept_beside_the_rest():
    found = fit_joints(see(Golfer(), Camera()), handed="right", roll_deg=0.0)
    assert found.offsets_px.shape == (1, len(LANDMARK_NAMES), 2)
    moved = np.linalg.norm(found.offsets_px[0], axis=-1)
    assert moved[LANDMARK_INDEX["right_hip"]] > 5.0
    assert moved[LANDMARK_INDEX["right_heel"]] == pytest.approx(0.0, abs=SAME_PX)  # seen on people, so taken out


@pytest.mark.parametrize("view", VIEWS)
def test_a_camera_that_moves_toward_the_ball_or_the_target_is_seen_to(view):
    # The stick golfer's camera turns the other way round; it has no depths, so that less than the whole is seen.
    at = {
        yaw: fit_joints(see(Golfer(), Camera(view=view, yaw_deg=-yaw)), handed="right", roll_deg=0.0).yaw
        for yaw in (-6.0, 0.0, 6.0)
    }
    assert 2.4 < at[6.0].value - at[0.0].value < 8.4
    assert 2.4 < at[0.0].value - at[-6.0].value < 8.4


def test_what_is_not_a_body_has_a_misfit_far_beyond_what_is_measured():
    seen = see(Golfer(), Camera())
    points = seen.points_px.copy()
    points[:, LANDMARK_INDEX["left_shoulder"]] += [700.0, 700.0]
    assert fit_joints(seen, handed="right", roll_deg=0.0).misfit < MISFIT_REFUSED
    assert fit_joints(evolve(seen, points_px=points), handed="right", roll_deg=0.0).misfit > 2 * MISFIT_REFUSED


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("left_handed", [False, True])
def test_without_the_feet_the_other_joints_are_where_they_are_with_them(view, left_handed):
    golfer, handed = Golfer(left_handed=left_handed), "left" if left_handed else "right"
    camera = Camera(view=view)
    feet = tuple(name for name in LANDMARK_NAMES if name.endswith(("ankle", "heel", "foot_index")))
    whole, cut = (fit_joints(see(golfer, camera, hidden=hidden), handed=handed, roll_deg=0.0) for hidden in ((), feet))
    assert np.isnan(cut.landmarks.middle("ankle")).all()
    for part in ("knee", "hip", "shoulder", "wrist", "ear"):
        apart = np.linalg.norm(cut.landmarks.middle(part) - whole.landmarks.middle(part), axis=1)
        assert apart.max() < WITHOUT_FEET_PX, part
    hip = LANDMARK_INDEX["right_hip"]
    assert np.linalg.norm(cut.errors_px[:, hip]) > 0.9 * np.linalg.norm(whole.errors_px[:, hip]) > 1.0


def test_a_body_like_no_other_is_reported_and_less_certain():
    seen = see(Golfer(), Camera())
    points = seen.points_px.copy()
    points[:, LANDMARK_INDEX["left_shoulder"]] += [40.0, 25.0]
    points[:, LANDMARK_INDEX["right_hip"]] -= [25.0, 0.0]
    usual, odd = (fit_joints(one, handed="right", roll_deg=0.0) for one in (seen, evolve(seen, points_px=points)))
    assert odd.misfit > 1.4 * usual.misfit
    assert any("less well than people at address" in warning for warning in odd.warnings)
    assert np.linalg.norm(odd.errors_px) > np.linalg.norm(usual.errors_px)
