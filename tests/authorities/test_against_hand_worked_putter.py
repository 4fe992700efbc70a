"""Putter geometry against cases worked by hand.

length = height / sin(lie) + grip distance, so at 71 cm and 71°: d length / d height = 1 / sin 71° = 1.0576, and
d length / d lie = 71 · cos 71° / sin² 71° · π/180 = 0.4513 cm a degree.
"""

import numpy as np
import pytest

from putt_posture.fitting import find_hand_height, find_lie, find_putter_length, find_toe_lift

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


def test_a_head_of_11_5_cm_two_degrees_off_its_lie_stands_off_the_ground_by():
    # 11.5 · sin 2° = 11.5 · 0.0348995 = 0.40134
    assert find_toe_lift(71.0, 69.0, 11.5) == pytest.approx(0.40134, abs=DIGITS)
    assert find_toe_lift(69.0, 71.0, 11.5) == pytest.approx(-0.40134, abs=DIGITS)
