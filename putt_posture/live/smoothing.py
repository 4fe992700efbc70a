"""Smoothing of points that come one after the other, with a lag that is known.

The One Euro filter (Casiez, Roussel and Vogel, "1 € filter: a simple speed-based low-pass filter for noisy input in
interactive systems", CHI 2012; from memory). It is an exponential filter whose cut-off rises with the speed: a point at
rest is steady, a point that moves is late by little.

With a cut-off f the time constant is τ = 1 / (2πf), and a new point weighs α = Δt / (Δt + τ). Of a point that moves
evenly the filter is late by τ exactly, whatever the frame rate. Of independent noise it leaves √(α / (2 − α)).
"""

import math
from typing import Final

import numpy as np

from putt_posture.values import Floats

__all__ = ["LONGEST_GAP_S", "OneEuroFilter"]

AT_REST_HZ: Final = 1.0
"""Cut-off of a point at rest, Hz: of the small model's noise at 25 frames a second a third is left (judged on rendered
clips: 1 to 2 mm instead of 3 to 6)."""
PER_SPEED: Final = 10.0
"""How much the cut-off rises, Hz for each length of the body a second. Hands that swing move 0.3 to 1 of it: the
cut-off is 4 to 11 Hz then, and the lag 40 to 15 ms."""
SPEED_HZ: Final = 1.0
"""Cut-off for the speed itself, Hz (as in the paper)."""
LONGEST_GAP_S: Final = 0.4
"""After a longer gap a point starts anew, s."""


class OneEuroFilter:
    """A filter for a table of points.

    Parameters
    ----------
    at_rest_hz : float
        Cut-off of a point at rest.
    per_speed : float
        Hz for each unit of speed, in the unit of the sizes that are pushed, a second.
    speed_hz : float
        Cut-off for the speed.
    """

    def __init__(
        self, *, at_rest_hz: float = AT_REST_HZ, per_speed: float = PER_SPEED, speed_hz: float = SPEED_HZ
    ) -> None:
        self._at_rest_hz = at_rest_hz
        self._per_speed = per_speed
        self._speed_hz = speed_hz
        self.forget()

    def forget(self) -> None:
        """Start anew with the next points."""
        self._time_s = -math.inf
        self._points: Floats = np.empty(0)
        self._raw: Floats = np.empty(0)
        self._speed: Floats = np.empty(0)
        self._lag_s: Floats = np.empty(0)

    @property
    def lag_s(self) -> Floats:
        """By how much each of the points that were pushed last is late, (N,) s; 0 for one that starts."""
        return self._lag_s

    @property
    def speed(self) -> Floats:
        """Smoothed velocity of each point, (N, D), in its own unit a second."""
        return self._speed

    def push(self, points: Floats, *, time_s: float, size: float = 1.0) -> Floats:
        """Take the next points and return them smoothed.

        Parameters
        ----------
        points : (N, D)
            NaN where a point is not seen; it starts anew when it is seen again.
        time_s : float
            Their time; later than the last.
        size : float
            What counts as one unit of length for the speed, in the unit of the points.

        Returns
        -------
        (N, D)
            NaN where a point is not seen.
        """
        gap_s = time_s - self._time_s
        if not 0 < gap_s <= LONGEST_GAP_S or self._points.shape != points.shape:
            return self._start(points, time_s)
        known = np.isfinite(np.concatenate([self._raw, points], axis=1)).all(axis=1)
        speed = np.where(known[:, None], (points - self._raw) / gap_s, 0.0)
        self._speed = self._speed + _weight(gap_s, _tau(self._speed_hz)) * (speed - self._speed)
        tau = _tau(self._at_rest_hz + self._per_speed * np.linalg.norm(self._speed, axis=1) / size)
        weight = _weight(gap_s, tau)[:, None]
        self._points = np.where(known[:, None], self._points + weight * (points - self._points), points)
        self._lag_s = np.where(known, tau, 0.0)
        self._raw, self._time_s = points, time_s
        return self._points

    def _start(self, points: Floats, time_s: float) -> Floats:
        self._points, self._raw, self._time_s = points.copy(), points, time_s
        self._speed = np.zeros_like(points)
        self._lag_s = np.zeros(len(points))
        return self._points


def _tau(cutoff_hz: Floats | float) -> Floats:
    """Return the time constant of a cut-off, s."""
    return 1.0 / (2.0 * math.pi * np.asarray(cutoff_hz, dtype=float))


def _weight(gap_s: float, tau_s: Floats) -> Floats:
    """Return how much a new point counts."""
    return np.asarray(gap_s / (gap_s + tau_s))
