"""The quiet moment before each stroke, on simulated golfers whose still stretches are known."""

import numpy as np
import pytest
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st
from simulated_golfer import Action, back_to_ball, film, look, still, stroke, take, waggle, walk

from putt_posture.errors import SetupNotFound
from putt_posture.setups import find_setups

EARLY_S = 0.10
"""A frame may lie so long before the golfer is quite still: the last tenth of settling moves no joint by 1 mm."""
LATE_S = 0.05
"""And so long after the stroke has begun: half-cosine motion has taken the hands 2 mm back by then."""
STROKE_S = 0.35
"""Start and end of the stroke, which only explain the choice: slow at both ends, seen through a mean over 0.2 s."""

VIEWS = ("down_the_line", "face_on")
COME = (walk(2.0, 0.0, 0.0), take("address", 1.2))
PUTT = (take("address", 1.2), waggle(), still(1.6), stroke(), still(0.8))
LEAVE = (take("stand", 0.9), walk(2.0, 1.5, -1.0))
FETCH = (take("stand"), walk(3.0, 0.5, -0.5), take("place a ball"), still(1.0), take("stand"), walk(2.0, 0.0, 0.0))

CALM = {"look_hz": 6.0, "floor": 0.3}
"""Looks and noise as phone clips on a tripod give them."""
WAYS_OF_FILMING = {
    "24 frames a second": {"frame_hz": 24.0, "reading_hz": 24.0},
    "30 frames a second": {"frame_hz": 30.0, "reading_hz": 30.0},
    "60 frames a second": {"frame_hz": 60.0, "reading_hz": 60.0},
    "240 frames a second": {"frame_hz": 240.0, "reading_hz": 60.0},
    "slow motion stretched eight times": {"frame_hz": 240.0, "reading_hz": 60.0, "time_stretch": 8.0},
    "more looks": {"look_hz": 10.0},
    "coarse landmarks, many missing": {"noise": 0.018, "missing": 0.15, "jumps": 0.03},
    "a dark noisy picture": {"floor": 1.0},
    "a left-hander": {"mirrored": True},
    "a picture without noise": {"floor": 0.002, "key_frames_s": 0.0},
    "no noise and a golfer who sways": {"floor": 0.002, "fidget": 0.03},
    "a small picture": {"height_px": 240.0},
}


def assert_matches(setups, truth, stretch=1.0):
    assert len(setups) == len(truth.strokes_s), [setup.reason for setup in setups]
    for setup, quiet, swing in zip(setups, truth.quiet_s, truth.strokes_s, strict=True):
        assert any(
            start - EARLY_S * stretch <= setup.times_s[0] and setup.times_s[-1] <= stop + LATE_S * stretch
            for start, stop in quiet
        ), (setup, quiet)
        assert any(setup.window_s[1] <= stop + LATE_S * stretch for _, stop in quiet), (setup, quiet)
        assert setup.stroke_s == pytest.approx(swing, abs=STROKE_S * stretch)
        assert setup.moment_s in setup.times_s
        assert list(setup.times_s) == sorted(set(setup.times_s))
        assert setup.window_s[0] <= setup.times_s[0] <= setup.times_s[-1] <= setup.window_s[1] + 1e-9
        assert setup.chosen_by == "finder"


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("way", WAYS_OF_FILMING)
def test_the_still_stretch_before_one_stroke_is_found(view, way):
    how = CALM | WAYS_OF_FILMING[way]
    for seed in range(3):
        clip, track, truth = film([walk(2.0, 0.0, 0.0), *PUTT, *LEAVE], view=view, seed=seed, **how)
        assert_matches(find_setups(track, clip), truth, how.get("time_stretch", 1.0))


@pytest.mark.parametrize("view", VIEWS)
def test_each_of_several_putts_has_its_setup(view):
    actions = [walk(2.0, 0.0, 0.0), *PUTT, *FETCH, *PUTT, *FETCH, *PUTT, *LEAVE]
    clip, track, truth = film(actions, view=view, **CALM)
    setups = find_setups(track, clip)
    assert_matches(setups, truth)
    assert not any(setup.doubt for setup in setups)


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("pose", ["address", "address tall", "address low"])
def test_tall_and_low_stances_are_addresses(view, pose):
    actions = [walk(2.0, 0.0, 0.0), take(pose, 1.2), still(1.3), stroke(), still(1.0), *LEAVE]
    clip, track, truth = film(actions, view=view, **CALM)
    assert_matches(find_setups(track, clip), truth)


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize(
    "swing",
    [
        pytest.param(stroke(0.5), id="short putt"),
        pytest.param(stroke(1.6), id="long putt"),
        # Two standard deviations to either side of the published means.
        pytest.param(stroke(back_s=0.49, down_s=0.247), id="quick"),
        pytest.param(stroke(back_s=0.85, down_s=0.387), id="slow"),
    ],
)
def test_short_long_quick_and_slow_strokes_are_found(view, swing):
    clip, track, truth = film([*COME, still(1.4), swing, still(1.0), *LEAVE], view=view, **CALM)
    assert_matches(find_setups(track, clip), truth)


@pytest.mark.parametrize("view", VIEWS)
def test_a_clip_cut_to_the_stroke_is_enough(view):
    clip, track, truth = film([Action("still", 1.2, pose="address"), stroke(), still(0.3)], view=view, **CALM)
    assert_matches(find_setups(track, clip), truth)


@pytest.mark.parametrize("view", VIEWS)
def test_a_stroke_without_a_hold_is_found(view):
    clip, track, truth = film([*COME, still(1.2), stroke(), *LEAVE], view=view, **CALM)
    (setup,) = find_setups(track, clip)
    (quiet,) = truth.quiet_s
    assert quiet[0][0] - EARLY_S <= setup.times_s[0]
    assert setup.times_s[-1] <= quiet[0][1] + LATE_S


@pytest.mark.parametrize("view", VIEWS)
def test_the_hold_and_the_putter_coming_back_are_not_a_second_setup(view):
    actions = [*COME, still(1.4), stroke(), still(1.0), back_to_ball(1.2), still(1.0), *LEAVE]
    clip, track, truth = film(actions, view=view, **CALM)
    assert_matches(find_setups(track, clip), truth)


@pytest.mark.parametrize("view", VIEWS)
def test_looking_at_the_hole_is_neither_stroke_nor_setup(view):
    actions = [*COME, still(1.4), look(), still(0.9), look(away=False), still(0.9), stroke(), still(1.0), *LEAVE]
    clip, track, truth = film(actions, view=view, **CALM)
    assert_matches(find_setups(track, clip), truth)


def test_the_frames_are_not_taken_while_looking_at_the_hole():
    actions = [*COME, still(1.5), look(), still(1.0), look(away=False), still(0.3), stroke(), still(1.0), *LEAVE]
    for seed in range(4):
        clip, track, truth = film(actions, view="face_on", seed=seed, look_hz=10.0, floor=0.3)
        assert_matches(find_setups(track, clip), truth)


def test_motion_without_a_swing_of_the_hands_is_not_a_stroke_face_on():
    clip, track, truth = film([*COME, still(5.0), stroke(), still(1.0), *LEAVE], view="face_on", **CALM)
    clothes = np.where((track.motion_times_s > 5.0) & (track.motion_times_s < 6.3), 1.0, 0.0)
    assert_matches(find_setups(evolve(track, motion=track.motion + clothes), clip), truth)


def test_sway_long_before_the_stroke_does_not_hide_it():
    actions = [*COME, still(7.0), stroke(), still(1.0), *LEAVE]
    clip, track, truth = film(actions, view="face_on", fidget=0.09, look_hz=6.0, floor=0.002, key_frames_s=0.0)
    # A still second shows the noise: almost none.
    calm = (track.motion_times_s > 3.3) & (track.motion_times_s < 4.6)
    assert_matches(find_setups(evolve(track, motion=np.where(calm, 0.002, track.motion)), clip), truth)


@pytest.mark.parametrize("view", VIEWS)
def test_bending_still_for_other_reasons_is_not_a_setup(view):
    other = []
    for pose in ("tie a shoe", "crouch", "hands on knees", "place a ball", "lean on the putter"):
        other += [take(pose), still(3.0), take("stand"), still(0.5)]
    clip, track, truth = film([walk(2.0, 0.0, 0.0), *other, *PUTT, *LEAVE], view=view, **CALM)
    assert_matches(find_setups(track, clip), truth)


def test_a_swaying_hand_held_camera_still_gives_a_moment_at_address():
    found = 0
    for seed in range(6):
        clip, track, _truth = film(
            [*COME, still(2.0), stroke(), still(0.2), *LEAVE], view="face_on", shake=0.003, seed=seed
        )
        (setup, *_) = find_setups(track, clip)
        found += 3.0 <= setup.moment_s <= 5.3
    assert found >= 5  # The quietest span of a swaying picture may be the pause of the hold.


@pytest.mark.parametrize("view", VIEWS)
def test_a_person_walking_past_does_not_move_the_setup_into_the_hold(view):
    actions = [*COME, still(3.0), stroke(), still(1.5)]
    for seed in range(3):
        clip, track, truth = film(actions, view=view, seed=seed, **CALM)
        times_s = track.motion_times_s
        # In the picture from the last step of the walk until just before the stroke, as in a busy place.
        passing = np.interp(times_s, [2.8, 3.6, 4.2, 5.4, 6.3], [1.0, 0.6, 2.0, 4.0, 0.0])
        (setup,) = find_setups(evolve(track, motion=track.motion + passing), clip)
        ((quiet,),) = truth.quiet_s
        assert quiet[0] - EARLY_S <= setup.times_s[0] < setup.times_s[-1] <= quiet[1] + LATE_S
        assert "something else moves in the picture" in setup.reason
        assert (setup.stroke_s is not None) == (view == "face_on")


@pytest.mark.parametrize("view", VIEWS)
def test_without_a_stroke_the_longest_still_stretch_is_taken_and_said(view):
    clip, track, _ = film([*COME, still(2.2), *LEAVE], view=view, **CALM)
    (setup,) = find_setups(track, clip)
    assert setup.stroke_s is None
    assert setup.reason.startswith("No stroke was seen")
    assert 3.2 - EARLY_S <= setup.times_s[0] < setup.times_s[-1] <= 5.4 + LATE_S


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("pose", ["crouch", "tie a shoe", "place a ball", "stand"])
def test_no_setup_is_made_of_another_posture(view, pose):
    clip, track, _ = film([walk(2.0, 0.0, 0.0), take(pose), still(4.0), *LEAVE], view=view, **CALM)
    with pytest.raises(SetupNotFound, match=r"--setup-at SECONDS") as caught:
        find_setups(track, clip)
    assert caught.value.path == clip.path
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize("view", VIEWS)
def test_no_setup_is_made_of_walking_past(view):
    clip, track, _ = film([walk(5.0, 3.0, 0.0)], view=view, **CALM)
    with pytest.raises(SetupNotFound, match=r"the student was never seen with"):
        find_setups(track, clip)


def test_bending_down_and_up_without_a_rest_is_not_a_setup():
    actions = [walk(1.0, 0.0, 0.0), take("address low", 1.2), take("stand", 1.2), walk(1.0, 1.0, 0.0)]
    clip, track, _ = film(actions, **CALM)
    with pytest.raises(SetupNotFound):
        find_setups(track, clip)


def test_a_track_without_the_student_is_said():
    clip, track, _ = film([*COME, still(1.0)], **CALM)
    empty = evolve(track, points_px=np.full_like(track.points_px, np.nan))
    with pytest.raises(SetupNotFound, match="the student was not seen"):
        find_setups(empty, clip)


def test_a_still_is_one_setup_at_zero():
    clip, track, _ = film([*COME], **CALM)
    (setup,) = find_setups(track, evolve(clip, kind="still", duration_s=0.0, rate_hz=0.0))
    assert (setup.moment_s, setup.times_s) == (0.0, (0.0,))


def test_the_reason_names_the_stillness_and_the_stroke():
    clip, track, _ = film([*COME, still(1.4), stroke(), still(1.0), *LEAVE], view="face_on", **CALM)
    (setup,) = find_setups(track, clip)
    assert setup.stroke_s is not None
    assert f"before the stroke that starts at {setup.stroke_s[0]:.1f} s." in setup.reason


def test_as_many_frames_are_chosen_as_asked_for():
    clip, track, _ = film([*COME, still(1.6), stroke(), still(1.0), *LEAVE], view="face_on", **CALM)
    for count in (1, 3, 9):
        (setup,) = find_setups(track, clip, frames_per_setup=count)
        assert len(setup.times_s) == count


def test_a_slow_clip_has_no_frame_chosen_twice():
    clip, track, _ = film([*COME, still(0.9), stroke(), still(1.0), *LEAVE], view="face_on", frame_hz=5.0, **CALM)
    (setup,) = find_setups(track, clip)
    assert len(setup.times_s) > 1
    assert min(np.diff(setup.times_s)) >= 1 / 5.0 - 1e-9


CLIP, TRACK, _TRUTH = film([walk(2.0, 0.0, 0.0), *PUTT, *LEAVE], view="face_on", **CALM)
SIDE_CLIP, SIDE_TRACK, _SIDE_TRUTH = film([walk(2.0, 0.0, 0.0), *PUTT, *LEAVE], **CALM)


@pytest.mark.parametrize(("clip", "track"), [(CLIP, TRACK), (SIDE_CLIP, SIDE_TRACK)], ids=["face_on", "down_the_line"])
@settings(max_examples=8, deadline=None)
@given(later=st.floats(0.0, 3600.0), stretch=st.sampled_from([1.0, 2.0, 4.0, 8.0, 10.0]))
def test_setups_move_with_the_clock(clip, track, later, stretch):
    (plain,) = find_setups(track, clip)
    moved = evolve(
        track, times_s=later + track.times_s * stretch, motion_times_s=later + track.motion_times_s * stretch
    )
    slow = evolve(
        clip, time_stretch=stretch, rate_hz=clip.rate_hz / stretch, duration_s=later + clip.duration_s * stretch
    )
    (setup,) = find_setups(moved, slow)
    # Times may round to the next point of the grid of 1/30 s.
    assert setup.times_s == pytest.approx([later + time * stretch for time in plain.times_s], abs=0.04 * stretch)


@pytest.mark.parametrize(("clip", "track"), [(CLIP, TRACK), (SIDE_CLIP, SIDE_TRACK)], ids=["face_on", "down_the_line"])
@settings(max_examples=8, deadline=None)
@given(
    scale=st.floats(0.1, 8.0),
    u=st.floats(-500, 500),
    v=st.floats(-500, 500),
    mirrored=st.booleans(),
    gain=st.floats(0.2, 5),
)
def test_setups_do_not_depend_on_the_picture(clip, track, scale, u, v, mirrored, gain):
    points = track.points_px * scale * np.array([-1.0 if mirrored else 1.0, 1.0]) + np.array([u, v])
    changed = evolve(track, points_px=points, motion=track.motion * gain)
    (plain,), (setup,) = find_setups(track, clip), find_setups(changed, clip)
    assert setup.times_s == pytest.approx(plain.times_s, abs=1e-6)
    assert setup.stroke_s == pytest.approx(plain.stroke_s, abs=1e-6)
