"""Series of a stroke made smooth, with the uncertainty of each smoothed value; never across impact.

A cubic smoothing spline does to evenly timed frames what a second-order Butterworth filter does when it runs forward
and back: both pass the share 1 / (1 + (f / f₀)⁴) of a frequency f. The spline takes uneven times, gaps and ends as they
are. It passes 1/√2 (−3 dB) at 0.802 f₀ (Winter, Biomechanics and Motor Control of Human Movement; the number is
(√2 − 1)^¼). Cutoffs are Hz at −3 dB, times real seconds.
"""

from collections.abc import Sequence
from functools import lru_cache
from typing import Final

import numpy as np
from attrs import field, frozen
from scipy.interpolate import CubicSpline
from scipy.linalg import eigh, solve

from putt_posture.strokes.noise import Noise
from putt_posture.values import Floats

__all__ = ["Smoothed", "smooth_series"]

CUTOFFS_HZ: Final = (3.0, 15.0)
"""The cutoff is looked for in this range. 6 to 10 Hz is usual for human movement (common practice)."""
LONGEST_GAP_S: Final = 0.1
_STEPS: Final = 15
_CORRECTION: Final = (np.sqrt(2) - 1) ** 0.25
"""0.802: −3 dB cutoff of the two passes over the cutoff of one."""
_MOST_OF_RATE: Final = 0.3
"""Highest cutoff as a share of the frames a second."""
_LEAST_FRAMES: Final = 4


@frozen(kw_only=True, eq=False)
class Smoothed:
    """Smoothed series.

    Attributes
    ----------
    times_s : (N,)
        Those that were given.
    values : (N, D)
        In the unit of the series; NaN in long gaps and outside of what was seen.
    rates : (N, D)
        First derivatives, unit a second.
    sd : (N, D)
        One sigma of `values`: the quick noise that went through, and what the smoothing takes off.
    cutoff_hz : (S,)
        −3 dB cutoff of each part between breaks; NaN for a part without enough frames.
    """

    times_s: Floats = field(repr=False)
    values: Floats = field(repr=False)
    rates: Floats = field(repr=False)
    sd: Floats = field(repr=False)
    cutoff_hz: Floats


def smooth_series(
    times_s: Floats,
    values: Floats,
    noise: Noise,
    *,
    breaks_s: Sequence[float] = (),
    cutoff_hz: float | None = None,
    longest_gap_s: float = LONGEST_GAP_S,
) -> Smoothed:
    """Smooth D series that belong together, each part between breaks by itself.

    The cutoff, where none is given, is the one with the least expected squared error (unbiased risk, Craven and Wahba
    1979), for which the noise must be known.

    Parameters
    ----------
    times_s : (N,)
        Seconds, increasing; uneven where frames are.
    values : (N,) or (N, D)
        NaN where not seen; a frame counts as seen where all D series are.
    noise : Noise
        Of these D series (`measure_noise`).
    breaks_s : sequence of float
        Moments across which nothing is smoothed: impact.
    cutoff_hz : float, optional
        −3 dB; found from the noise where not given, one for all series of a part.
    longest_gap_s : float
        Longer gaps between seen frames stay NaN, s.

    Returns
    -------
    Smoothed
    """
    series = values.reshape(len(times_s), -1)
    result = [np.full(series.shape, np.nan) for _ in range(3)]
    cutoffs = []
    part = np.searchsorted(np.sort(np.asarray(breaks_s, dtype=np.float64)), times_s, side="right")
    for number in range(len(breaks_s) + 1):
        inside = np.flatnonzero(part == number)
        seen = inside[np.isfinite(series[inside]).all(axis=1)]
        if len(seen) < _LEAST_FRAMES:
            cutoffs.append(np.nan)
            continue
        filled = _between(times_s[inside], times_s[seen], longest_gap_s)
        *smoothed, used_hz = _smooth_part(times_s[seen], series[seen], noise, times_s[inside[filled]], cutoff_hz)
        for whole, piece in zip(result, smoothed, strict=True):
            whole[inside[filled]] = piece
        cutoffs.append(used_hz)
    return Smoothed(times_s=times_s, values=result[0], rates=result[1], sd=result[2], cutoff_hz=np.array(cutoffs))


def _between(times_s: Floats, seen_s: Floats, longest_gap_s: float) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Return which times are seen, or lie in a gap that is short enough."""
    after = np.clip(np.searchsorted(seen_s, times_s, side="left"), 0, len(seen_s) - 1)
    before = np.clip(np.searchsorted(seen_s, times_s, side="right") - 1, 0, len(seen_s) - 1)
    inside = (times_s >= seen_s[0]) & (times_s <= seen_s[-1])
    return np.asarray(inside & (seen_s[after] - seen_s[before] <= longest_gap_s + 1e-9))


def _smooth_part(
    seen_s: Floats, seen: Floats, noise: Noise, wanted_s: Floats, cutoff_hz: float | None
) -> tuple[Floats, Floats, Floats, float]:
    """Return values, rates and one sigma at the wanted times, and the cutoff."""
    steps, waves = _roughness(seen_s.tobytes())
    step_s = float(np.median(np.diff(seen_s)))
    unit = noise.quick_covariance(seen_s) / noise.quick[0] ** 2 if noise.quick[0] > 0 else np.eye(len(seen_s))
    quick = np.where(np.isfinite(noise.quick), noise.quick, 0.0)
    if cutoff_hz is None:
        highest = min(CUTOFFS_HZ[1], _MOST_OF_RATE / step_s)
        tried = np.geomspace(min(CUTOFFS_HZ[0], highest), highest, _STEPS)
        through = 1 / (1 + _penalty(tried, step_s)[:, None] * steps)
        rest = ((1 - through[:, None]) ** 2 * ((waves.T @ seen) ** 2).T).sum(axis=2)
        passed = through @ np.sum(waves * (unit @ waves), axis=0)
        risk = (rest + 2 * quick**2 * passed[:, None]) / np.maximum(
            quick**2, 1e-12 * np.ptp(seen, axis=0) ** 2 + 1e-300
        )
        cutoff_hz = float(tried[int(np.argmin(risk.sum(axis=1)))])
    smoother = (waves / (1 + _penalty(np.array([cutoff_hz]), step_s) * steps)) @ waves.T
    spline = CubicSpline(seen_s, np.eye(len(seen_s)), bc_type="natural")
    at, slope = spline(wanted_s) @ smoother, spline(wanted_s, 1) @ smoother
    values = at @ seen
    through_noise = np.sqrt(np.maximum(np.sum(at @ unit * at, axis=1), 0.0))[:, None] * quick
    # What smoothing takes off a curve is about what it takes off the smoothed curve.
    taken = values - at @ (smoother @ seen)
    apart = np.abs(wanted_s[:, None] - wanted_s[None]) <= 0.5 / cutoff_hz
    taken = np.sqrt(apart @ taken**2 / apart.sum(axis=1, keepdims=True))
    return values, slope @ seen, np.hypot(through_noise, taken), cutoff_hz


def _penalty(cutoffs_hz: Floats, step_s: float) -> Floats:
    return np.asarray(1 / (step_s * (2 * np.pi * cutoffs_hz / _CORRECTION) ** 4))


@lru_cache(maxsize=16)
def _roughness(times: bytes) -> tuple[Floats, Floats]:
    """Return eigenvalues (N,) and eigenvectors (N, N) of the roughness of a natural spline by its values.

    The roughness is the integral of the squared second derivative (Reinsch 1967; Demmler and Reinsch 1975).
    """
    times_s = np.frombuffer(times)
    count, gaps = len(times_s), np.diff(times_s)
    second, band = np.zeros((count, count - 2)), np.zeros((count - 2, count - 2))
    at = np.arange(count - 2)
    second[at, at], second[at + 2, at] = 1 / gaps[:-1], 1 / gaps[1:]
    second[at + 1, at] = -1 / gaps[:-1] - 1 / gaps[1:]
    band[at, at] = (gaps[:-1] + gaps[1:]) / 3
    band[at[:-1], at[1:]] = band[at[1:], at[:-1]] = gaps[1:-1] / 6
    values, vectors = eigh(second @ solve(band, second.T, assume_a="pos"))
    return np.maximum(values, 0.0), vectors
