"""When a stroke starts, is at its top, meets the ball and ends.

No threshold tells the start: the first crossing of 2 mm comes 0.09 s late on a backswing of 0.67 s. A movement whose
start, top, impact, finish and shape are unknown is laid over the frames, with the noise that was measured at address
in the same clip. Times that go in and come out are clip time in seconds.
"""

from collections.abc import Mapping

from putt_posture.values import Estimate, SeenStroke, StrokeEvent

__all__ = ["find_events"]


def find_events(
    seen: SeenStroke,
    *,
    time_stretch: float = 1.0,
    placed: Mapping[StrokeEvent, float] | None = None,
    others: Mapping[StrokeEvent, Estimate] | None = None,
    shift_s: Estimate | None = None,
) -> dict[StrokeEvent, Estimate]:
    """Find the four events of one stroke.

    Parameters
    ----------
    seen : SeenStroke
    time_stretch : float
        Clip seconds in a real second.
    placed : mapping of StrokeEvent to float, optional
        Clip times that the coach gave by hand for this stroke.
    others : mapping of StrokeEvent to Estimate, optional
        Events of the same stroke in the other view, where both clips film one performance; its clip time.
    shift_s : Estimate, optional
        What is added to a time of the other clip to get the time of this one, s; needed with `others`.

    Returns
    -------
    dict of StrokeEvent to Estimate
        Clip times, s, all four names; absent with the reason. A placed one keeps the automatic value.
    """
    raise NotImplementedError
