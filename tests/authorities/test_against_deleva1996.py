"""Segment masses and centres against de Leva (1996), J. Biomech. 29, 1223-1230, Table 4 (`deleva1996_table4.csv`)."""

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from putt_posture.body import SEGMENTS, centre_of_mass, predict_joint_length, read_segment_mass
from putt_posture.fitting.body_model import find_lengths, place_body
from putt_posture.fitting.body_model.pose import find_mass_centre
from putt_posture.values import Student

TABLE = pd.read_csv(Path(__file__).with_name("deleva1996_table4.csv"))

ENDS = {
    "head": "vertex-mid-gonion",
    "trunk": "mid-shoulder-mid-hip",
    "upper_arm": "shoulder-elbow",
    "forearm": "elbow-wrist",
    "hand": "wrist-third-knuckle",
    "thigh": "hip-knee",
    "shank": "knee-ankle",
    "foot": "heel-toe-tip",
}

MEN_LENGTH_SHARES = {"thigh": 0.2425, "shank": 0.2493, "foot": 0.1482}
"""De Leva's men, mean stature 1741 mm: length over stature."""

MEN_SUPRASTERNALE_TO_MID_HIP = 0.3055
"""The same for the trunk from the notch of the sternum."""

LENGTH_TOLERANCE = 0.065
"""Share by which two samples measured in different ways may differ: de Leva's lengths follow the segments of lying
people, the package's are between landmarks of standing ones."""

SUM_TOLERANCE = 2e-4
"""The printed masses have four digits."""

STANDING_SHARES = {"male": (0.550, 0.575), "female": (0.540, 0.565)}
"""Height of the centre of mass of a person standing upright over stature: about 0.56 to 0.57 in men and 0.55 to 0.56 in
women, in textbooks of biomechanics (from memory), with 0.01 to either side."""


ANKLE_BALANCE = 45.0
"""People standing upright at ease hold their weight some way before the ankles, near the middle of the foot."""


@pytest.mark.parametrize("sex", ["female", "male"])
@pytest.mark.parametrize("segment", SEGMENTS)
def test_segment_has_the_published_mass_and_centre(segment, sex):
    row = TABLE[(TABLE.segment == segment) & (TABLE.ends == ENDS[segment])].iloc[0]
    found = read_segment_mass(segment, sex)
    assert found.mass == row[f"mass_{sex}"]
    assert found.centre == row[f"centre_{sex}"]


@pytest.mark.parametrize("sex", ["female", "male", None])
def test_masses_of_all_segments_add_up_to_the_body(sex):
    rows = [read_segment_mass(segment, sex) for segment in SEGMENTS]
    assert sum(row.mass * row.sides for row in rows) == pytest.approx(1, abs=SUM_TOLERANCE)


def test_without_a_sex_the_mean_of_both_is_taken():
    assert read_segment_mass("thigh").mass == pytest.approx((0.1478 + 0.1416) / 2)
    assert read_segment_mass("thigh").centre == pytest.approx((0.3612 + 0.4095) / 2)


@pytest.mark.parametrize("length", MEN_LENGTH_SHARES)
def test_mens_lengths_agree_with_de_levas_men(length):
    found = predict_joint_length(length, 174.1, "male").value / 174.1
    assert found == pytest.approx(MEN_LENGTH_SHARES[length], rel=LENGTH_TOLERANCE)


def test_mens_trunk_agrees_with_de_levas_men():
    # The centre of mass is one point: 0.4486 down from the sternum's notch, 0.4310 down from mid-shoulder.
    share = MEN_SUPRASTERNALE_TO_MID_HIP * (1 - 0.4486) / (1 - 0.4310)
    assert predict_joint_length("trunk", 174.1, "male").value / 174.1 == pytest.approx(share, rel=LENGTH_TOLERANCE)


def test_knuckle_lies_where_both_forms_of_the_hand_put_it():
    hand = TABLE[TABLE.segment == "hand"].set_index("ends")
    for sex, stature in (("male", 175.0), ("female", 163.0)):
        quotient = hand[f"centre_{sex}"]["wrist-third-fingertip"] / hand[f"centre_{sex}"]["wrist-third-knuckle"]
        found = predict_joint_length("wrist_to_knuckle", stature, sex).value
        assert found == pytest.approx(quotient * _hand_length(stature, sex), rel=1e-3)


@pytest.mark.parametrize(("sex", "stature"), [("male", 174.1), ("female", 165.0)])
def test_centre_of_mass_of_a_standing_person_is_where_textbooks_have_it(sex, stature):
    low, high = STANDING_SHARES[sex]
    centre = centre_of_mass(_stand(stature, sex), sex)
    assert low <= centre[2] / stature <= high
    assert centre[0] == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(("sex", "stature"), [("male", 174.1), ("female", 165.0), ("male", 190.0), ("female", 152.0)])
def test_centre_of_mass_of_the_upright_body_model_is_where_textbooks_have_it(sex, stature):
    low, high = STANDING_SHARES[sex]
    lengths = find_lengths(Student(stature_cm=stature, handed="right", sex=sex)).centre()
    pose = place_body(
        lengths,
        sole=0.0,
        knee_flex=0.0,
        tilt=0.0,
        back_rounding=0.0,
        head_drop=0.0,
        head_pitch=0.0,
        upper_arm_back=0.0,
        elbow_bend_seen=0.0,
        balance=ANKLE_BALANCE,
        sex=sex,
    )
    centre = find_mass_centre(pose.joints, sex=sex)
    assert low <= float(centre[1]) / stature <= high


def _hand_length(stature, sex):
    # ANSUR II (2012), hand length on stature, mm: 21.7 + 0.0977 H (men), 16.2 + 0.1012 H (women).
    intercept, slope = {"male": (2.1743, 0.097673), "female": (1.6234, 0.10123)}[sex]
    return intercept + slope * stature


def _stand(stature, sex):
    """Joints of a person standing with the arms hanging, cm, z up, x to the left."""

    def of(length):
        return predict_joint_length(length, stature, sex).value

    shoulder, hip, knee, ankle = (of(f"{joint}_height") for joint in ("shoulder", "hip", "knee", "ankle"))
    points = {}
    for side, sign in (("left", 1), ("right", -1)):
        arm, leg = sign * of("shoulder_width") / 2, sign * of("hip_width") / 2
        elbow = shoulder - of("upper_arm")
        wrist = elbow - of("forearm")
        knuckle = wrist - of("wrist_to_knuckle")
        heights = {
            "ear": (sign * 7.0, stature - 13.0),
            "shoulder": (arm, shoulder),
            "elbow": (arm, elbow),
            "wrist": (arm, wrist),
            "index": (arm, knuckle),
            "pinky": (arm, knuckle),
            "hip": (leg, hip),
            "knee": (leg, knee),
            "ankle": (leg, ankle),
        }
        points |= {f"{side}_{name}": np.array([x, 0.0, z]) for name, (x, z) in heights.items()}
        points[f"{side}_heel"] = np.array([leg, 5.0, 1.0])
        points[f"{side}_foot_index"] = np.array([leg, 5.0 - of("foot"), 1.0])
    return points
