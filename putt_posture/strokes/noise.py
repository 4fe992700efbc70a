"""How much points scatter while nothing moves, read from the still part of the same clip.

The quick part (what the model scatters from frame to frame) and the slow sway of the body are told apart by how the
difference of two frames grows with the time between them (the variogram): the quick part is there between neighbours,
the sway grows with the square of the time. Values are of any unit; times are seconds, uneven where frames are.
"""

from typing import Final

import numpy as np
from attrs import field, frozen
from scipy.optimize import nnls

from putt_posture.values import Floats

__all__ = ["Noise", "measure_noise"]

SWAY_MEMORY_S: Final = 0.5
"""Sway of standing people is slower than 1 Hz (common practice); one length for all, since a second of stillness cannot
tell it."""
_MEMORIES_S: Final = (0.0, 0.01, 0.02, 0.035, 0.06, 0.1, 0.15)
"""Between these the memory of the quick part is chosen; a longer one is not told from sway."""
_LONGEST_LAG_S: Final = 0.6
_LEAST_FRAMES: Final = 5
_LEAST_FOR_MEMORY: Final = 20
_OUTLIER: Final = 4.0
"""A difference of more than so many robust standard deviations counts as one of just so many: landmarks jump."""
_ROBUST: Final = 1.4826
"""Standard deviation of a normal variable by its median absolute deviation."""


@frozen(kw_only=True, eq=False)
class Noise:
    """The noise of D series.

    Attributes
    ----------
    quick : (D,)
        One sigma of the quick part of a single frame, in the unit of the series; NaN where it was not seen still.
    memory_s : float
        How long the quick part is correlated: neighbours dt apart have the correlation exp(-dt / memory_s); 0 where
        it is new in each frame. One for all series.
    sway : (D,)
        One sigma of the slow part, same unit.
    sway_memory_s : float
        Length of the slow part, s: its correlation is (1 + z) exp(-z) with z = √3 dt / length (Matérn, 3/2).
    frames : int
        Still frames that were used.
    """

    quick: Floats
    memory_s: float
    sway: Floats
    sway_memory_s: float = SWAY_MEMORY_S
    frames: int = field(default=0)

    def quick_covariance(self, times_s: Floats, series: int = 0) -> Floats:
        """Return the covariance (N, N) of the quick part of one series at given times, unit squared.

        Parameters
        ----------
        times_s : (N,)
        series : int
            Which of the D series.
        """
        return np.asarray(self.quick[series] ** 2 * self._quick_correlation(times_s))

    def covariance(self, times_s: Floats, series: int = 0) -> Floats:
        """Return the covariance (N, N) of quick part and sway of one series at given times, unit squared.

        Parameters
        ----------
        times_s : (N,)
        series : int
            Which of the D series.
        """
        apart = np.abs(times_s[:, None] - times_s[None])
        slow: Floats = self.sway[series] ** 2 * _slow(apart, self.sway_memory_s)
        return self.quick_covariance(times_s, series) + slow

    def independent(self, times_s: Floats) -> float:
        """Return how many independent frames these frames are worth for a mean, as far as the quick part goes.

        Parameters
        ----------
        times_s : (N,)
        """
        return float(len(times_s) ** 2 / self._quick_correlation(times_s).sum()) if len(times_s) else 0.0

    def _quick_correlation(self, times_s: Floats) -> Floats:
        return _quick(np.abs(times_s[:, None] - times_s[None]), self.memory_s)


def measure_noise(times_s: Floats, values: Floats, *, still_s: tuple[float, float]) -> Noise:
    """Measure the noise of series in the still part of a clip.

    Parameters
    ----------
    times_s : (N,)
        Seconds, increasing, uneven or not.
    values : (N,) or (N, D)
        NaN where not seen.
    still_s : (float, float)
        Start and end of the still part, same clock.

    Returns
    -------
    Noise
        Of D series; one for (N,). NaN for a series that is seen in fewer than five of the still frames.
    """
    series = values.reshape(len(times_s), -1)
    still = (times_s >= still_s[0]) & (times_s <= still_s[1])
    times, series = times_s[still], series[still]
    first, second = np.triu_indices(len(times), k=1)
    apart = times[second] - times[first]
    longest = min(_LONGEST_LAG_S, (times[-1] - times[0]) / 2) if len(times) > 1 else 0.0
    near = apart <= longest + 1e-9
    apart, squares = apart[near], (series[second[near]] - series[first[near]]) ** 2
    seen = np.isfinite(series).sum(axis=0)
    known = np.flatnonzero((seen >= _LEAST_FRAMES) & (np.isfinite(squares).sum(axis=0) >= _LEAST_FRAMES))
    quick, sway = np.full((2, series.shape[1]), np.nan)
    if not len(known):
        return Noise(quick=quick, memory_s=0.0, sway=sway, frames=len(times))
    lags, grown = _variograms(apart, squares[:, known])
    memories = _MEMORIES_S if len(times) >= _LEAST_FOR_MEMORY else (0.0,)
    fits = [_fit(lags, grown, memory_s) for memory_s in memories]
    best = int(np.argmin([misfit for _, misfit in fits]))
    quick[known], sway[known] = np.sqrt(fits[best][0])
    return Noise(quick=quick, memory_s=memories[best], sway=sway, frames=len(times))


def _variograms(apart: Floats, squares: Floats) -> tuple[Floats, Floats]:
    """Return the lags (L,) and half the mean squared differences (L, D) at them, jumps held down."""
    step = float(np.median(apart[apart <= 1.5 * apart.min()]))
    numbers = np.round(apart / step).astype(int)
    lags, grown = [], []
    for number in np.unique(numbers):
        here = squares[numbers == number]
        middle = np.nanmedian(np.where(np.isfinite(here).any(axis=0), here, 0.0), axis=0)
        most = (_OUTLIER * _ROBUST) ** 2 * middle
        kept = np.where(np.isfinite(here), np.minimum(here, np.where(most > 0, most, np.inf)), np.nan)
        lags.append(float(apart[numbers == number].mean()))
        grown.append(np.where(np.isfinite(kept), kept, 0.0).sum(axis=0) / np.maximum(np.isfinite(kept).sum(axis=0), 1))
    return np.array(lags), 0.5 * np.array(grown)


def _fit(lags: Floats, grown: Floats, memory_s: float) -> tuple[Floats, float]:
    """Return the variances (2, D) of quick part and sway, and the misfit over all series."""
    parts = np.stack([1 - _quick(lags, memory_s), 1 - _slow(lags, SWAY_MEMORY_S)], axis=1)
    size = np.maximum(grown.mean(axis=0), 1e-300)
    weights = 1 / np.sqrt(1 + np.arange(len(lags)))  # longer lags share their frames and scatter more
    variances, misfit = [], 0.0
    for column, scale in zip(grown.T, size, strict=True):
        found, rest = nnls(weights[:, None] * parts, weights * column / scale)
        variances.append(found * scale)
        misfit += rest**2
    return np.array(variances).T, misfit


def _quick(apart: Floats, memory_s: float) -> Floats:
    if memory_s <= 0:
        return np.asarray(apart == 0, dtype=np.float64)
    return np.asarray(np.exp(-apart / memory_s))


def _slow(apart: Floats, memory_s: float) -> Floats:
    way = np.sqrt(3) * apart / memory_s
    return np.asarray((1 + way) * np.exp(-way))
