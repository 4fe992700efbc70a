"""Doubts of a moment that the coach chose."""

import numpy as np
import pytest
from acted_clips import acted_clip
from attrs import evolve
from simulated_golfer import film, still, stroke, take, walk

from putt_posture.setups import choose_setups

CALM = {"look_hz": 6.0, "floor": 0.3, "noise": 0.004}
VIEWS = ("down_the_line", "face_on")
PUTT = (walk(2.0, 0.0, 0.0), take("address"), still(1.6))
LEAVE = (take("stand", 0.9), walk(2.0, 1.5, -1.0))


def doubt_at(clip, track, time_s):
    (setup,) = choose_setups(clip, [time_s], track=track)
    return setup.doubt


@pytest.mark.parametrize("seed", [*range(4), *(pytest.param(each, marks=pytest.mark.whole) for each in range(4, 12))])
@pytest.mark.parametrize("view", VIEWS)
def test_nothing_speaks_against_the_address(view, seed):
    acted = acted_clip(seed, view)
    for quiet in acted.addresses_s:
        assert doubt_at(acted.clip, acted.track, sum(quiet[-1]) / 2) == ""


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize(
    ("held_s", "after_s", "says"),
    [
        pytest.param(0.0, 0.67, "is under way", id="top"),
        pytest.param(1.0, 1.2, "is under way", id="held top"),
        pytest.param(0.0, 0.95, "is under way", id="impact"),
        pytest.param(0.0, 1.5, "has just ended", id="finish"),
        pytest.param(0.0, 2.5, "is held", id="held finish"),
    ],
)
def test_top_impact_and_finish_of_a_putt_are_said(view, held_s, after_s, says):
    clip, track, truth = film([*PUTT, stroke(held_s=held_s), still(2.0), *LEAVE], view=view, **CALM)
    time_s = truth.strokes_s[0][0] + after_s
    doubt = doubt_at(clip, track, time_s)
    assert doubt.startswith(f"At {time_s:.1f} s the ")
    assert says in doubt
    assert doubt.endswith("so this is not the address.")


@pytest.mark.parametrize("view", VIEWS)
def test_hands_above_the_hips_are_named_as_in_a_full_swing(view):
    """The top of a full swing, the hands over the shoulders, held for a second."""
    top = (25.0, 0.515, -0.15, 0.05, 0.85, 0.03)
    clip, track, _ = film([*PUTT, take(top, 0.7), still(1.2), take("address", 0.4), still(0.5)], view=view, **CALM)
    doubt = doubt_at(clip, track, 5.7)
    assert doubt.startswith("At 5.7 s the student is not seen with ")
    assert "the hands between hip and knee height" in doubt


def test_standing_and_walking_are_named():
    clip, track, _ = film([walk(3.0, 0.0, 0.0), *PUTT], **CALM)
    assert "still feet" in doubt_at(clip, track, 1.5)
    clip, track, _ = film([take("stand"), still(3.0)], **CALM)
    assert "bent hips" in doubt_at(clip, track, 2.0)


def test_a_still_of_another_pose_is_doubted_and_one_of_the_address_is_not():
    for pose, doubted in (("address", False), ("stand", True), ("crouch", True)):
        clip, track, _ = film([take(pose, 0.1), still(2.0)], **CALM | {"missing": 0.0, "jumps": 0.0})
        one = evolve(track, times_s=np.zeros(1), points_px=track.points_px[-1:], visibility=track.visibility[-1:],
                     boxes_px=track.boxes_px[-1:], motion_times_s=np.zeros(0), motion=np.zeros(0))  # fmt: skip
        still_clip = evolve(clip, kind="still", duration_s=0.0, rate_hz=0.0)
        assert bool(doubt_at(still_clip, one, 0.0)) == doubted


def test_times_of_slow_motion_are_those_of_the_clip():
    clip, track, truth = film([*PUTT, stroke(), still(1.0)], view="face_on", time_stretch=8.0, **CALM)
    doubt = doubt_at(clip, track, truth.strokes_s[0][0] + 0.7 * 8)
    start_s = float(doubt.split("starts at ")[1].split(" s")[0])
    assert start_s == pytest.approx(truth.strokes_s[0][0], abs=0.3 * 8)
