import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from putt_posture.errors import UsageError
from putt_posture.setup_arc import find_arc, find_capture_angle, find_capture_share, find_start_line, find_window
from putt_posture.setup_arc.arc import find_face_to_target
from putt_posture.values import Estimate, Pendulum, absent

putts = st.floats(min_value=60, max_value=1500)
offsets = st.floats(min_value=0.5, max_value=20)
shares = st.floats(min_value=0, max_value=1)


def cm(value, sigma=0.0):
    return Estimate(value=value, standard_uncertainty=sigma, unit="cm")


def arc(offset, sigma=0.0):
    lie = Estimate(value=70.0, standard_uncertainty=0.0, unit="deg")
    return find_arc(
        Pendulum(hand_offset=cm(offset, sigma), shoulder_drop=cm(55.0), hand_height=cm(75.0), lie=lie),
        half_stroke_cm=25.0,
    )


@given(offsets, putts, shares, shares)
def test_at_its_end_the_start_line_points_at_the_edge_of_the_hole(offset, putt, turn, face_share):
    swung = arc(offset)
    window = find_window(swung, putt_cm=putt, face_turn=turn, face_share=face_share)
    assume(window.share < 0.999)
    radius = swung.radius.value
    distance = radius * math.sin(window.length_cm / 2 / radius)
    path = find_face_to_target(distance, radius, swung.lean.value)
    start = find_start_line(turn * path, path, face_share=face_share)
    assert abs(start) == pytest.approx(find_capture_angle(putt), rel=1e-6)


@given(offsets, putts, st.floats(min_value=1, max_value=500))
def test_a_longer_putt_leaves_no_longer_window(offset, putt, more):
    swung = arc(offset)
    longer = find_window(swung, putt_cm=putt + more)
    assert longer.length_cm <= find_window(swung, putt_cm=putt).length_cm
    assert 0 < longer.low_share <= longer.share <= longer.high_share <= 1


@given(putts)
def test_without_an_arc_to_the_stroke_all_of_it_holes_the_putt(putt):
    window = find_window(arc(0.0), putt_cm=putt)
    assert window.share == window.low_share == 1


@given(offsets, putts)
def test_hands_further_in_leave_no_shorter_window(offset, putt):
    assert find_window(arc(offset / 2), putt_cm=putt).share >= find_window(arc(offset), putt_cm=putt).share


@given(offsets, putts, shares)
def test_a_face_square_to_the_arc_starts_the_ball_along_it_whatever_its_share(offset, putt, face_share):
    swung = arc(offset)
    one = find_window(swung, putt_cm=putt, face_share=face_share)
    assert one.length_cm == pytest.approx(find_window(swung, putt_cm=putt).length_cm)


def test_a_face_held_to_the_target_widens_the_window():
    swung = arc(10.0)
    assert find_window(swung, putt_cm=600.0, face_turn=0.0).share > find_window(swung, putt_cm=600.0).share


def test_an_unsure_offset_makes_an_unsure_window():
    window = find_window(arc(10.0, sigma=2.0), putt_cm=600.0)
    assert window.low_cm < window.length_cm < window.high_cm


@pytest.mark.parametrize(("stimp", "share"), [(8.0, 0.739), (10.0, 0.770), (12.0, 0.793)])
def test_a_ball_that_would_roll_past_finds_a_narrower_hole(stimp, share):
    # By hand: 6.00 ft/s and the stimpmeter's feet make 0.686, 0.549, 0.458 m/s²; 0.4 m on, the ball rolls at 0.741,
    # 0.663, 0.605 m/s; Penner's 1.63 (1 − (d/R)²) m/s is that at d/R = √(1 − v / 1.63).
    assert find_capture_share(40.0, stimp_ft=stimp) == pytest.approx(share, abs=0.001)


@given(st.floats(min_value=0, max_value=400), st.floats(min_value=0.1, max_value=50))
def test_the_hole_is_widest_for_a_ball_that_dies_at_it(past, more):
    assert find_capture_share(0.0, stimp_ft=10.0) == 1.0
    assert 0 <= find_capture_share(past + more, stimp_ft=10.0) <= find_capture_share(past, stimp_ft=10.0)
    assert find_capture_share(400.0, stimp_ft=8.0) == 0.0


def test_no_arc_has_no_window():
    none = Pendulum(
        hand_offset=absent("Hidden.", unit="cm"), shoulder_drop=cm(55), hand_height=cm(75),
        lie=Estimate(value=70.0, standard_uncertainty=0.0, unit="deg"),
    )  # fmt: skip
    assert find_window(find_arc(none), putt_cm=300.0) is None


@pytest.mark.parametrize("putt", [0.0, -3.0, 1e5, math.nan])
def test_a_length_that_is_not_a_putt_is_refused(putt):
    with pytest.raises(UsageError, match="possible; check the number and its unit"):
        find_window(arc(10.0), putt_cm=putt)


def test_a_share_above_one_is_refused():
    with pytest.raises(UsageError, match="a share from 0 to 1 is needed"):
        find_window(arc(10.0), putt_cm=300.0, face_share=1.2)
