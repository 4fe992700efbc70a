"""How long the parts of a stroke take, and the ratio back : through, from its events."""

from collections.abc import Mapping
from typing import Final

import numpy as np

from putt_posture.values import Estimate, StrokeEvent, absent

__all__ = ["measure_durations"]

_PARTS: Final[dict[str, tuple[StrokeEvent, StrokeEvent]]] = {
    "backswing_time": ("start", "top"),
    "through_time": ("top", "impact"),
    "follow_time": ("impact", "finish"),
}
_LEAST_PART_S: Final = 0.05
"""Shorter parts are no part of a stroke: an event was found at a wrong place."""


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
        with the reason. The budget has one part for each event. The ratio counts that both its parts share the top: a
        top that is found late makes one longer and the other shorter.
    """
    result = {name: _part(events, name, time_stretch) for name in _PARTS}
    back, through = result["backswing_time"], result["through_time"]
    lacking = next((each for each in (back, through) if not each), None)
    if lacking is not None:
        result["tempo_ratio"] = absent(str(lacking.absent), unit="ratio", view=lacking.view)
        return result
    ratio = back.value / through.value
    slopes: dict[StrokeEvent, float] = {"start": 1.0, "top": 1.0 + ratio, "impact": ratio}
    budget: dict[str, float] = {
        event: slope * events[event].standard_uncertainty / time_stretch / through.value
        for event, slope in slopes.items()
    }
    automatic = None
    if back.by_hand or through.by_hand:
        parts = [each.automatic if each.by_hand else each.value for each in (back, through)]
        automatic = parts[0] / parts[1] if parts[0] is not None and parts[1] else None
    result["tempo_ratio"] = Estimate(
        value=ratio,
        standard_uncertainty=float(np.linalg.norm(list(budget.values()))),
        unit="ratio",
        view=back.view,
        frames=back.frames,
        method="time back over time through",
        floor=0.0,
        budget=budget,
        by_hand=tuple(dict.fromkeys((*back.by_hand, *through.by_hand))),
        automatic=automatic,
    )
    return result


def _part(events: Mapping[StrokeEvent, Estimate], name: str, time_stretch: float) -> Estimate:
    """Return one duration, real s."""
    first, last = (events[event] for event in _PARTS[name])
    lacking = next((each for each in (first, last) if not each), None)
    if lacking is not None:
        return absent(str(lacking.absent), unit="s", view=first.view)
    value = (last.value - first.value) / time_stretch
    if value < _LEAST_PART_S:
        begins, ends = _PARTS[name]
        reason = f"The {ends} was found before the {begins} of the stroke, or at once after it: one of them is wrong."
        return absent(reason, unit="s", view=first.view)
    budget: dict[str, float] = {event: events[event].standard_uncertainty / time_stretch for event in _PARTS[name]}
    by_hand = tuple(dict.fromkeys((*first.by_hand, *last.by_hand)))
    automatic = None
    if by_hand:
        begins_s, ends_s = (each.automatic if each.by_hand else each.value for each in (first, last))
        automatic = (ends_s - begins_s) / time_stretch if begins_s is not None and ends_s is not None else None
    return Estimate(
        value=value,
        standard_uncertainty=float(np.linalg.norm(list(budget.values()))),
        unit="s",
        view=first.view,
        frames=min(first.frames, last.frames),
        method=f"from {' to '.join(_PARTS[name])}",
        floor=0.0,
        budget=budget,
        by_hand=by_hand,
        automatic=automatic,
    )
