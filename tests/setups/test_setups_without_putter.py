"""Clips without a putter, on simulated golfers: the still moments are found, and no stroke is asked for."""

import pytest
from simulated_golfer import film, still, take, walk

from putt_posture.errors import SetupNotFound
from putt_posture.setups import choose_setups, find_setups, find_setups_together

VIEWS = ("down_the_line", "face_on")
HANGING = (30.0, 0.518, 0.0, 0.16, 0.40, 0.11)
"""The arms hang from the shoulders, the hands 38 cm apart."""
WIDE = (30.0, 0.518, 0.0, 0.16, 0.40, 0.24)
"""The hands 84 cm apart: held out, not hanging."""
COME = (walk(2.0, 0.0, 0.0), take("address tall", 1.2))
REBUILT = (take("address low", 1.0), still(2.6))
CALM = {"look_hz": 6.0, "floor": 0.3}


@pytest.mark.parametrize("view", VIEWS)
def test_student_who_only_stands_still_is_measured_without_a_doubt(view) -> None:
    clip, track, _ = film((*COME, still(2.0)), view=view, **CALM)
    (setup,) = find_setups(track, clip, without_putter=True)
    assert setup.doubt == ""
    assert setup.stroke_s is None
    assert "Filmed without a putter" in setup.reason
    assert 3.2 <= setup.times_s[0] <= setup.times_s[-1] <= 5.3
    assert all(each.doubt for each in find_setups(track, clip))


@pytest.mark.parametrize("view", VIEWS)
def test_arms_may_hang_only_where_there_is_no_putter(view) -> None:
    clip, track, _ = film((walk(2.0, 0.0, 0.0), take(HANGING, 1.2), still(2.0)), view=view, **CALM)
    assert find_setups(track, clip, without_putter=True)
    (setup,) = choose_setups(clip, [4.5], track=track, without_putter=True)
    assert setup.doubt == ""
    if view == "face_on":
        with pytest.raises(SetupNotFound, match="both hands together"):
            find_setups(track, clip)
        (setup,) = choose_setups(clip, [4.5], track=track)
        assert "both hands together" in setup.doubt


def test_arms_that_are_held_out_are_no_setup() -> None:
    clip, track, _ = film((walk(2.0, 0.0, 0.0), take(WIDE, 1.2), still(2.0)), view="face_on", **CALM)
    with pytest.raises(SetupNotFound):
        find_setups(track, clip, without_putter=True)


def test_one_posture_is_measured_and_the_times_of_others_are_said() -> None:
    clip, track, _ = film((*COME, still(1.8), *REBUILT), **CALM)
    found = find_setups_together({"down_the_line": (track, clip)}, without_putter=True)
    (setup,) = found.of["down_the_line"]
    assert setup.times_s[0] > 6.0
    (note,) = found.notes
    assert "more than one setup" in note
    told = float(note.split("stands still at ")[1].split(" ")[0])
    assert 3.2 < told < 5.2


def test_same_posture_twice_is_measured_twice() -> None:
    again = (take("stand", 0.9), take("address tall", 1.0), still(2.0))
    clip, track, _ = film((*COME, still(2.0), *again), **CALM)
    found = find_setups_together({"down_the_line": (track, clip)}, without_putter=True)
    assert len(found.of["down_the_line"]) == 2
    assert found.notes == ()


def test_two_phones_that_were_not_started_together_measure_one_moment() -> None:
    actions = (*COME, still(1.9), *REBUILT, take("address", 1.0), still(2.0))
    side, front = (film(actions, view=view, seed=seed, **CALM) for seed, view in enumerate(VIEWS))
    later = film((still(1.5), *actions), view="face_on", seed=3, **CALM)
    both = find_setups_together(
        {"down_the_line": (side[1], side[0]), "face_on": (later[1], later[0])}, without_putter=True
    )
    apart = both.of["face_on"][0].moment_s - both.of["down_the_line"][0].moment_s
    assert apart == pytest.approx(1.5, abs=1.0)
    assert len(both.of["face_on"]) == len(both.of["down_the_line"]) == 1
    together = find_setups_together(
        {"down_the_line": (side[1], side[0]), "face_on": (front[1], front[0])}, without_putter=True
    )
    assert together.of["face_on"][0].moment_s == pytest.approx(together.of["down_the_line"][0].moment_s, abs=1.0)


def test_nothing_is_measured_where_the_student_never_stands_still() -> None:
    clip, track, _ = film((walk(2.0, 0.0, 0.0), take("address", 1.2), take("stand", 0.8), walk(2.0, 1.0, 0.0)), **CALM)
    with pytest.raises(SetupNotFound):
        find_setups(track, clip, without_putter=True)
