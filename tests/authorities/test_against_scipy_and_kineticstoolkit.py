"""Smoothing against scipy's filters and spline, against kineticstoolkit, and against two textbook formulas."""

from pathlib import Path

import numpy as np
import pytest
from scipy.interpolate import make_smoothing_spline
from scipy.signal import butter, filtfilt, savgol_coeffs

from putt_posture.strokes.noise import Noise
from putt_posture.strokes.smoothing import smooth_series

CORRECTION = (np.sqrt(2) - 1) ** 0.25
"""0.802: a second-order Butterworth filter that runs forward and back has −3 dB there (Winter, from memory)."""
OF_RANGE = 0.003
"""Between filters that differ only in how they treat the step from one frame to the next, as a share of the range."""
ENDS = 30
"""Frames at either end, where filters guess what came before."""
KNOWN = Noise(quick=np.array([1.0]), memory_s=0.0, sway=np.zeros(1))


def test_even_frames_are_smoothed_as_by_a_butterworth_filter_forward_and_back():
    rng = np.random.default_rng(1)
    times = np.arange(180) / 60
    wave = 50 * np.sin(2 * np.pi * 0.8 * times) + rng.normal(0, 1.5, 180)
    ours = smooth_series(times, wave, KNOWN, cutoff_hz=6.0).values[:, 0]
    theirs = filtfilt(*butter(2, 6 / CORRECTION, fs=60), wave)
    assert np.abs(ours - theirs)[ENDS:-ENDS].max() <= OF_RANGE * np.ptp(wave)


def test_the_correction_matters_near_the_cutoff():
    times = np.arange(180) / 60
    wave = np.sin(2 * np.pi * 5 * times)
    ours = smooth_series(times, wave, KNOWN, cutoff_hz=6.0).values[:, 0]
    corrected, uncorrected = (filtfilt(*butter(2, cutoff, fs=60), wave) for cutoff in (6 / CORRECTION, 6))
    assert np.ptp(ours[ENDS:-ENDS]) == pytest.approx(np.ptp(corrected[ENDS:-ENDS]), rel=0.02)
    assert np.ptp(ours[ENDS:-ENDS]) > 1.1 * np.ptp(uncorrected[ENDS:-ENDS])


def test_kineticstoolkit_makes_the_same_of_the_same_wave():
    table = np.loadtxt(Path(__file__).with_name("kineticstoolkit_butterworth.csv"), delimiter=",", skiprows=1)
    times, wave, theirs = table.T
    ours = smooth_series(times, wave, KNOWN, cutoff_hz=6.0).values[:, 0]
    assert np.abs(ours - theirs)[ENDS:-ENDS].max() <= OF_RANGE * np.ptp(wave)


def test_uneven_frames_are_smoothed_as_by_scipys_spline():
    rng = np.random.default_rng(2)
    times = np.cumsum(rng.uniform(0.008, 0.03, 150))
    wave = 50 * np.sin(2 * np.pi * 0.8 * times) + rng.normal(0, 1.5, 150)
    ours = smooth_series(times, wave, KNOWN, cutoff_hz=6.0)
    penalty = 1 / (np.median(np.diff(times)) * (2 * np.pi * 6 / CORRECTION) ** 4)
    spline = make_smoothing_spline(times, wave, lam=penalty)
    assert np.abs(ours.values[:, 0] - spline(times)).max() <= 1e-4 * np.ptp(wave)
    assert np.abs(ours.rates[:, 0] - spline.derivative()(times)).max() <= 1e-3 * np.ptp(ours.rates)


@pytest.mark.parametrize("half", [2, 4, 7])
def test_the_slope_of_scipys_savitzky_golay_filter_has_the_noise_of_the_formula(half):
    # σv = σx f √(3 / (m (m + 1) (2m + 1))) for a quadratic over 2m + 1 frames.
    gain = np.sqrt(np.sum(savgol_coeffs(2 * half + 1, 2, deriv=1, delta=1 / 60) ** 2))
    assert gain == pytest.approx(60 * np.sqrt(3 / (half * (half + 1) * (2 * half + 1))))


@pytest.mark.parametrize("rate_hz", [30, 60, 120, 240])
def test_a_time_rounded_to_frames_scatters_by_a_frame_over_the_root_of_twelve(rate_hz):
    places = (np.arange(10_000) + 0.5) / 10_000 / rate_hz
    rounded = np.round(places * rate_hz) / rate_hz
    assert np.std(rounded - places) == pytest.approx(1 / (rate_hz * np.sqrt(12)), rel=1e-3)
