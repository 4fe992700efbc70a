"""How much points scatter while nothing moves, read from the still part of the same clip.

The quick part (what the model scatters from frame to frame) and the slow sway of the body are told apart: a change of
place between two moments of one stroke holds both, a mean over neighbouring frames only takes down the first. Values
are of any unit; times are seconds, uneven where frames are.
"""

from attrs import field, frozen

from putt_posture.values import Floats

__all__ = ["Noise", "measure_noise"]


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
        How long the slow part is correlated, s.
    frames : int
        Still frames that were used.
    """

    quick: Floats
    memory_s: float
    sway: Floats
    sway_memory_s: float
    frames: int = field(default=0)

    def covariance(self, times_s: Floats, series: int = 0) -> Floats:
        """Return the covariance (N, N) of one series at given times, unit squared.

        Parameters
        ----------
        times_s : (N,)
        series : int
            Which of the D series.
        """
        raise NotImplementedError

    def independent(self, times_s: Floats) -> float:
        """Return how many independent frames these frames are worth for a mean, as far as the quick part goes.

        Parameters
        ----------
        times_s : (N,)
        """
        raise NotImplementedError


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
        Of D series; one for (N,).
    """
    raise NotImplementedError
