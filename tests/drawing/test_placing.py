"""The way to the picture and the way back are one way."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.drawing.placing import Placing

PLACINGS = st.builds(
    Placing,
    anchor_px=st.tuples(st.floats(0, 2000), st.floats(0, 2000)), anchor_cm=st.floats(-20, 20),
    px_per_cm=st.floats(1, 12), forward=st.sampled_from((-1, 1)), roll_deg=st.floats(-10, 10),
)  # fmt: skip


@given(PLACINGS, st.floats(-100, 100), st.floats(-20, 200))
def test_the_way_back_is_the_inverse(placing, along, up) -> None:
    picture = np.array(placing.points(np.array([[along, up]])))
    assert placing.plane(picture)[0] == pytest.approx((along, up), abs=1e-6)


def test_what_is_higher_in_the_picture_is_higher_in_the_plane_and_roll_is_taken_out() -> None:
    placing = Placing(anchor_px=(500.0, 1500.0), anchor_cm=0.0, px_per_cm=5.0, forward=1, roll_deg=90.0)
    # With the content turned clockwise by a right angle, up points to the right of the picture.
    assert placing.plane(np.array([[1000.0, 1500.0]]))[0] == pytest.approx((0.0, 100.0))
