"""How long the parts of a stroke take, and the ratio back : through, from its events."""

from collections.abc import Mapping

from putt_posture.values import Estimate, StrokeEvent

__all__ = ["honest_decimals", "measure_durations"]


def measure_durations(events: Mapping[StrokeEvent, Estimate], *, time_stretch: float = 1.0) -> dict[str, Estimate]:
    """Return the durations between the events of one stroke.

    Parameters
    ----------
    events : mapping of StrokeEvent to Estimate
        Clip times, s, of one view.
    time_stretch : float
        Clip seconds in a real second.

    Returns
    -------
    dict of str to Estimate
        ``backswing_time``, ``through_time`` and ``follow_time``, real s, and ``tempo_ratio`` (unit ``ratio``); absent
        with the reason. The ratio counts that both its parts share the top.
    """
    raise NotImplementedError


def honest_decimals(margin: float, *, most: int = 2) -> int:
    """Return how many decimals a number with this 95 % margin may be printed with.

    Parameters
    ----------
    margin : float
        Half of the 95 % interval, unit of the number.
    most : int
        Never more than these.

    Examples
    --------
    >>> honest_decimals(0.25), honest_decimals(0.04), honest_decimals(3.0)
    (1, 2, 0)
    """
    raise NotImplementedError
