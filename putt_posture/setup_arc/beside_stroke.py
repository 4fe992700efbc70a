"""The arc that was measured beside the arc that the setup predicts.

Of the measured path only the bow is compared: how far inside a straight line through the ball the head is on both
sides. A path that runs off to one side as a whole, or a camera that stood off square, tilts that line and does not bend
it, so neither is in the bow.
"""

import math
from typing import Final

from putt_posture.values import Arc, Estimate, Strokes, absent

__all__ = ["measure_bow", "set_beside"]

_CANCELS: Final = "camera off square"
_NEEDED: Final = ("putter_back", "putter_through", "putter_sideways_back", "putter_sideways_through")
_LEAST_WAY_CM: Final = 5.0


def measure_bow(strokes: Strokes, *, half_stroke_cm: float) -> Estimate:
    """Return how far inside a straight line the putter head is at the ends of a stroke of some length, cm; − outside.

    A parabola through address, top and finish, y = b·x + c·x², read off as −c·h².

    Parameters
    ----------
    strokes : Strokes
        With lengths from the view face on and the way sideways from the view down the line.
    half_stroke_cm : float
        How far to either side of the ball the bow is told, cm.

    Returns
    -------
    Estimate
        Absent, with the reason, where one of the four numbers is.
    """
    parts = [next((found for each, found in strokes.numbers.items() if each == name), None) for name in _NEEDED]
    if not strokes or any(part is None for part in parts):
        return absent(strokes.why_none or "No stroke was measured.", unit="cm", view="down_the_line")
    reason = next((part.absent for part in parts if part is not None and not part), None)
    if reason is not None:
        return absent(reason, unit="cm", view="down_the_line")
    back, through, side_back, side_through = (part for part in parts if part is not None)
    if back.value < _LEAST_WAY_CM or through.value < _LEAST_WAY_CM:
        return absent("The stroke is too short for its arc to be measured.", unit="cm", view="down_the_line")

    def bow(lengths: tuple[float, float], sides: tuple[float, float]) -> float:
        first, last = sides[0] / -lengths[0], sides[1] / lengths[1]
        return half_stroke_cm**2 * (first - last) / (lengths[0] + lengths[1])

    lengths, sides = (back.value, through.value), (side_back.value, side_through.value)
    value = bow(lengths, sides)
    sideways = [
        bow(lengths, (sides[0] + _own_sd(side_back), sides[1])) - value,
        bow(lengths, (sides[0], sides[1] + _own_sd(side_through))) - value,
    ]
    along = [
        bow((lengths[0] + back.standard_uncertainty, lengths[1]), sides) - value,
        bow((lengths[0], lengths[1] + through.standard_uncertainty), sides) - value,
    ]
    budget = {"way sideways": math.hypot(*sideways), "lengths": math.hypot(*along)}
    return Estimate(
        value=value,
        standard_uncertainty=math.hypot(*budget.values()),
        unit="cm",
        view="down_the_line",
        frames=min(side_back.frames, side_through.frames),
        method="bow through address, top and finish of the putter head",
        budget=budget,
    )


def set_beside(strokes: Strokes, arc: Arc) -> tuple[Estimate, Estimate]:
    """Set the measured bow beside the arc of the setup, over the same length of stroke.

    Parameters
    ----------
    strokes : Strokes
    arc : Arc
        That the filmed setup predicts; may be absent.

    Returns
    -------
    measured : Estimate
        How far inside the line the head was at the ends, cm; absent with the reason.
    difference : Estimate
        Measured less predicted, cm; absent where one of them is.
    """
    measured = measure_bow(strokes, half_stroke_cm=arc.half_stroke_cm)
    lacking = next((each for each in (measured, arc.depth) if not each), None)
    if lacking is not None:
        return measured, absent(str(lacking.absent), unit="cm", view="down_the_line")
    difference = Estimate(
        value=measured.value - arc.depth.value,
        standard_uncertainty=math.hypot(measured.standard_uncertainty, arc.depth.standard_uncertainty),
        unit="cm",
        view="down_the_line",
        frames=measured.frames,
        method="measured arc less that of the setup",
        budget={"measured": measured.standard_uncertainty, "predicted": arc.depth.standard_uncertainty},
    )
    return measured, difference


def _own_sd(estimate: Estimate) -> float:
    """Return the uncertainty without that of a camera off square, which tilts the line and does not bend it."""
    kept = [share for cause, share in estimate.budget.items() if cause != _CANCELS]
    return math.hypot(*kept) if kept else estimate.standard_uncertainty
