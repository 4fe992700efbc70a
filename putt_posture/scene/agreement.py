"""Consistency of what was typed and drawn: a known length in the picture and the student's height."""

import math

from putt_posture.figures import format_given, format_length, format_value
from putt_posture.values import NORMAL_95, VIEW_TITLES, Estimate, ScaleSource, View

__all__ = ["differ", "warn_of_scale"]


def differ(scale: Estimate, stature: Estimate) -> float:
    """Return the logarithm of the ratio of two scales; 0 where their uncertainties allow the difference.

    Parameters
    ----------
    scale, stature : Estimate
        px/cm of one picture, errors independent of each other.
    """
    apart = math.log(scale.value / stature.value)
    allowed = math.hypot(scale.standard_uncertainty / scale.value, stature.standard_uncertainty / stature.value)
    return apart if abs(apart) > NORMAL_95 * allowed else 0.0


def warn_of_scale(
    scale: Estimate, source: ScaleSource, stature: Estimate, *, view: View, stature_cm: float, length_cm: float
) -> tuple[str, ...]:
    """Return a sentence where a known length that was drawn disagrees with the stature beyond their uncertainties.

    Parameters
    ----------
    scale : Estimate
        px/cm by the length; it is used in any case, since it was given for that.
    source : ScaleSource
        ``object`` or ``putter``.
    stature : Estimate
        px/cm by the stature.
    view : View
    stature_cm : float
        As typed.
    length_cm : float
        Of the object or putter, as typed.
    """
    apart = differ(scale, stature)
    if apart == 0.0:
        return ()
    looks_cm = math.exp(apart) * length_cm
    tall_cm = math.exp(-apart) * stature_cm
    what, option = {
        "putter": ("the putter", "--shaft-at, --putter-length"),
        "object": ("the known length", "--scale-object"),
    }[source]
    lengths = [
        format_length(each) if source == "putter" else format_given(each, "cm") for each in (length_cm, looks_cm)
    ]
    return (
        f"{VIEW_TITLES[view]} {what} of {lengths[0]} looks {lengths[1]} long by the student's height, and by it the "
        f"student looks {format_value(tall_cm, 'cm')} tall, but {format_given(stature_cm, 'cm')} was typed; they "
        f"differ by more than their uncertainties allow. The scale is from {what}; check {option} and --height.",
    )
