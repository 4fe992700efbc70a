import math

import pytest

from putt_posture.errors import UsageError
from putt_posture.setup_arc import GEOMETRY_ONLY, USUAL_PUTTS_CM, compare_arcs, find_arc
from putt_posture.values import Estimate, Pendulum, absent


def cm(value, sigma):
    return Estimate(value=value, standard_uncertainty=sigma, unit="cm")


def arc(offset, **stroke):
    lie = Estimate(value=70.0, standard_uncertainty=1.0, unit="deg")
    return find_arc(
        Pendulum(hand_offset=offset, shoulder_drop=cm(55.0, 2.0), hand_height=cm(75.0, 1.5), lie=lie), **stroke
    )


def test_hands_brought_under_the_shoulders_flatten_the_arc():
    before, after = arc(cm(10.0, 2.0)), arc(cm(0.5, 2.0))
    both = compare_arcs(before, after)
    assert both.depth_change.value == pytest.approx(after.depth.value - before.depth.value)
    assert both.depth_change.value < 0
    assert both.depth_change.standard_uncertainty == pytest.approx(
        math.hypot(before.depth.standard_uncertainty, after.depth.standard_uncertainty)
    )
    assert [one.putt_cm for one, _ in both.windows] == list(USUAL_PUTTS_CM)
    assert all(two.share >= one.share for one, two in both.windows)
    assert both.says == GEOMETRY_ONLY


def test_a_missing_arc_leaves_the_other_in_place():
    both = compare_arcs(arc(cm(10.0, 2.0)), arc(absent("The hands are hidden.", unit="cm")), putts_cm=(300.0,))
    assert both.depth_change.absent == "There is no arc after: The hands are hidden."
    [(one, two)] = both.windows
    assert one is not None
    assert two is None


def test_strokes_of_different_length_are_not_compared():
    with pytest.raises(UsageError, match="find both over the same stroke"):
        compare_arcs(arc(cm(10.0, 2.0), half_stroke_cm=20.0), arc(cm(10.0, 2.0), half_stroke_cm=30.0))
