"""What the measures say of a shaft and a ball that were drawn, found, or neither."""

import math

import pytest
from stick_golfer import Camera, Golfer, result_of, student_of

from putt_posture.measures import measure_posture
from putt_posture.values import MeasureName, Posture, View

NEEDS: dict[View, tuple[tuple[MeasureName, ...], tuple[MeasureName, ...]]] = {
    "down_the_line": (("shaft_lie", "putter_length"), ("eye_offset", "ball_distance")),
    "face_on": (("shaft_lean",), ("ball_position", "head_position")),
}
"""Of each view, the measures that need the shaft and those that need the ball."""

SHAFT, BALL = ((560.0, 1000.0), (660.0, 1300.0)), (668.0, 1300.0)
KNOWN = {"shaft_px": SHAFT, "ball_px": BALL, "shaft_source": "found", "ball_source": "found", "butt_source": "seen"}


def measured(view: View, **scene: object) -> Posture:
    golfer = Golfer()
    return measure_posture({view: result_of(golfer, Camera(view=view), **scene)}, student_of(golfer))


@pytest.mark.parametrize("view", NEEDS)
def test_the_method_says_whether_it_was_found_or_drawn(view):
    found = measured(view, **KNOWN)
    drawn = measured(view, **{**KNOWN, "shaft_source": "given", "ball_source": "given", "butt_source": "given"})
    shaft, ball = NEEDS[view]
    for name in (*shaft, *ball):
        assert "as found in the picture" in found[name].method
        assert "as the coach" in drawn[name].method


@pytest.mark.parametrize("view", NEEDS)
def test_what_was_found_is_less_sure_than_what_was_drawn(view):
    found = measured(view, **KNOWN, putter_sd_cm=1.0)
    drawn = measured(view, **{**KNOWN, "shaft_source": "given", "ball_source": "given", "butt_source": "given"})
    shaft, ball = NEEDS[view]
    for name in (*shaft, *ball):
        assert found[name].value == pytest.approx(drawn[name].value)
        assert found[name].standard_uncertainty > drawn[name].standard_uncertainty


def test_a_hidden_butt_widens_the_length_and_is_said():
    seen = measured("down_the_line", **KNOWN, putter_sd_cm=0.7)["putter_length"]
    judged = measured("down_the_line", **{**KNOWN, "butt_source": "judged"}, putter_sd_cm=2.5)["putter_length"]
    lent = measured("down_the_line", **{**KNOWN, "butt_source": "other_view"}, putter_sd_cm=1.1)["putter_length"]
    assert "hidden butt end judged" in judged.method
    assert "face-on picture" in lent.method
    assert seen.standard_uncertainty < lent.standard_uncertainty < judged.standard_uncertainty
    grown = math.sqrt(judged.standard_uncertainty**2 - seen.standard_uncertainty**2)
    assert grown == pytest.approx(math.sqrt(2.5**2 - 0.7**2))


@pytest.mark.parametrize("view", NEEDS)
def test_what_was_not_found_says_why_and_how_to_give_it(view):
    posture = measured(view, shaft_why_not="the hands are hidden", ball_why_not="nothing round lies there")
    shaft, ball = NEEDS[view]
    for name in shaft:
        assert "not found" in posture[name].absent
        assert "the hands are hidden; give its ends with --shaft-at." in posture[name].absent
    for name in ball:
        assert "nothing round lies there; give its centre with --ball-at." in posture[name].absent
