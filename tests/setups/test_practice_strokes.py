"""Practice strokes that can be recognised are left out, the others are kept with a doubt."""

import pytest
from attrs import evolve
from simulated_golfer import back_to_ball, film, step_to, still, stroke, take, walk

from putt_posture.setups import FollowedStroke, find_setups, find_setups_together

CALM = {"look_hz": 6.0, "floor": 0.3}
VIEWS = ("down_the_line", "face_on")
LEAVE = (still(1.0), take("stand", 0.9), walk(2.0, 1.5, -1.0))
PRACTICE = (stroke(counts=False), back_to_ball())
EARLY_S, LATE_S = 0.1, 0.05


def find(actions, view, seed=0):
    clip, track, truth = film(actions, view=view, seed=seed, **CALM)
    return find_setups(track, clip), truth


def lies_in(setup, quiet):
    return any(start - EARLY_S <= setup.times_s[0] and setup.times_s[-1] <= stop + LATE_S for start, stop in quiet)


@pytest.mark.parametrize("view", VIEWS)
def test_a_practice_stroke_before_stepping_in_is_left_out(view):
    for seed in range(4):
        actions = [walk(2.0, 0.0, -0.2), take("address"), still(1.2), *PRACTICE, still(0.3), step_to(0.0, 0.0)]
        (setup, *others), truth = find([*actions, still(1.6), stroke(), *LEAVE], view, seed)
        assert not others
        assert lies_in(setup, truth.quiet_s[0])
        assert not setup.doubt


@pytest.mark.parametrize("view", VIEWS)
def test_swinging_to_and_fro_without_a_pause_is_left_out(view):
    swings = [stroke(counts=False), back_to_ball(0.6)] * 3
    actions = [walk(2.0, 0.0, -0.2), take("address"), still(1.0), *swings, step_to(0.0, 0.0), still(1.6), stroke()]
    (setup, *others), truth = find([*actions, *LEAVE], view)
    assert not others
    assert lies_in(setup, truth.quiet_s[0])


@pytest.mark.parametrize("view", VIEWS)
def test_a_stroke_followed_by_another_from_the_same_feet_is_kept_as_doubtful(view):
    actions = [walk(2.0, 0.0, 0.0), take("address"), still(1.2), stroke(), back_to_ball(), still(1.3), stroke()]
    setups, truth = find([*actions, *LEAVE], view)
    assert len(setups) == 2
    assert all(lies_in(setup, quiet) for setup, quiet in zip(setups, truth.quiet_s, strict=True))
    assert "may be a practice stroke" in setups[0].doubt
    assert not setups[1].doubt


@pytest.mark.parametrize("view", VIEWS)
def test_stepping_back_does_not_mean_practice(view):
    actions = [walk(2.0, 0.0, 0.2), take("address"), still(1.2), *PRACTICE, still(0.3), step_to(0.0, 0.0)]
    setups, _ = find([*actions, still(1.6), stroke(), *LEAVE], view)
    assert len(setups) == 2


@pytest.mark.parametrize("view", VIEWS)
def test_when_all_is_practice_the_last_still_moment_is_kept_as_doubtful(view):
    swings = [stroke(), back_to_ball(0.6)] * 3
    (setup, *others), truth = find([walk(2.0, 0.0, 0.0), take("address"), still(1.2), *swings, *LEAVE], view)
    assert not others
    assert lies_in(setup, truth.quiet_s[0])
    assert "because it goes on back and forth without a rest" in setup.doubt


@pytest.mark.parametrize("view", VIEWS)
def test_a_stroke_that_is_known_to_be_practice_has_no_setup_where_another_stroke_has_one(view):
    actions = [walk(2.0, 0.0, 0.0), take("address"), still(1.2), stroke(), back_to_ball(), still(1.3), stroke()]
    clip, track, truth = film([*actions, *LEAVE], view=view, seed=0, **CALM)
    first, second = find_setups(track, clip)
    followed = [
        FollowedStroke(stroke_s=each.stroke_s, address_s=each.window_s, practice=True) for each in (first, second)
    ]
    (setup,) = find_setups_together({view: (track, clip)}, followed={view: followed[:1]}).of[view]
    assert setup == second
    assert lies_in(setup, truth.quiet_s[1])
    assert len(find_setups_together({view: (track, clip)}, followed={view: followed}).of[view]) == 2


@pytest.mark.parametrize("view", VIEWS)
def test_a_stroke_that_was_followed_though_none_was_found_has_its_setup(view):
    clip, track, _ = film([walk(2.0, 0.0, 0.0), take("address"), still(1.2), *LEAVE], view=view, seed=0, **CALM)
    (before,) = find_setups(track, clip)
    followed = FollowedStroke(stroke_s=(5.0, 6.4), address_s=(4.2, 4.8), practice=False)
    (setup,) = find_setups_together({view: (track, clip)}, followed={view: [followed]}).of[view]
    assert before.doubt
    assert not setup.doubt
    assert setup.stroke_s == followed.stroke_s
    assert followed.address_s[0] <= setup.times_s[0] <= setup.times_s[-1] <= followed.address_s[1]
    assert "every frame" in setup.reason
    practice = evolve(followed, practice=True)
    assert find_setups_together({view: (track, clip)}, followed={view: [practice]}).of[view] == (before,)
