import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.fitting import find_hand_height, find_lie, find_putter_length, find_toe_lift

heights = st.floats(min_value=40, max_value=100)
lies = st.floats(min_value=55, max_value=85)
grips = st.floats(min_value=2, max_value=15)


@given(heights, lies, grips)
def test_length_height_and_lie_undo_each_other(height, lie, grip):
    length = find_putter_length(height, lie, grip)
    assert find_hand_height(length, lie, grip) == pytest.approx(height)
    assert find_lie(length, height, grip) == pytest.approx(lie)


@given(lies, lies)
def test_the_toe_rises_where_the_shaft_lies_flatter_than_the_putter(putter, shaft):
    lift = float(find_toe_lift(putter, shaft, 11.5))
    assert np.sign(lift) == np.sign(putter - shaft)
    assert lift == pytest.approx(-float(find_toe_lift(shaft, putter, 11.5)))


def test_arrays_broadcast():
    assert find_putter_length(np.array([70.0, 71.0]), 71.0, np.array([[8.0], [9.0]])).shape == (2, 2)
