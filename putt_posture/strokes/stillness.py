"""How still head, sternum, hips and knees are from start to impact: how far, which way, with the hands or against them.

The largest value of a noisy path is larger than that of the true one. What noise adds on average is taken out by its
square, and counted in full as uncertainty too.
"""

import math
from collections.abc import Mapping
from typing import Final, Literal

import numpy as np

from putt_posture.strokes.budget import missing, settle
from putt_posture.strokes.paths import PointPath
from putt_posture.values import Estimate, Floats, Stroke, StrokeEvent, View

__all__ = ["STILL_POINTS", "WithHands", "find_with_hands", "measure_stillness", "say_with_hands"]

STILL_POINTS: Final = ("head", "sternum", "hips", "knees")
WithHands = Literal["with", "against", "neither"]
_WAYS: Final[Mapping[View, tuple[tuple[str, int], ...]]] = {
    "face_on": (("along", 0), ("up", 1)),
    "down_the_line": (("across", 0),),
}
_SURE: Final = 2.0
"""A movement with the hands or against them is said where it is so many standard uncertainties."""


def measure_stillness(
    paths: Mapping[str, PointPath], events: Mapping[StrokeEvent, Estimate], *, view: View
) -> dict[str, Estimate]:
    """Return how far each point moved each way that a view shows, present or absent.

    Parameters
    ----------
    paths : mapping of str to PointPath
    events : mapping of StrokeEvent to Estimate
        Clip times.
    view : View
    """
    numbers = {}
    for point in STILL_POINTS:
        for way, axis in _WAYS[view]:
            name = f"{point}_{way}"
            numbers[name] = _largest(name, paths.get(point), events, axis, view, f"The {point} were not seen"
                                     if point in ("hips", "knees") else f"The {point} was not seen")  # fmt: skip
    return numbers


def _largest(
    name: str,
    path: PointPath | None,
    events: Mapping[StrokeEvent, Estimate],
    axis: int,
    view: View,
    unseen: str,
) -> Estimate:
    if path is None:
        return missing(name, f"{unseen} through the stroke.", view=view)
    for event in ("start", "impact"):
        if not events[event]:
            return missing(name, events[event].absent or "", view=view)
    inside = (path.times_s >= events["start"].value) & (path.times_s <= events["impact"].value)
    inside &= np.isfinite(path.moved_cm[:, axis])
    if not inside.any():
        return missing(name, f"{unseen} between start and impact.", view=view)
    index = int(np.flatnonzero(inside)[np.argmax(np.abs(path.moved_cm[inside, axis]))])
    seen = float(path.moved_cm[index, axis])
    noise = math.hypot(path.noise_cm[index, axis], path.address_sd_cm[axis])
    value = math.copysign(math.sqrt(max(seen**2 - noise**2, 0.0)), seen)
    causes = {
        "landmark noise": noise,
        "largest of noisy values": seen - value,
        **{cause: float(effect[index, axis]) for cause, effect in path.effects_cm.items()},
    }
    return settle(name, value, causes, view=view, frames=int(inside.sum()), method=f"landmarks of the {path.point}")


def find_with_hands(stroke: Stroke, point: str) -> WithHands:
    """Find whether a point goes with the hands or against them along the line, face on, from start to impact.

    Parameters
    ----------
    stroke : Stroke
        Face on.
    point : str
        One of `STILL_POINTS`.

    Returns
    -------
    WithHands
        ``neither`` where the movement is not more than its uncertainty, or the paths are not known.
    """
    number = next((found for name, found in stroke.numbers.items() if name == f"{point}_along"), None)
    if not number or abs(number.value) < _SURE * number.standard_uncertainty or "hands" not in stroke.paths:
        return "neither"
    hands, other = stroke.paths["hands"], stroke.paths[point]
    start, impact = stroke.events["start"], stroke.events["impact"]
    inside = (hands.times_s >= start.value) & (hands.times_s <= impact.value)
    together = np.nansum(_moved(hands.moved_cm[inside]) * _moved(other.moved_cm[inside]))
    return "with" if together > 0 else "against" if together < 0 else "neither"


def _moved(moved_cm: Floats) -> Floats:
    return moved_cm[:, 0]


def say_with_hands(stroke: Stroke, point: str) -> str:
    """Return the words for the direction of a movement against the hands'; empty where there are none to say.

    Parameters
    ----------
    stroke : Stroke
        Face on.
    point : str
        One of `STILL_POINTS`.
    """
    found = find_with_hands(stroke, point)
    return "" if found == "neither" else "with the hands" if found == "with" else "against the hands"
