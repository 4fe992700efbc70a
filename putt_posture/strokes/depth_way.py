"""How far a point goes toward the camera in a stroke, by the other view or, without one, by what is usual.

Down the line the stroke itself goes toward the camera and away from it, and what is nearer looks larger.
"""

from collections.abc import Mapping
from typing import Final

import numpy as np
from attrs import field, frozen

from putt_posture.values import STROKE_EVENTS, Estimate, Floats, StrokeEvent

__all__ = ["USUAL_WAY_SD", "DepthWay", "usual_way", "warp_times"]

USUAL_WAY_CM: Final[Mapping[str, tuple[float, float]]] = {"hands": (10.5, 12.5), "putter_head": (24.0, 29.0)}
"""How far a stroke goes back and through along the line where no face-on clip shows it, cm: 24 cm of the putter head
(99 tour players on putts of 13 ft, quoted in a newsletter), and 0.44 of that for the hands."""
USUAL_WAY_SD: Final = 0.4
"""One sigma of it, as a share."""
_FEWEST: Final = 3
"""Events that two strokes must share for one to be laid over the other."""


@frozen(kw_only=True, eq=False)
class DepthWay:
    """How a point moves toward the camera during a stroke.

    Attributes
    ----------
    toward_cm : (N,)
        Against address, + = nearer to the camera.
    share_sd : float
        One sigma, as a share of it.
    """

    toward_cm: Floats = field(repr=False)
    share_sd: float


def warp_times(
    times_s: Floats, events: Mapping[StrokeEvent, Estimate], others: Mapping[StrokeEvent, Estimate], *, stretch: float
) -> Floats | None:
    """Return the clip times in another stroke that are at the same phase, (N,) s; None where too few events are known.

    Between events time runs evenly; before the first and after the last a second is a second.

    Parameters
    ----------
    times_s : (N,)
        Of this stroke.
    events, others : mapping of StrokeEvent to Estimate
        Of this stroke and of the other.
    stretch : float
        Clip seconds of the other clip in one of this clip.
    """
    both = [name for name in STROKE_EVENTS if events[name] and others[name]]
    if len(both) < _FEWEST:
        return None
    here = np.array([events[name].value for name in both])
    there = np.array([others[name].value for name in both])
    if np.any(np.diff(here) <= 0) or np.any(np.diff(there) <= 0):
        return None
    inside = np.interp(times_s, here, there)
    before, after = np.minimum(times_s - here[0], 0.0), np.maximum(times_s - here[-1], 0.0)
    return np.asarray(inside + stretch * (before + after))


def usual_way(point: str, times_s: Floats, events: Mapping[StrokeEvent, Estimate]) -> Floats | None:
    """Return how far a point usually is along the line at these times, (N,) cm, + toward the target.

    Half waves between the events: only the size of a depth follows from it. None where the events are not known.

    Parameters
    ----------
    point : str
        ``hands`` or ``putter_head``.
    times_s : (N,)
    events : mapping of StrokeEvent to Estimate
    """
    if not all(events[name] for name in ("start", "top", "impact")) or point not in USUAL_WAY_CM:
        return None
    back, through = USUAL_WAY_CM[point]
    start, top, impact = (events[name].value for name in ("start", "top", "impact"))
    finish = events["finish"].value if events["finish"] else impact + (impact - top) * 1.2
    at_top = 0.5 - 0.5 * np.cos(np.pi * np.clip((times_s - start) / max(top - start, 1e-3), 0, 1))
    down = 1 - np.cos(np.pi / 2 * np.clip((times_s - top) / max(impact - top, 1e-3), 0, 1))
    on = np.sin(np.pi / 2 * np.clip((times_s - impact) / max(finish - impact, 1e-3), 0, 1))
    return np.asarray(-back * at_top + back * down + through * on)
