"""A stroke's shape in the picture's motion and the body's swing."""

import numpy as np
import pytest
from attrs import evolve
from simulated_golfer import Action, back_to_ball, film, look, still, stroke, waggle

from putt_posture.setups.quiet import measure_activity
from putt_posture.setups.signals import measure_signals
from putt_posture.setups.stroke_shape import StrokeShape, find_matches

VIEWS = ("down_the_line", "face_on")
CALM = {"look_hz": 6.0, "floor": 0.05, "noise": 0.002, "noise_s": 0.15, "contrast": 1.5}
STANDS = Action("still", 2.0, pose="address")
START_S = 0.25
"""A stroke begins slowly, and is seen through a mean over 0.2 s and looks 0.17 s apart."""


def matches(actions, view, how=CALM, *, seed=0, compared="motion and body", change=lambda track: track):
    clip, track, truth = film(actions, view=view, seed=seed, **how)
    track = change(track)
    signals = measure_signals(track, clip)
    activity = measure_activity(track, clip, signals)
    return find_matches(signals, activity, compared=compared), truth


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("held_s", [0.0, 0.8, 1.2])
def test_start_finish_and_hold_of_a_stroke_are_found(view, held_s):
    (match,), truth = matches([STANDS, stroke(held_s=held_s), still(1.0)], view)
    ((start_s, end_s),) = truth.strokes_s
    assert match.start_s == pytest.approx(start_s, abs=START_S)
    assert match.end_s == pytest.approx(end_s, abs=0.4)
    assert match.shape.held_s == pytest.approx(held_s, abs=0.35)


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("swing", [stroke(0.5), stroke(1.6), stroke(back_s=0.49, down_s=0.25), stroke(back_s=0.9)])
def test_short_long_quick_and_slow_strokes_have_the_shape(view, swing):
    (match,), truth = matches([STANDS, swing, still(1.0)], view)
    assert match.start_s == pytest.approx(truth.strokes_s[0][0], abs=START_S)


@pytest.mark.parametrize("view", VIEWS)
def test_two_strokes_are_two_matches_and_the_putter_coming_back_is_none(view):
    found, truth = matches([STANDS, stroke(), still(0.5), back_to_ball(), still(1.0), stroke(), still(1.0)], view)
    assert [match.start_s for match in found] == pytest.approx([start for start, _ in truth.strokes_s], abs=START_S)


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize(
    "actions",
    [
        pytest.param([look(), still(0.8), look(away=False)], id="a look at the hole"),
        pytest.param([waggle(0.6, 0.2), still(0.5)], id="a waggle"),
        pytest.param([still(3.0)], id="nothing"),
    ],
)
def test_other_movements_do_not_have_the_shape(view, actions):
    for seed in range(4):
        found, _ = matches([STANDS, *actions, still(1.0)], view, seed=seed)
        assert not found


@pytest.mark.parametrize("view", VIEWS)
def test_an_unsteady_picture_does_not_hide_a_stroke_that_the_body_shows(view):
    how = CALM | {"floor": 0.5, "contrast": 0.8, "shake": 0.001}
    for seed in range(4):
        found, truth = matches([STANDS, still(2.0), stroke(), still(1.0)], view, how, seed=seed)
        assert [match.start_s for match in found] == pytest.approx([truth.strokes_s[0][0]], abs=0.35)


def test_coarse_landmarks_do_not_hide_a_stroke_that_the_picture_shows():
    for seed in range(4):
        found, truth = matches([STANDS, stroke(), still(1.0)], "down_the_line", CALM | {"noise": 0.012}, seed=seed)
        assert [match.start_s for match in found] == pytest.approx([truth.strokes_s[0][0]], abs=START_S)


@pytest.mark.parametrize("view", VIEWS)
def test_motion_in_the_picture_without_a_swing_is_not_a_stroke(view):
    """The same motion, over a body that does not move."""
    _, swung, truth = film([STANDS, stroke(), still(1.0)], view=view, **CALM)
    rest = [STANDS, still(truth.strokes_s[0][1] - truth.strokes_s[0][0]), still(1.0)]
    found, _ = matches(
        rest, view, change=lambda track: evolve(track, motion=np.resize(swung.motion, track.motion.shape))
    )
    assert not found


def test_face_on_the_body_alone_shows_a_stroke_where_other_things_move():
    """A person walks past: the picture moves most just before and after the stroke."""

    def passing(track):
        return evolve(track, motion=np.interp(track.motion_times_s, [1.4, 2.0, 2.7, 3.4, 4.0], [0, 9, 3, 9, 0]))

    both, truth = matches([STANDS, stroke(), still(1.0)], "face_on", change=passing)
    assert not both
    (match,), _ = matches([STANDS, stroke(), still(1.0)], "face_on", change=passing, compared="body")
    assert match.start_s == pytest.approx(truth.strokes_s[0][0], abs=START_S)


def test_the_shape_goes_back_rests_and_goes_through_as_far_again():
    shape = StrokeShape(back_s=0.7, held_s=1.0, through_s=0.3)
    assert shape.place(np.array([0.0, 0.7, 1.2, 1.7, 2.0, 2.3])) == pytest.approx([0, -1, -1, -1, 0, 1])
    assert (shape.impact_s, shape.length_s) == pytest.approx((2.0, 2.3))
