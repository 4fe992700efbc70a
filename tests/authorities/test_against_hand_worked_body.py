"""The jointed body against cases worked by hand, in round numbers.

BareShaft 40 and thigh 40 above an ankle at 10; trunk 50; neck 20; ear to eye 10; upper arm 30, forearm 25, hand 5; half
the shoulders 15, so that elbows at 15 and wrists at 5 span 0 and −10 cm, hands at 3 a further −2.
"""

import math

import numpy as np
import pytest

from putt_posture.fitting.body_model import curl_trunk, place_body
from putt_posture.fitting.body_model.arms import find_arm

DIGITS = 5e-4
"""Cases are worked to four digits."""

BODY = {
    name: np.asarray(value)
    for name, value in {
        "ankle": 10.0, "shank": 40.0, "thigh": 40.0, "trunk": 50.0, "neck": 20.0, "ear_to_eye": 10.0,
        "upper_arm": 30.0, "forearm": 25.0, "hand": 5.0, "half_shoulders": 15.0, "half_ribs": 15.0, "ribs": 12.0,
        "foot": 26.0,
    }.items()
}  # fmt: skip

UPRIGHT = {
    "sole": 0.0, "knee_flex": 0.0, "tilt": 0.0, "back_rounding": 0.0, "head_drop": 0.0, "head_pitch": 0.0,
    "upper_arm_back": 0.0, "elbow_bend_seen": 0.0, "sex": "male",
}  # fmt: skip


def above_the_ankle(pose, joint):
    return pose.joints[joint] - pose.joints["ankle"]


def lean_of(pose):
    y, z = above_the_ankle(pose, "knee")
    return math.degrees(math.atan2(y, z))


def place(**changed):
    return place_body(BODY, balance=50.0, **(UPRIGHT | changed))


def test_arm_seen_from_the_side():
    # Forearm √(25² − 10²) = √525 = 22.9129; hand √(25 − 4) = 4.5826; lower 27.4955.
    arm = find_arm(BODY)
    assert float(arm.upper) == pytest.approx(30.0)
    assert float(arm.lower) == pytest.approx(27.4955, abs=DIGITS)
    # Straight from the side: in space the angle between (0, 30) and (−10, 22.9129): acos(22.9129 / 25) = 23.5782°.
    assert float(arm.bend_in_space(0.0)) == pytest.approx(23.5782, abs=DIGITS)
    assert float(arm.bend_from_the_side(23.5782)) == pytest.approx(0.0, abs=0.1)
    assert float(arm.reach(0.0)) == pytest.approx(57.4955, abs=DIGITS)
    # A right angle: √(900 + 756.0025) = 40.6941, and the upper arm leans back by atan(27.4955 / 30) = 42.5055°.
    assert float(arm.reach(90.0)) == pytest.approx(40.6940, abs=DIGITS)
    assert float(arm.upper_arm_back(90.0, 0.0)) == pytest.approx(42.5053, abs=DIGITS)


@pytest.mark.parametrize(("bend", "offset"), [(0.0, 0.0), (20.0, 0.0), (35.0, 8.0), (10.0, -6.0)])
def test_hands_come_to_where_they_were_put(bend, offset):
    arm = find_arm(BODY)
    back = float(arm.upper_arm_back(bend, offset))
    pose = place(upper_arm_back=back, elbow_bend_seen=bend)
    y, z = pose.joints["hands"] - pose.joints["shoulder"]
    assert y == pytest.approx(offset, abs=1e-9)
    assert math.hypot(y, z) == pytest.approx(float(arm.reach(bend)))
    assert float(arm.bend_to_reach(back, offset)) == pytest.approx(bend, abs=1e-9)


def test_tilted_trunk_and_bent_knees():
    pose = place(tilt=30.0, knee_flex=20.0, head_drop=15.0, head_pitch=60.0)
    # Trunk: 50 (sin 30°, cos 30°). Head: 20 (sin 45°, cos 45°) = 14.1421 both. Eye: 10 (cos 60°, −sin 60°).
    assert pose.joints["shoulder"] - pose.joints["hip"] == pytest.approx([25.0, 43.3013], abs=DIGITS)
    assert pose.joints["ear"] - pose.joints["shoulder"] == pytest.approx([14.1421, 14.1421], abs=DIGITS)
    assert pose.joints["eye"] - pose.joints["ear"] == pytest.approx([5.0, -8.6603], abs=DIGITS)
    # Hip over the ankle: two links of 40 bent by 20° are 80 cos 10° = 78.7846 apart.
    assert np.hypot(*above_the_ankle(pose, "hip")) == pytest.approx(78.7846, abs=DIGITS)


@pytest.mark.parametrize("balance", [40.0, 50.0, 65.0])
def test_legs_lean_until_the_weight_falls_where_it_is_wanted(balance):
    pose = place_body(BODY, balance=balance, **(UPRIGHT | {"tilt": 40.0, "knee_flex": 15.0}))
    assert float(pose.balance) == pytest.approx(balance, abs=1e-6)
    farther = place_body(BODY, balance=balance + 1, **(UPRIGHT | {"tilt": 40.0, "knee_flex": 15.0}))
    assert lean_of(farther) > lean_of(pose)


def test_rounded_back_is_the_chord_of_an_arc():
    # The outline's 30° are 66° of arc: sin 33° / (33° in radians) = 0.544639 / 0.575959 = 0.945622.
    assert float(curl_trunk(30.0)) == pytest.approx(0.945622, abs=1e-5)
    assert float(curl_trunk(0.0)) == 1.0


def test_shoes_lift_all_but_the_feet():
    low, high = place(), place(sole=2.5)
    for joint in ("ankle", "hip", "hands", "eye"):
        assert high.joints[joint] - low.joints[joint] == pytest.approx([0.0, 2.5])
    assert high.joints["toe"] == pytest.approx(low.joints["toe"])
