"""A body that the model folded up is distinguished from a whole one."""

import numpy as np
import pytest
from stick_golfer import Camera, Golfer, see

from putt_posture.landmarks.person import Person, is_plausible
from putt_posture.values import LANDMARK_INDEX


def person_of(points: np.ndarray) -> Person:
    return Person(points_px=points, visibility=np.ones(33), depth=np.zeros(33), mask=None)


@pytest.mark.parametrize("view", ["down_the_line", "face_on"])
@pytest.mark.parametrize("tilt", [15.0, 35.0, 60.0])
def test_a_golfer_at_address_is_whole(view, tilt):
    assert is_plausible(person_of(see(Golfer(tilt_deg=tilt), Camera(view=view)).points_px[0]))


def test_arms_taken_for_legs_are_noticed():
    points = see(Golfer(), Camera(view="face_on")).points_px[0].copy()
    for side in ("left", "right"):
        for leg, arm in (("hip", "shoulder"), ("knee", "elbow"), ("ankle", "wrist")):
            points[LANDMARK_INDEX[f"{side}_{leg}"]] = points[LANDMARK_INDEX[f"{side}_{arm}"]] + [5.0, 3.0]
    assert not is_plausible(person_of(points))
