"""The filter against its closed forms: its lag behind an even motion, and what it leaves of noise."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.live.smoothing import LONGEST_GAP_S, OneEuroFilter


def run(filter_, values, times_s):
    """Push values as points on a line, and return what comes out."""
    pushed = zip(values, times_s, strict=True)
    return np.array([filter_.push(np.array([[value, 0.0]]), time_s=time_s)[0, 0] for value, time_s in pushed])


@given(rate_hz=st.floats(15, 60), cutoff_hz=st.floats(0.5, 8), speed=st.floats(-500, 500))
def test_with_a_fixed_cut_off_an_even_motion_is_late_by_the_time_constant(rate_hz, cutoff_hz, speed):
    times = np.arange(400) / rate_hz
    filter_ = OneEuroFilter(at_rest_hz=cutoff_hz, per_speed=0.0)
    smoothed = run(filter_, speed * times, times)
    lag_s = 1 / (2 * math.pi * cutoff_hz)
    settled = (1 + 1 / (rate_hz * lag_s)) ** -399  # what is left of the start
    assert smoothed[-1] == pytest.approx(speed * (times[-1] - lag_s), abs=abs(speed) * (lag_s * settled + 1e-9) + 1e-9)
    assert filter_.lag_s == pytest.approx([lag_s])


@pytest.mark.parametrize("speed", [0.1, 0.5, 2.0])
def test_the_lag_that_is_told_is_the_lag_at_every_speed(speed):
    times = np.arange(200) / 25
    filter_ = OneEuroFilter(at_rest_hz=1.0, per_speed=10.0)
    smoothed = run(filter_, speed * times, times)
    assert filter_.lag_s[0] == pytest.approx(1 / (2 * math.pi * (1 + 10 * speed)), rel=1e-6)
    assert (speed * times[-1] - smoothed[-1]) / speed == pytest.approx(filter_.lag_s[0], rel=1e-6)


def test_an_uneven_frame_rate_changes_the_lag_of_an_even_motion_only_for_a_moment():
    gaps = np.tile([0.02, 0.05, 0.035], 100)
    times = np.cumsum(gaps)
    filter_ = OneEuroFilter(at_rest_hz=2.0, per_speed=0.0)
    late = times - run(filter_, times, times)
    assert late[-30:].mean() == pytest.approx(1 / (4 * math.pi), rel=0.1)


def test_noise_at_rest_is_left_as_the_closed_form_says():
    noise = np.random.default_rng(1).normal(size=40_000)
    times = np.arange(len(noise)) / 25
    filter_ = OneEuroFilter(at_rest_hz=1.0, per_speed=0.0)
    alpha = 0.04 / (0.04 + 1 / (2 * math.pi))
    assert run(filter_, noise, times)[500:].std() == pytest.approx(math.sqrt(alpha / (2 - alpha)), rel=0.03)


def test_a_point_that_was_hidden_starts_where_it_is_seen_again_and_the_others_go_on():
    filter_ = OneEuroFilter()
    points = np.zeros((2, 2))
    for frame in range(10):
        filter_.push(points + frame, time_s=frame / 25)
    hidden = filter_.push(np.array([[10.0, 10.0], [np.nan, np.nan]]), time_s=0.4)
    assert np.isnan(hidden[1]).all()
    assert hidden[0, 0] < 10
    again = filter_.push(np.array([[11.0, 11.0], [50.0, 50.0]]), time_s=0.44)
    assert again[1].tolist() == [50, 50]
    assert filter_.lag_s[1] == 0
    assert again[0, 0] < 11


def test_after_a_long_gap_nothing_is_dragged_along():
    filter_ = OneEuroFilter()
    filter_.push(np.zeros((1, 2)), time_s=0.0)
    late = filter_.push(np.full((1, 2), 9.0), time_s=LONGEST_GAP_S + 0.01)
    assert late.tolist() == [[9, 9]]
