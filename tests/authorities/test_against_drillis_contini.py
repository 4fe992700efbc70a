"""Joint lengths against the stature fractions of Drillis and Contini (1966), NYU Technical Report 1166.03.

`drillis_contini_1966.csv`: the fractions as Winter prints them, Biomechanics and Motor Control of Human Movement, 4th
ed. (2009), Fig. 4.1. Their shoulder is the acromion, so shoulder height, upper arm and trunk are checked against
landmarks. Their shoulder width (0.259) lies between biacromial and bideltoid breadth and is left out.
"""

from pathlib import Path

import pandas as pd
import pytest

from putt_posture.body import predict, predict_joint_length

SHARES = pd.read_csv(Path(__file__).with_name("drillis_contini_1966.csv")).set_index("what").share_of_stature

STATURE_CM = 170.0

LENGTH_TOLERANCE = 0.05
"""Share: the fractions are one figure for both sexes from small samples of the 1960s."""

WIDE_TOLERANCE = 0.08
"""Their elbow to wrist is shorter than radiale to stylion, and their hip higher than the trochanterion, in either sex
of ANSUR II (0.146 and 0.148 to 0.153; 0.530 and 0.513 to 0.519)."""

HEIGHT_TOLERANCE = 0.012
"""Share of stature by which heights of landmarks may differ between the two sources."""


@pytest.mark.parametrize(
    ("what", "tolerance"),
    [("thigh", LENGTH_TOLERANCE), ("shank", LENGTH_TOLERANCE), ("foot", LENGTH_TOLERANCE),
     ("forearm", WIDE_TOLERANCE)],
)  # fmt: skip
def test_joint_length_agrees_with_the_fraction(what, tolerance):
    found = predict_joint_length(what, STATURE_CM).value / STATURE_CM
    assert found == pytest.approx(SHARES[what], rel=tolerance)


@pytest.mark.parametrize(
    ("what", "dimension"),
    [("upper_arm", "acromion_radiale"), ("hand", "hand_length"), ("trunk", "acromion_to_trochanterion")],
)
def test_landmark_length_agrees_with_the_fraction(what, dimension):
    assert predict(dimension, STATURE_CM).value / STATURE_CM == pytest.approx(SHARES[what], rel=WIDE_TOLERANCE)


@pytest.mark.parametrize("what", ["eye_height", "wrist_height", "knee_height"])
def test_landmark_height_agrees_with_the_fraction(what):
    assert predict(what, STATURE_CM).value / STATURE_CM == pytest.approx(SHARES[what], abs=HEIGHT_TOLERANCE)


@pytest.mark.parametrize("what", ["hip_height", "ankle_height"])
def test_joint_height_agrees_with_the_fraction(what):
    found = predict_joint_length(what, STATURE_CM).value / STATURE_CM
    assert found == pytest.approx(SHARES[what], abs=HEIGHT_TOLERANCE)


def test_acromion_is_at_the_fraction_and_the_shoulder_joint_below_it():
    acromion = predict("acromial_height", STATURE_CM).value
    assert acromion / STATURE_CM == pytest.approx(SHARES["shoulder_height"], abs=HEIGHT_TOLERANCE)
    assert 2 < acromion - predict_joint_length("shoulder_height", STATURE_CM).value < 5
