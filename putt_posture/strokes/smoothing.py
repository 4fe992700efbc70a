"""Series of a stroke made smooth, with the uncertainty of each smoothed value; never across impact.

A cubic smoothing spline does to evenly timed frames what a second-order Butterworth filter does when it runs forward
and back, and it takes the frames' own uneven times, gaps and ends as they are. Times are real seconds, cutoffs Hz at
-3 dB.
"""

from collections.abc import Sequence

from attrs import field, frozen

from putt_posture.strokes.noise import Noise
from putt_posture.values import Floats

__all__ = ["Smoothed", "smooth_series"]


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
        One sigma of `values`: noise that went through, and what the smoothing took off.
    cutoff_hz : (S,)
        -3 dB cutoff of each part between breaks; NaN for a part without frames.
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
    longest_gap_s: float = 0.1,
) -> Smoothed:
    """Smooth D series that belong together, each part between breaks by itself.

    Parameters
    ----------
    times_s : (N,)
        Seconds, increasing; uneven where frames are.
    values : (N,) or (N, D)
        NaN where not seen.
    noise : Noise
        Of these D series (`measure_noise`).
    breaks_s : sequence of float
        Moments across which nothing is smoothed: impact.
    cutoff_hz : float, optional
        -3 dB; found from the noise where not given, one for all series of a part.
    longest_gap_s : float
        Longer gaps between seen frames stay NaN, s.

    Returns
    -------
    Smoothed
    """
    raise NotImplementedError
