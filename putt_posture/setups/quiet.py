"""How much moves in the picture around the student, and where it is quiet.

Times are real seconds. The level is in the units of the track's motion (grey levels per 1/30 s); only its ratio to the
clip's own noise and to the clip's own strokes is used, because contrast, light and compression differ.
"""

from typing import Final

import numpy as np
from attrs import field, frozen
from numpy.typing import NDArray
from scipy.ndimage import binary_erosion, median_filter, uniform_filter1d

from putt_posture.setups.signals import Signals, find_runs
from putt_posture.values import Clip, Floats, Track

__all__ = [
    "LEAST_QUIET_S",
    "LEVEL_MEAN_S",
    "LEVEL_STEP_S",
    "Activity",
    "Stretch",
    "find_quiet",
    "measure_activity",
]

Flags = NDArray[np.bool_]
Stretch = tuple[float, float]
"""Start and end, real seconds."""

LEAST_QUIET_S: Final = 0.5
"""Shorter stillness is the turn of a swing or a pause in a waggle, s."""

LEVEL_STEP_S: Final = 1 / 30
_DESPIKE_S: Final = 0.1
"""Key frames of a compressed clip give one high reading, repeated frames give 0; a median over this time removes both,
s."""
LEVEL_MEAN_S: Final = 0.2
"""Time over which the level is averaged, s: a sixth of a stroke."""
_LONGEST_GAP_S: Final = 0.25
"""Without a reading for longer than this on either side, the level is unknown, s."""
_EDGE_S: Final = 0.3
"""The ends of an address are left out of the noise, s: the student is coming or going there."""
_NOISE_SIGMAS: Final = 5.0
_FLOOR_SHARE: Final = 0.04
"""Quiet ends at least this many deviations, and this share of the noise, above the noise."""
_MOST_SPREAD: Final = 0.06
"""Largest spread as a share of the noise. A larger one is not noise but a hand-held camera, which is steadier at some
times than at others."""
_STROKE_SHARE: Final = 0.15
"""Quiet ends below this share of the way from the noise to the clip's strongest stroke."""


@frozen(kw_only=True, eq=False)
class Activity:
    """The level of motion on an even grid.

    Attributes
    ----------
    times_s : (G,)
        Real seconds, 1/30 s apart.
    level : (G,)
        Averaged motion; NaN where unknown.
    at_address : (G,) bool
        Whether the landmarks look like an address.
    floor, spread : float
        Noise of the still picture at address and its standard deviation.
    """

    times_s: Floats
    level: Floats = field(repr=False)
    at_address: Flags = field(repr=False)
    floor: float
    spread: float

    def threshold(self, stroke_peak: float | None = None) -> float:
        """Return the level below which it is quiet.

        Parameters
        ----------
        stroke_peak : float or None
            Peak activity of the stroke; None where there is none.
        """
        over = max(_NOISE_SIGMAS * self.spread, _FLOOR_SHARE * self.floor)
        if stroke_peak is not None:
            over = max(over, _STROKE_SHARE * (stroke_peak - self.floor))
        return self.floor + over

    def inside(self, start_s: float, stop_s: float) -> slice:
        """Return the grid points from start to stop.

        Parameters
        ----------
        start_s : float
            Real seconds.
        stop_s : float
            Real seconds.
        """
        first, last = np.searchsorted(self.times_s, [start_s, stop_s])
        return slice(int(first), max(int(last), int(first) + 1))


def measure_activity(track: Track, clip: Clip, signals: Signals) -> Activity:
    """Average the motion readings and estimate the clip's noise from the frames at address.

    Parameters
    ----------
    track : Track
    clip : Clip
        For the ratio of clip time to real time.
    signals : Signals
        Of the same track.

    Returns
    -------
    Activity
        Empty where there are fewer than two readings.
    """
    times_s = np.asarray(track.motion_times_s, dtype=np.float64) / clip.time_stretch
    motion = np.asarray(track.motion, dtype=np.float64)
    known = np.isfinite(motion)
    times_s, motion = times_s[known], motion[known]
    if len(times_s) < 2:
        nothing = np.zeros(0)
        return Activity(times_s=nothing, level=nothing, at_address=nothing.astype(bool), floor=0.0, spread=0.0)
    size = max(3, 2 * round(_DESPIKE_S / float(np.median(np.diff(times_s))) / 2) + 1)
    motion = median_filter(motion, size=size, mode="nearest")
    grid = times_s[0] + LEVEL_STEP_S * np.arange(int((times_s[-1] - times_s[0]) / LEVEL_STEP_S + 1e-6) + 1)
    size = round(LEVEL_MEAN_S / LEVEL_STEP_S) + 1
    level = uniform_filter1d(np.interp(grid, times_s, motion), size=size, mode="nearest")
    after = np.clip(np.searchsorted(times_s, grid), 1, len(times_s) - 1)
    level[times_s[after] - times_s[after - 1] > 2 * _LONGEST_GAP_S] = np.nan
    at_address = signals.address_like_at(grid)
    calm = binary_erosion(at_address, iterations=round(_EDGE_S / LEVEL_STEP_S), border_value=1) & np.isfinite(level)
    floor, spread = _noise(level[calm])
    return Activity(times_s=grid, level=level, at_address=at_address, floor=floor, spread=spread)


def find_quiet(activity: Activity, threshold: float, *, only: Flags | None = None) -> list[Stretch]:
    """Return the stretches at address that stay below the threshold for `LEAST_QUIET_S`, within `only` where given.

    Parameters
    ----------
    activity : Activity
    threshold : float
        Level of activity, as `Activity.threshold`.
    only : (N,) bool, optional
        Grid points that may be in a stretch.
    """
    with np.errstate(invalid="ignore"):
        quiet = (activity.level <= threshold) & activity.at_address
    if only is not None:
        quiet &= only
    stretches = [(float(activity.times_s[first]), float(activity.times_s[last])) for first, last in find_runs(quiet)]
    return [(start, stop) for start, stop in stretches if stop - start >= LEAST_QUIET_S - LEVEL_STEP_S / 2]


def _noise(level: Floats) -> tuple[float, float]:
    """Return the noise and its spread from the quietest sixth.

    The student is still for a third of the address or more, so the 15th percentile is the middle of the noise or a
    little below it, and the 2nd is 1.0 to 1.5 standard deviations below that (normal distribution).
    """
    if not len(level):
        return 0.0, 0.0
    low, floor = np.quantile(level, [0.02, 0.15])
    return float(floor), float(min((floor - low) / 1.2, _MOST_SPREAD * floor))
