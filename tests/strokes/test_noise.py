"""Noise at address: the quick part, its memory and the slow sway, from made series whose parts are known."""

import numpy as np
import pytest

from putt_posture.strokes.noise import measure_noise


def made(rng, times, *, quick, memory_s=0.0, sway=0.0, series=12):
    """Return series with quick noise of a known memory on a slow wave of random phase."""
    fresh = rng.normal(size=(len(times), series))
    for at in range(1, len(times) if memory_s else 0):
        kept = np.exp(-(times[at] - times[at - 1]) / memory_s)
        fresh[at] = kept * fresh[at - 1] + np.sqrt(1 - kept**2) * fresh[at]
    wave = np.sin(2 * np.pi * 0.35 * times[:, None] + rng.uniform(0, 2 * np.pi, series))
    return quick * fresh + np.sqrt(2) * sway * wave


@pytest.mark.parametrize("rate_hz", [30, 60, 120])
def test_white_noise_is_told_from_sway(rate_hz):
    rng = np.random.default_rng(1)
    times = np.arange(0, 1.5, 1 / rate_hz)
    noise = measure_noise(times, made(rng, times, quick=2.0, sway=3.0), still_s=(0.0, 1.5))
    assert np.mean(noise.quick) == pytest.approx(2.0, rel=0.15)
    assert np.mean(noise.sway) == pytest.approx(3.0, rel=0.25)
    assert noise.memory_s <= 1 / rate_hz


def test_no_sway_is_found_where_there_is_none():
    rng = np.random.default_rng(2)
    times = np.arange(0, 1.5, 1 / 60)
    noise = measure_noise(times, made(rng, times, quick=2.0), still_s=(0.0, 1.5))
    assert np.mean(noise.sway) < 0.4


@pytest.mark.parametrize("memory_s", [0.03, 0.08])
def test_frames_that_share_their_noise_are_worth_fewer(memory_s):
    rng = np.random.default_rng(3)
    times = np.arange(0, 2.0, 1 / 60)
    noise = measure_noise(times, made(rng, times, quick=1.0, memory_s=memory_s, series=30), still_s=(0.0, 2.0))
    # A mean of n frames with the correlation r between neighbours is worth about n (1 - r) / (1 + r) frames.
    kept = np.exp(-1 / 60 / memory_s)
    assert noise.independent(times) == pytest.approx(len(times) * (1 - kept) / (1 + kept), rel=0.5)
    assert noise.independent(times) < 0.7 * len(times)


def test_a_landmark_that_jumps_does_not_make_the_others_noisy():
    rng = np.random.default_rng(4)
    times = np.arange(0, 1.5, 1 / 60)
    values = made(rng, times, quick=1.0)
    values[[20, 57]] += 60.0
    noise = measure_noise(times, values, still_s=(0.0, 1.5))
    assert np.mean(noise.quick) == pytest.approx(1.0, rel=0.35)


def test_only_the_still_part_counts_and_unseen_frames_are_left_out():
    rng = np.random.default_rng(5)
    times = np.sort(rng.uniform(0, 3, 180))
    values = made(rng, times, quick=1.0, series=2)
    values[times > 1.5] += 100 * (times[times > 1.5, None] - 1.5)
    values[::5] = np.nan
    noise = measure_noise(times, values, still_s=(0.0, 1.4))
    assert np.mean(noise.quick) == pytest.approx(1.0, rel=0.25)


def test_a_series_that_was_not_seen_still_has_no_noise_to_tell():
    times = np.arange(0, 1, 1 / 60)
    values = np.stack([np.sin(9 * times), np.full(len(times), np.nan)], axis=1)
    noise = measure_noise(times, values, still_s=(0.0, 1.0))
    assert np.isfinite(noise.quick[0])
    assert np.isnan(noise.quick[1])
    assert np.isnan(measure_noise(times, values[:, 0], still_s=(5.0, 6.0)).quick).all()
