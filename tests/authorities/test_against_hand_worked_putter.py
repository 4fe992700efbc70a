"""Putter geometry against cases worked by hand.

length = height / sin(lie) + grip distance, so at 71 cm and 71°: d length / d height = 1 / sin 71° = 1.0576, and
d length / d lie = 71 · cos 71° / sin² 71° · π/180 = 0.4513 cm a degree.

Turning a trunk of 50 cm from 30° by an offset of 10 cm: sin θ' = 0.5 + 0.2 = 0.7, cos θ' = √0.51 = 0.71414, drop
= 50 (0.86603 − 0.71414) = 7.594 cm. By a share of 0.65 of it: sin θ' = 0.63, cos θ' = √0.6031 = 0.77660, drop
4.4715 cm. An arm of 60 cm that slants by 10 cm: 60 − √(3600 − 100) = 0.8392 cm.
"""

import math

import numpy as np
import pytest

from putt_posture.fitting import find_hand_height, find_lie, find_putter_length
from putt_posture.fitting.geometry import find_hanging_height, find_tilt_over_hands

DIGITS = 5e-4
"""Cases are worked to four digits."""


def test_length_at_71_cm_and_71_degrees():
    assert find_putter_length(71.0, 71.0, 0.0) == pytest.approx(75.091, abs=DIGITS)


def test_a_centimetre_of_hand_height_is_1_06_cm_of_length():
    change = find_putter_length(71.5, 71.0, 8.0) - find_putter_length(70.5, 71.0, 8.0)
    assert change == pytest.approx(1.0576, abs=DIGITS)


def test_a_degree_of_lie_is_0_45_cm_of_length():
    change = find_putter_length(71.0, 70.5, 8.0) - find_putter_length(71.0, 71.5, 8.0)
    assert change == pytest.approx(0.4513, abs=DIGITS)


def test_a_35_inch_putter_at_71_degrees_holds_the_hands_at():
    # (88.9 − 8) · 0.945519 = 76.492
    assert find_hand_height(88.9, 71.0, 8.0) == pytest.approx(76.492, abs=DIGITS)


def test_lie_of_a_three_four_five_triangle():
    # 30 cm above the ground at the end of 50 cm: sin(lie) = 0.6.
    assert find_lie(60.0, 30.0, 10.0) == pytest.approx(36.8699, abs=DIGITS)
    assert np.isnan(find_lie(30.0, 71.0, 10.0))


def test_trunk_of_50_cm_at_30_degrees_takes_up_10_cm():
    tilt = float(find_tilt_over_hands(30.0, 10.0, 50.0))
    assert tilt == pytest.approx(44.427, abs=DIGITS)
    drop = 50 * (math.cos(math.radians(30)) - math.cos(math.radians(tilt)))
    assert drop == pytest.approx(7.594, abs=DIGITS)
    height = find_hanging_height(76.0, 10.0, 60.0, shoulder_drop=drop)
    assert height == pytest.approx(76 - 7.594 - 0.8392, abs=DIGITS)


def test_trunk_of_50_cm_at_30_degrees_takes_up_a_share_of_10_cm():
    tilt = float(find_tilt_over_hands(30.0, 10.0, 50.0, share=0.65))
    assert tilt == pytest.approx(39.0501, abs=DIGITS)
    assert 50 * (math.cos(math.radians(30)) - math.cos(math.radians(tilt))) == pytest.approx(4.4715, abs=DIGITS)
    assert find_tilt_over_hands(30.0, 10.0, 50.0, share=0.0) == pytest.approx(30.0)


def test_hands_inside_the_shoulders_raise_the_student():
    # sin θ' = 0.5 − 0.2 = 0.3, cos θ' = 0.95394: the shoulders rise by 50 (0.95394 − 0.86603) = 4.3956 cm.
    tilt = float(find_tilt_over_hands(30.0, -10.0, 50.0))
    assert tilt == pytest.approx(17.4576, abs=DIGITS)
    assert 50 * (math.cos(math.radians(tilt)) - math.cos(math.radians(30))) == pytest.approx(4.3956, abs=DIGITS)
