"""Poses that are not an address are recognised by where the hands are, and golfers at address are accepted."""

import numpy as np
import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st
from stick_golfer import Camera, Golfer, see

from putt_posture.scene.setup_check import name_other_pose
from putt_posture.values import LANDMARK_INDEX, VIEWS, Landmarks, View

PX_PER_CM = 3.75
STATURE_PX = 176.0 * PX_PER_CM
HANDS = ("wrist", "pinky", "index", "thumb")


def moved(landmarks: Landmarks, parts: tuple[str, ...], by_cm: tuple[float, float], *, side: str = "") -> Landmarks:
    """Move parts to the right and down in the picture."""
    points = landmarks.points_px.copy()
    for name, index in LANDMARK_INDEX.items():
        if name.startswith(side) and name.removeprefix("left_").removeprefix("right_") in parts:
            points[:, index] += np.array(by_cm) * PX_PER_CM
    return evolve(landmarks, points_px=points)


@given(
    view=st.sampled_from(VIEWS),
    tilt=st.floats(12, 55),
    knee=st.floats(2, 40),
    height=st.floats(60, 88),
    offset=st.floats(-4, 15),
    yaw=st.floats(-15, 15),
    left_handed=st.booleans(),
)
def test_nothing_speaks_against_a_golfer_at_address(view: View, tilt, knee, height, offset, yaw, left_handed):
    golfer = Golfer(
        tilt_deg=tilt, knee_flex_deg=knee, hand_height_cm=height, hand_offset_cm=offset, left_handed=left_handed
    )
    handed = "left" if left_handed else "right"
    assert name_other_pose(see(golfer, Camera(view=view, yaw_deg=yaw)), handed=handed) == ""


@pytest.mark.parametrize("view", VIEWS)
def test_hands_above_the_elbows_are_the_top_of_a_swing(view):
    top = moved(see(Golfer(), Camera(view=view)), HANDS, (0.0, -45.0))
    assert "both hands are as high as the elbows" in name_other_pose(top, handed="right")


@pytest.mark.parametrize("view", VIEWS)
def test_one_hand_at_the_breastbone_is_a_long_putter(view):
    # The upper hand 0.08 of the stature below the shoulders and level with its elbow, the lower one as it was.
    seen = see(Golfer(hand_height_cm=80.0), Camera(view=view))
    up = seen.point("left_shoulder")[0, 1] + 0.08 * STATURE_PX - seen.point("left_wrist")[0, 1]
    long = moved(seen, HANDS, (0.0, up / PX_PER_CM), side="left")
    long = moved(
        long, ("elbow",), (0.0, (long.point("left_wrist") - long.point("left_elbow"))[0, 1] / PX_PER_CM), side="left"
    )
    assert name_other_pose(long, handed="right") == ""


@pytest.mark.parametrize("view", VIEWS)
def test_hands_and_elbows_at_the_chest_are_not_a_setup(view):
    seen = see(Golfer(), Camera(view=view))
    up = seen.middle("shoulder")[0, 1] + 0.1 * STATURE_PX - seen.middle("wrist")[0, 1]
    held = moved(moved(seen, HANDS, (0.0, up / PX_PER_CM)), ("elbow",), (0.0, up / PX_PER_CM))
    assert "as high as the chest" in name_other_pose(held, handed="right")


@pytest.mark.parametrize("view", VIEWS)
def test_hands_above_the_hips_are_halfway_back(view):
    seen = see(Golfer(tilt_deg=20.0), Camera(view=view))
    up = -0.08 * STATURE_PX - (seen.middle("wrist") - seen.middle("hip"))[0, 1]
    back = moved(moved(seen, HANDS, (0.0, up / PX_PER_CM)), ("elbow",), (0.0, -18.0))
    assert "both hands are higher than the hips" in name_other_pose(back, handed="right")


def test_a_trunk_that_is_upright_with_the_hands_up_is_named():
    seen = see(Golfer(tilt_deg=5.0), Camera())
    up = -0.04 * STATURE_PX - (seen.middle("wrist") - seen.middle("hip"))[0, 1]
    standing = moved(seen, HANDS, (0.0, up / PX_PER_CM))
    assert "the trunk is upright" in name_other_pose(standing, handed="right")


@pytest.mark.parametrize("left_handed", [False, True])
def test_hands_behind_the_feet_are_named_down_the_line(left_handed):
    forward, handed = (-1.0, "left") if left_handed else (1.0, "right")
    seen = see(Golfer(left_handed=left_handed), Camera())
    behind = moved(seen, HANDS, (-45.0 * forward, 0.0))
    assert name_other_pose(behind, handed=handed) == "the hands are behind the feet"


@pytest.mark.parametrize("side", [-1.0, 1.0])
def test_hands_beyond_a_foot_are_named_face_on(side):
    beyond = moved(see(Golfer(), Camera(view="face_on")), HANDS, (side * 32.0, 0.0))
    assert "not between the feet" in name_other_pose(beyond, handed="right")


@pytest.mark.parametrize("view", VIEWS)
def test_what_is_hidden_speaks_against_nothing(view):
    seen = see(Golfer(), Camera(view=view))
    for parts in (("wrist",), ("elbow",), ("ankle", "heel", "foot_index"), ("hip",), ("shoulder",), ("knee",)):
        hidden = moved(seen, parts, (np.nan, np.nan))
        assert name_other_pose(hidden, handed="right") == "", parts
