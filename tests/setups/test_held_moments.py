"""Still moments that are no address: a held top, a held finish, a rest at the ball, a rehearsal."""

import numpy as np
import pytest
from acted_clips import TRAPS, acted_clip, trapped_clip, what_is_wrong
from attrs import evolve
from simulated_golfer import (
    back_to_ball,
    film,
    still,
    stroke,
    stroke_that_stops_at_the_ball,
    take,
    to_the_top,
    waggle,
    walk,
)

from putt_posture.setups import choose_setups, find_setups
from putt_posture.setups.observed import observe
from putt_posture.setups.surroundings import held_at_top, still_place

VIEWS = ("down_the_line", "face_on")
CALM = {"look_hz": 6.0, "floor": 0.05, "noise": 0.003, "noise_s": 0.15, "contrast": 2.0}
COME = (walk(2.0, 0.0, 0.0), take("address"), still(1.4))
LEAVE = (still(1.0), take("stand", 0.9), walk(2.0, 1.5, -1.0))
EARLY_S, LATE_S = 0.12, 0.08
LEAST_RIGHT = 0.9
"""Of clips in one view with one or two such moments each. The study's share is in DEVELOPERS.md; six clips scatter."""


def setups_in(actions, view, seed=0):
    clip, track, truth = film(actions, view=view, seed=seed, **CALM)
    return find_setups(track, clip), truth, clip, track


def lies_in(setup, quiet):
    return any(start - EARLY_S <= setup.times_s[0] and setup.times_s[-1] <= stop + LATE_S for start, stop in quiet)


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("held_s", [1.8, pytest.param(2.6, marks=pytest.mark.whole), 3.7])
def test_a_top_that_is_held_for_seconds_is_passed_over_and_that_is_said(view, held_s):
    """Its through-swing alone was taken for a stroke, and the held top for the stillness before it."""
    (setup, *others), truth, *_ = setups_in([*COME, stroke(held_s=held_s), *LEAVE], view)
    assert not others
    assert lies_in(setup, truth.quiet_s[0])
    top_s = truth.strokes_s[0][0] + 0.67
    said = float(setup.reason.split("Not the still moment at ")[1].split(" s")[0])
    assert top_s - 0.2 < said < top_s + 0.6


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("rest_s", [0.6, 1.2])
def test_a_rest_at_the_ball_is_not_a_setup(view, rest_s):
    (setup, *others), truth, *_ = setups_in([*COME, stroke_that_stops_at_the_ball(rest_s=rest_s), *LEAVE], view)
    assert not others
    assert lies_in(setup, truth.quiet_s[0])


@pytest.mark.parametrize("view", VIEWS)
def test_a_held_finish_is_not_the_setup_of_the_next_stroke(view):
    """The putter comes back and the next stroke starts with hardly any rest."""
    again = (back_to_ball(0.8), still(0.25), stroke(), still(0.4))
    setups, truth, *_ = setups_in([*COME, stroke(), still(2.5), *again, *LEAVE], view)
    assert any(lies_in(setup, truth.quiet_s[0]) for setup in setups)
    for setup in setups:
        assert setup.doubt or lies_in(setup, [*truth.quiet_s[0], *truth.quiet_s[1]])
    if view == "face_on":
        assert all(lies_in(setup, [*truth.quiet_s[0], *truth.quiet_s[1]]) for setup in setups)


@pytest.mark.parametrize("view", VIEWS)
def test_a_rehearsed_top_and_waggles_before_the_putt_are_not_setups_without_a_word(view):
    rehearsed = (to_the_top(), still(1.8), back_to_ball(0.8), still(1.2), waggle(0.5, 0.2), still(0.9))
    setups, truth, *_ = setups_in([*COME, *rehearsed, stroke(), *LEAVE], view)
    told = [setup for setup in setups if not setup.doubt]
    assert len(told) == 1
    assert lies_in(told[0], truth.quiet_s[0])


def test_a_top_whose_stroke_is_cut_off_by_the_start_of_the_clip_is_doubted():
    """The clip starts at the top: there is no address in it to find."""
    clip, track, truth = film([*COME, stroke(held_s=2.0), still(1.5)], view="face_on", **CALM)
    from_s = truth.strokes_s[0][0] + 0.75
    looks, readings = track.times_s >= from_s, track.motion_times_s >= from_s
    cut = evolve(track, times_s=track.times_s[looks] - from_s, points_px=track.points_px[looks],
                 visibility=track.visibility[looks], boxes_px=track.boxes_px[looks],
                 motion_times_s=track.motion_times_s[readings] - from_s, motion=track.motion[readings])  # fmt: skip
    short = evolve(clip, duration_s=clip.duration_s - from_s)
    (setup,) = find_setups(cut, short)
    assert setup.doubt
    (given,) = choose_setups(short, [1.0], track=cut)
    assert "not the address" in given.doubt


@pytest.mark.parametrize("view", VIEWS)
def test_the_place_of_a_still_moment_is_told_by_what_follows_it(view):
    actions = [*COME, stroke(1.2, held_s=2.0), still(2.0), *LEAVE]
    clip, track, truth = film(actions, view=view, seed=1, **CALM | {"missing": 0.0, "jumps": 0.0})
    signals = observe(track, clip).signals
    ((start_s, end_s),) = truth.strokes_s
    address, top = (start_s - 1.2, start_s - 0.1), (start_s + 0.75, start_s + 2.6)
    finish = (end_s + 0.1, end_s + 1.8)
    assert still_place(signals, address, start_s, end_s) == "address"
    assert still_place(signals, top, top[1], end_s) == "top"
    assert still_place(signals, finish, start_s, end_s) == "elsewhere"
    assert held_at_top(signals, top) == (view == "face_on")
    assert not held_at_top(signals, address)
    assert still_place(signals, (90.0, 91.0), 91.0, 92.0) == "unknown"


def test_standing_up_after_an_address_is_no_swing_from_the_top():
    clip, track, truth = film([*COME, still(1.0), take("stand", 0.9), still(1.0)], view="face_on", **CALM)
    del truth
    assert not held_at_top(observe(track, clip).signals, (3.0, 5.0))


@pytest.mark.parametrize(
    "seeds", [range(3100, 3103), pytest.param(range(3103, 3130), marks=pytest.mark.whole)], ids=["some", "the rest"]
)
def test_held_out_clips_with_such_moments_have_the_right_setups(seeds):
    wrong = {}
    for seed in seeds:
        for view in VIEWS:
            acted = trapped_clip(seed, view)
            wrong[seed, view] = what_is_wrong(acted, find_setups(acted.track, acted.clip))
    assert np.mean([not each for each in wrong.values()]) >= LEAST_RIGHT, wrong


@pytest.mark.parametrize("trap", TRAPS)
def test_each_such_moment_by_itself_leaves_the_setup_where_it_was(trap):
    acted = acted_clip(3200, "face_on", labels=frozenset({trap}))
    assert what_is_wrong(acted, find_setups(acted.track, acted.clip)) == ""
