"""The base of the neck from the landmarks: how it follows the body, and when it is not known."""

import numpy as np
import pytest
from attrs import evolve
from stick_golfer import Camera, Golfer, see

from putt_posture.posture.nape import find_nape

SAME_PX = 1e-6
NECK_CM = (3.0, 14.0)
"""From the shoulder joints to the cervicale: 8 cm higher than the acromion in the mean man (ANSUR II 2012), the joints
some 3 cm lower still, give or take a shrug."""


def nape_of(golfer: Golfer, camera: Camera | None = None, **hidden) -> np.ndarray:
    camera = Camera() if camera is None else camera
    near, forward = ("left", -1) if golfer.left_handed else ("right", 1)
    return find_nape(see(golfer, camera, **hidden), near=near, forward=forward, sex="male")


@pytest.mark.parametrize("tilt_deg", [15.0, 35.0, 50.0])
def test_the_neck_begins_a_little_above_the_shoulders_along_the_trunk(tilt_deg) -> None:
    golfer = Golfer(tilt_deg=tilt_deg)
    landmarks = see(golfer, Camera())
    shoulder, hip = landmarks.middle("shoulder"), landmarks.middle("hip")
    spine = shoulder - hip
    along_cm = np.sum((nape_of(golfer) - shoulder) * spine, axis=1) / np.sum(spine**2, axis=1) * golfer.trunk_cm
    assert NECK_CM[0] < along_cm[0] < NECK_CM[1]


def test_a_left_hander_s_neck_is_the_mirror_image() -> None:
    right, left = nape_of(Golfer()), nape_of(Golfer(left_handed=True))
    np.testing.assert_allclose(left, [1080.0, 0.0] + right * [-1.0, 1.0], atol=SAME_PX)


def test_the_neck_grows_with_the_picture() -> None:
    landmarks = see(Golfer(), Camera())
    twice = evolve(landmarks, points_px=2 * landmarks.points_px)
    one, other = (find_nape(each, near="right", forward=1, sex="female") for each in (landmarks, twice))
    np.testing.assert_allclose(other, 2 * one, atol=SAME_PX)


def test_without_the_sex_the_neck_lies_half_way_between() -> None:
    landmarks = see(Golfer(), Camera())
    man, woman, unknown = (find_nape(landmarks, near="right", forward=1, sex=sex) for sex in ("male", "female", None))
    np.testing.assert_allclose(unknown, (man + woman) / 2, atol=SAME_PX)


@pytest.mark.parametrize("hidden", ["left_hip", "right_shoulder", "right_ear"])
def test_the_neck_is_nan_where_a_landmark_that_it_needs_is_hidden(hidden) -> None:
    assert np.isnan(nape_of(Golfer(), hidden=(hidden,))).all()
