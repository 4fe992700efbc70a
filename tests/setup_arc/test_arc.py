import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.errors import UsageError
from putt_posture.measures import MEASURES
from putt_posture.setup_arc import GEOMETRY_ONLY, find_arc, read_pendulum
from putt_posture.setup_arc.arc import find_arc_depth
from putt_posture.values import Estimate, Pendulum, Posture, Student, absent

offsets = st.floats(min_value=-20, max_value=20)
drops = st.floats(min_value=40, max_value=70)
strokes = st.floats(min_value=5, max_value=50)

SAMPLING_TOLERANCE = 0.02
"""Share; 4096 evenly spread points, and a formula that is a little bent."""


def cm(value, sigma=0.0):
    return Estimate(value=value, standard_uncertainty=sigma, unit="cm", frames=3)


def pendulum(offset, *, drop=55.0, sigma=0.0):
    lie = Estimate(value=70.0, standard_uncertainty=0.0, unit="deg")
    return Pendulum(hand_offset=cm(offset, sigma), shoulder_drop=cm(drop), hand_height=cm(75.0), lie=lie)


def posture(**measures):
    return Posture(
        estimates={
            name: cm(measures[name], 1.0) if name in measures else absent("Not seen.", unit=measure.unit)
            for name, measure in MEASURES.items()
        }
    )


@given(drops, strokes)
def test_hands_straight_under_the_shoulders_draw_a_straight_line(drop, stroke):
    arc = find_arc(pendulum(0.0, drop=drop), half_stroke_cm=stroke)
    assert np.abs(arc.inside_cm).max() == 0
    assert np.abs(arc.face_deg).max() == 0


@given(offsets, drops, strokes)
def test_the_arc_is_the_same_to_both_sides_and_mirrored_with_the_offset(offset, drop, stroke):
    arc = find_arc(pendulum(offset, drop=drop), half_stroke_cm=stroke)
    assert arc.inside_cm == pytest.approx(arc.inside_cm[::-1])
    assert arc.face_deg == pytest.approx(-arc.face_deg[::-1], abs=1e-12)
    if offset > 0.01:
        assert arc.depth.value > 0
        assert arc.face.value > 0
    if offset < -0.01:
        assert arc.depth.value < 0
        assert arc.face.value < 0


@given(offsets, drops)
def test_the_face_follows_the_slope_of_the_arc(offset, drop):
    arc = find_arc(pendulum(offset, drop=drop), half_stroke_cm=40.0)
    radius, lean, step = arc.radius.value, arc.lean.value, 1e-4
    ahead, behind = (find_arc_depth(arc.distance_cm[1:-1] + way * step, radius, lean) for way in (1, -1))
    slope = np.degrees(np.arctan(-(ahead - behind) / (2 * step)))
    assert arc.face_deg[1:-1] == pytest.approx(slope, abs=1e-4)


@given(st.floats(min_value=0.5, max_value=15), st.floats(min_value=0.5, max_value=2))
def test_hands_further_out_draw_a_deeper_arc(offset, more):
    assert find_arc(pendulum(offset + more)).depth.value > find_arc(pendulum(offset)).depth.value


def test_the_uncertainty_is_that_of_the_offset_where_the_rest_is_certain():
    # The depth is almost proportional to the offset there, so their relative uncertainties agree.
    arc = find_arc(pendulum(8.0, sigma=2.0))
    slope = (find_arc(pendulum(8.5)).depth.value - find_arc(pendulum(7.5)).depth.value) / 1.0
    assert arc.depth.standard_uncertainty == pytest.approx(2.0 * slope, rel=SAMPLING_TOLERANCE)
    assert arc.inside_sd_cm[0] == arc.depth.standard_uncertainty
    assert arc.inside_sd_cm[50] == 0
    assert (np.diff(arc.face_sd_deg[:51]) < 0).all()


def test_an_arc_is_absent_with_the_reason_of_what_is_missing():
    arc = find_arc(read_pendulum(posture(hand_height=75.0), Student(stature_cm=175, handed="right")))
    assert not arc
    assert arc.depth.absent == "Not seen."
    assert arc.distance_cm.size == 0
    assert GEOMETRY_ONLY in arc.assumptions


def test_an_arc_says_that_tilt_and_lie_are_left_out_of_its_plane():
    assert "by a model that takes the plane from the hand offset alone" in GEOMETRY_ONLY
    (said,) = (each for each in find_arc(pendulum(8.0)).assumptions if "leans is taken" in each)
    assert "tilt of the trunk" in said
    assert "lie of the shaft" in said


def test_a_filmed_posture_gives_a_pendulum_with_the_reach_of_the_body_tables():
    hanging = read_pendulum(posture(hand_height=75.0, hand_offset=0.0), Student(stature_cm=175, handed="right"))
    outside = read_pendulum(posture(hand_height=75.0, hand_offset=12.0), Student(stature_cm=175, handed="right"))
    assert math.hypot(outside.shoulder_drop.value, 12.0) == pytest.approx(hanging.shoulder_drop.value)
    assert find_arc(outside).depth.value > find_arc(outside).depth.standard_uncertainty > 0
    assert hanging.lie.value == 71.0


def test_hands_out_of_reach_give_no_arc():
    arc = find_arc(read_pendulum(posture(hand_height=75.0, hand_offset=90.0), Student(stature_cm=175, handed="right")))
    assert "farther than the arms reach" in arc.depth.absent


def test_hands_above_the_shoulders_give_no_arc():
    assert "not below the shoulders" in find_arc(pendulum(5.0, drop=-10.0)).depth.absent


@pytest.mark.parametrize("stroke", [0.0, -5.0, 200.0, math.nan])
def test_a_stroke_that_cannot_be_is_refused_with_one_sentence(stroke):
    with pytest.raises(UsageError, match="possible; check the number and its unit"):
        find_arc(pendulum(5.0), half_stroke_cm=stroke)
