"""Smoothing: what passes, what it is unsure of, and that impact is not smeared."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putt_posture.strokes.noise import Noise
from putt_posture.strokes.smoothing import smooth_series


def known(*quick, memory_s=0.0):
    return Noise(quick=np.array(quick), memory_s=memory_s, sway=np.zeros(len(quick)))


@pytest.mark.parametrize(("frequency_hz", "share"), [(1.0, 1.0), (6.0, 1 / np.sqrt(2)), (20.0, 0.02)])
def test_the_cutoff_is_where_a_wave_keeps_seven_tenths(frequency_hz, share):
    times = np.arange(0, 3, 1 / 120)
    wave = np.sin(2 * np.pi * frequency_hz * times)
    smooth = smooth_series(times, wave, known(0.1), cutoff_hz=6.0).values[60:-60, 0]
    assert np.ptp(smooth) / 2 == pytest.approx(share, abs=0.01)


def test_impact_stays_as_sharp_as_it_was():
    times = np.arange(0, 2, 1 / 60)
    bounced = np.where(times < 1, times, 1 - 0.5 * (times - 1)) * 100
    apart = smooth_series(times, bounced, known(1.0), breaks_s=(1.0,), cutoff_hz=4.0)
    across = smooth_series(times, bounced, known(1.0), cutoff_hz=4.0)
    assert np.abs(apart.values[:, 0] - bounced).max() < 1e-6
    assert np.abs(across.values[:, 0] - bounced).max() > 1.0
    assert np.isfinite(apart.cutoff_hz).all()


@pytest.mark.parametrize("memory_s", [0.0, 0.03])
def test_the_uncertainty_is_what_noise_does_to_the_smoothed_values(memory_s):
    rng = np.random.default_rng(6)
    times = np.arange(0, 1.5, 1 / 60)
    truth = 40 * np.sin(2 * np.pi * 0.8 * times)
    errors, said = [], []
    for _ in range(60):
        fresh = rng.normal(size=len(times))
        for at in range(1, len(times) if memory_s else 0):
            kept = np.exp(-1 / 60 / memory_s)
            fresh[at] = kept * fresh[at - 1] + np.sqrt(1 - kept**2) * fresh[at]
        smooth = smooth_series(times, truth + 1.5 * fresh, known(1.5, memory_s=memory_s))
        errors.append(smooth.values[:, 0] - truth)
        said.append(smooth.sd[:, 0])
    assert np.mean(said) == pytest.approx(np.sqrt(np.mean(np.square(errors))), rel=0.3)
    inside = np.abs(errors) < 1.96 * np.array(said)
    assert 0.9 <= inside.mean() <= 0.995


def test_less_noise_asks_for_a_higher_cutoff():
    rng = np.random.default_rng(7)
    times = np.arange(0, 2, 1 / 60)
    truth = 40 * np.sin(2 * np.pi * 2.0 * times)
    noise = rng.normal(size=len(times))
    coarse = smooth_series(times, truth + 8.0 * noise, known(8.0)).cutoff_hz[0]
    fine = smooth_series(times, truth + 0.2 * noise, known(0.2)).cutoff_hz[0]
    assert coarse < 0.7 * fine


def test_a_short_gap_is_bridged_with_more_uncertainty_and_a_long_one_is_left_open():
    times = np.arange(0, 3, 1 / 60)
    values = 40 * np.sin(2 * np.pi * 0.8 * times)
    values[60:63], values[100:130] = np.nan, np.nan
    smooth = smooth_series(times, values, known(0.5), cutoff_hz=6.0)
    assert np.abs(smooth.values[60:63, 0] - 40 * np.sin(2 * np.pi * 0.8 * times[60:63])).max() < 0.3
    assert smooth.sd[61, 0] > smooth.sd[40, 0]
    assert np.isnan(smooth.values[100:130]).all()
    assert np.isfinite(smooth.values[130:]).all()


def test_a_part_with_too_few_frames_has_no_values():
    times = np.arange(0, 1, 1 / 30)
    smooth = smooth_series(times, times, known(0.1), breaks_s=(times[-2],))
    assert np.isnan(smooth.values[-2:]).all()
    assert np.isnan(smooth.cutoff_hz[-1])


@settings(max_examples=15, deadline=None)
@given(shift=st.floats(-50, 50), factor=st.floats(0.1, 10), seed=st.integers(0, 99))
def test_values_follow_a_shift_and_a_scale(shift, factor, seed):
    rng = np.random.default_rng(seed)
    times = np.cumsum(rng.uniform(0.01, 0.03, 50))
    values = rng.normal(size=50)
    plain = smooth_series(times, values, known(1.0), cutoff_hz=5.0)
    moved = smooth_series(times, shift + factor * values, known(factor), cutoff_hz=5.0)
    assert np.allclose(moved.values, shift + factor * plain.values, atol=1e-6 * (1 + abs(shift) + factor))
    assert np.allclose(moved.sd, factor * plain.sd, rtol=1e-4, atol=1e-6 * (1 + abs(shift)))
