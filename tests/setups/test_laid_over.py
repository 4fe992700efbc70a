"""A stroke laid over another clip by how much moves: closed forms with a known shift."""

import numpy as np
import pytest

from putt_posture.setups.laid_over import LEAST_LIKE, lay_over
from putt_posture.setups.quiet import LEVEL_STEP_S, Activity
from putt_posture.setups.stroke_shape import StrokeShape

SHAPE = StrokeShape(back_s=0.7, held_s=0.0, through_s=0.33)
WITHIN_S = 0.01
TEMPO_WITHIN_S = 0.05
"""Another tempo has no one shift; its middle lies within this."""


def act(starts_s, *, size=1.0, floor=0.1, length_s=8.0, noise=0.0, shape=SHAPE, away=(9.0, 9.0)):
    """Return the motion of strokes in still pictures; the student is away from the address for a while."""
    times_s = LEVEL_STEP_S * np.arange(round(length_s / LEVEL_STEP_S))
    level = np.full(len(times_s), floor)
    for start_s in starts_s:
        level += size * np.abs(np.gradient(shape.place(times_s - start_s), times_s))
    level += noise * np.random.default_rng(3).normal(size=len(times_s))
    there = (times_s < away[0]) | (times_s > away[1])
    return Activity(times_s=times_s, level=level, at_address=there, floor=floor, spread=0.0)


def lay(giver, taker, start_s=2.0, shape=SHAPE, least=-6.0, most=6.0):
    return lay_over(giver, (start_s, start_s + shape.length_s), taker, least_shift_s=least, most_shift_s=most)


@pytest.mark.parametrize("shift_s", [-1.27, 0.0, 2.431])
@pytest.mark.parametrize("size", [0.1, 1.0, 5.0])
def test_the_shift_of_one_stroke_is_found_whatever_its_size_in_the_other_picture(shift_s, size):
    laid = lay(act([2.0]), act([2.0 + shift_s], size=size, floor=0.3, noise=0.01 * size))
    assert laid.shift_s == pytest.approx(shift_s, abs=WITHIN_S)
    assert laid.like > LEAST_LIKE


def test_a_stroke_that_begins_with_the_other_clip_is_found_too():
    assert lay(act([2.0]), act([0.1])).shift_s == pytest.approx(-1.9, abs=WITHIN_S)


def test_a_stroke_of_another_tempo_is_less_like_it_and_lies_at_its_middle():
    slow = StrokeShape(back_s=0.8, held_s=0.0, through_s=0.38)
    laid, same = lay(act([2.0]), act([2.0], shape=slow)), lay(act([2.0]), act([2.0]))
    assert same.like > laid.like > LEAST_LIKE
    assert laid.shift_s == pytest.approx((slow.length_s - SHAPE.length_s) / 2, abs=TEMPO_WITHIN_S)


def test_nothing_alike_is_found_in_stillness_noise_or_away_from_the_address():
    assert lay(act([2.0]), act([])).like < LEAST_LIKE
    assert lay(act([2.0]), act([], noise=0.05)).like < LEAST_LIKE
    assert lay(act([2.0]), act([4.0], away=(3.9, 4.6))).like < LEAST_LIKE
    assert lay(act([2.0]), act([2.0], away=(-1.0, 9.0))) is None


def test_shifts_that_leave_the_other_clip_or_what_was_told_are_not_tried():
    assert lay(act([2.0]), act([], length_s=1.0)) is None
    assert abs(lay(act([2.0]), act([5.0]), least=-0.5, most=0.5).shift_s) <= 0.5
