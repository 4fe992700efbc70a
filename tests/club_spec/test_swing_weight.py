"""Swing weight by the scale's own arithmetic: the moment about a point 14 inches from the top of the grip."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.club_spec import describe_feel, find_swing_weight_change, find_weight_to_bring_back

HEAD_G, SHAFT_G, GRIP_G = 350.0, 122.5, 80.0
SHAFT_IN = 35.0
"""The putter of the sheet, in masses; the shaft's is that of 35 inches of it."""
POINT = 50.0
"""Gram-inches, D. Tutelman, tutelman.com/golf/design/swingwt3.php."""


def moment_of(length_in, *, head_g=HEAD_G):
    """Return the moment of a whole putter about the fulcrum, gram-inches, each part at its own place."""
    shaft_g = SHAFT_G * length_in / SHAFT_IN
    return head_g * (length_in - 14) + shaft_g * (length_in / 2 - 14) + GRIP_G * (5 - 14)


def test_half_an_inch_off_a_usual_putter_is_four_points_and_ten_grams():
    # 350 g at 34 in: the putter head alone makes 350 · 0.5 / 50 = 3.5 points, the shaft the rest.
    assert find_swing_weight_change(34.0, -0.5) == pytest.approx(-4.2, abs=0.05)
    assert find_weight_to_bring_back(34.0, -0.5) == pytest.approx(10.7, abs=0.05)
    cut, bring_back, _ = describe_feel(34.0, -0.5)
    assert "about 4 swing-weight points lighter" in cut
    assert "about 10 g on the putter head" in bring_back


def test_half_an_inch_on_is_four_points_heavier():
    extended, bring_back, _ = describe_feel(33.0, 0.5)
    assert "about 4 swing-weight points heavier" in extended
    assert "about 10 g off the putter head" in bring_back


def test_the_source_is_named_with_its_numbers():
    assert all(part in describe_feel(34.0, -1.0)[0] for part in ("14 in", "50 g·in a point", "350 g"))


@given(st.floats(30, 40), st.floats(-2, 2))
def test_points_are_the_change_of_the_whole_putters_moment(length_in, change_in):
    expected = (moment_of(length_in + change_in) - moment_of(length_in)) / POINT
    assert find_swing_weight_change(length_in, change_in) == pytest.approx(expected, abs=1e-9)


@given(st.floats(30, 40), st.floats(-2, 2))
def test_the_weight_brings_the_moment_back(length_in, change_in):
    grams = find_weight_to_bring_back(length_in, change_in)
    assert moment_of(length_in + change_in, head_g=HEAD_G + grams) == pytest.approx(moment_of(length_in), abs=1e-6)


def test_what_nobody_feels_is_said_so():
    assert describe_feel(34.0, -0.1) == ("Hardly any golfer feels so small a change of length.",)
    assert describe_feel(34.0, 0.0) == ("The length stays, and with it the feel of the putter head.",)
