"""A joint placed by hand stays where it was put, with a click's uncertainty."""

import numpy as np
import pytest
from attrs import evolve
from stick_golfer import Camera, Golfer, see

from putt_posture.joints import fit_joints, place_joints, split_by_frame
from putt_posture.joints.placing import CLICK_SD_CM
from putt_posture.values import LANDMARK_INDEX, PlacedLandmark

VIEWS = ["down_the_line", "face_on"]
HIP = LANDMARK_INDEX["left_hip"]


def frames_of(view, *, moved=((0.0, 0.0), (8.0, -4.0), (16.0, -8.0)), setups=(0, 0, 0)):
    """Return the same golfer in frames through which the camera drifts."""
    one = see(Golfer(), Camera(view=view))
    first = one.points_px[:1]
    count = len(moved)
    return evolve(
        one,
        times_s=np.arange(count) / 5.0,
        setup_index=np.array(setups, dtype=np.int64),
        points_px=np.concatenate([first + np.array(each) for each in moved]),
        visibility=np.repeat(one.visibility[:1], count, axis=0),
        depth=np.repeat(one.depth[:1], count, axis=0),
        masks=np.repeat(one.masks[:1], count, axis=0),
        outlines=np.repeat(one.outlines[:1], count, axis=0),
    )


def place(view, *placed, still_index=0, **about):
    landmarks = frames_of(view, **about)
    fitted = fit_joints(landmarks, handed="right", roll_deg=0.0)
    by_frame, lost = split_by_frame(placed, landmarks, still_index=still_index)
    return landmarks, fitted, place_joints(fitted, by_frame), lost


@pytest.mark.parametrize("view", VIEWS)
def test_a_placed_joint_stays_where_it_was_put_and_moves_no_other(view):
    _, fitted, placed, _ = place(view, PlacedLandmark(landmark="left_hip", point_px=(400.0, 900.0)))
    np.testing.assert_allclose(placed.landmarks.points_px[0, HIP], (400.0, 900.0))
    others = [index for index in range(33) if index != HIP]
    np.testing.assert_array_equal(placed.landmarks.points_px[:, others], fitted.landmarks.points_px[:, others])


@pytest.mark.parametrize("view", VIEWS)
def test_in_the_other_frames_of_its_setup_it_goes_along_with_the_body(view):
    _, _, placed, _ = place(view, PlacedLandmark(landmark="left_hip", point_px=(400.0, 900.0), time_s=0.2))
    np.testing.assert_allclose(placed.landmarks.points_px[:, HIP], [(392, 904), (400, 900), (408, 896)], atol=1e-6)


def test_in_another_setup_it_is_moved_by_as_much_as_it_was_moved_here():
    at = PlacedLandmark(landmark="left_hip", point_px=(400.0, 900.0))
    _, fitted, placed, _ = place("face_on", at, setups=(0, 1, 1))
    moved = np.array((400.0, 900.0)) - fitted.landmarks.points_px[0, HIP]
    np.testing.assert_allclose(placed.landmarks.points_px[1:, HIP], fitted.landmarks.points_px[1:, HIP] + moved)


@pytest.mark.parametrize("view", VIEWS)
def test_its_uncertainty_is_that_of_a_click_and_nothing_that_was_learned(view):
    landmarks, fitted, placed, _ = place(view, PlacedLandmark(landmark="left_hip", point_px=(400.0, 900.0)))
    sd = np.linalg.norm(placed.errors_px[:, HIP], axis=0)
    px_per_cm = np.ptp(landmarks.points_px[0, :, 1]) / 150.0  # a bent body is some 150 cm high
    np.testing.assert_allclose(sd, CLICK_SD_CM * px_per_cm, rtol=0.25)
    assert not placed.offsets_px[:, HIP].any()
    others = [index for index in range(33) if index != HIP]
    np.testing.assert_array_equal(placed.errors_px[: len(fitted.errors_px), others], fitted.errors_px[:, others])


def test_a_joint_placed_twice_in_a_frame_is_where_it_was_put_last():
    points = [(400.0, 900.0), (410.0, 910.0)]
    _, _, placed, _ = place("face_on", *(PlacedLandmark(landmark="left_hip", point_px=each) for each in points))
    np.testing.assert_allclose(placed.landmarks.points_px[0, HIP], points[1])


def test_a_joint_placed_in_a_frame_that_is_not_measured_is_told_apart():
    far = PlacedLandmark(landmark="left_hip", point_px=(400.0, 900.0), time_s=9.0)
    _, fitted, placed, lost = place("face_on", far)
    assert lost == (far,)
    assert placed is fitted
