import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.fitting import find_hand_height, find_lie, find_putter_length
from putt_posture.fitting.geometry import TILT_RANGE_DEG, find_hanging_height, find_tilt_over_hands

heights = st.floats(min_value=40, max_value=100)
lies = st.floats(min_value=55, max_value=85)
grips = st.floats(min_value=2, max_value=15)
tilts = st.floats(min_value=5, max_value=55)
trunks = st.floats(min_value=35, max_value=65)
EDGE_DEG = 1e-6
"""Rounding of an arcsine at the limits."""

offsets = st.floats(min_value=-20, max_value=20)


@given(heights, lies, grips)
def test_length_height_and_lie_undo_each_other(height, lie, grip):
    length = find_putter_length(height, lie, grip)
    assert find_hand_height(length, lie, grip) == pytest.approx(height)
    assert find_lie(length, height, grip) == pytest.approx(lie)


@given(tilts, offsets, trunks)
def test_shoulders_land_over_the_hands_unless_a_limit_stops_them(tilt, offset, trunk):
    wanted = float(find_tilt_over_hands(tilt, offset, trunk))
    low, high = TILT_RANGE_DEG
    moved = trunk * (np.sin(np.radians(wanted)) - np.sin(np.radians(tilt)))
    if low + EDGE_DEG < wanted < high - EDGE_DEG:
        assert moved == pytest.approx(offset, abs=1e-9)
    else:
        assert abs(moved) <= abs(offset) + 1e-9


@given(heights, st.floats(0, 30), st.floats(45, 70))
def test_an_arm_that_slants_either_way_hangs_lower_by_the_same(height, offset, reach):
    out = float(find_hanging_height(height, offset, reach))
    assert out <= height
    assert out == pytest.approx(float(find_hanging_height(height, -offset, reach)))


def test_arrays_broadcast():
    assert find_putter_length(np.array([70.0, 71.0]), 71.0, np.array([[8.0], [9.0]])).shape == (2, 2)
