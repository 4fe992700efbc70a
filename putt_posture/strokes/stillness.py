"""How still head, sternum, hips and knees are from start to impact: how far, which way, with the hands or against them.

The largest value of a noisy path is larger than that of the true one. What noise adds on average is taken out by its
square, and counted in full as uncertainty too.
"""

import math
from collections.abc import Mapping
from typing import Any, Final

import numpy as np

from putt_posture.strokes.budget import missing, settle
from putt_posture.strokes.paths import PointPath
from putt_posture.values import Estimate, StrokeEvent, StrokePath, View, WithHands

__all__ = ["STILL_POINTS", "find_with_hands", "measure_stillness"]

STILL_POINTS: Final = ("head", "sternum", "hips", "knees")
_WAYS: Final[Mapping[View, tuple[tuple[str, int], ...]]] = {
    "face_on": (("along", 0), ("up", 1)),
    "down_the_line": (("across", 0),),
}
_SURE: Final = 2.0
"""A movement with the hands or against them is said where it is so many standard uncertainties."""
_LIKE: Final = 0.5
"""Least likeness of two movements, −1 to 1, from which one is said to go with the other, or against it (judged)."""


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


def find_with_hands(
    numbers: Mapping[Any, Estimate], paths: Mapping[str, PointPath | StrokePath], events: Mapping[StrokeEvent, Estimate]
) -> dict[str, WithHands]:
    """Find which points go along the line with the hands, and which against them, face on, from start to impact.

    A point does where it moves by more than its uncertainty, and as the hands do or the opposite way (the correlation
    of both movements from their place at address).

    Parameters
    ----------
    numbers : mapping of str to Estimate
        As `measure_stillness` measured them.
    paths : mapping of str to PointPath
    events : mapping of StrokeEvent to Estimate
        Clip times.

    Returns
    -------
    dict of str to WithHands
        Of each of `STILL_POINTS`; ``neither`` too where the movement or a path is not known.
    """
    return {
        point: _with_hands(numbers.get(f"{point}_along"), paths.get(point), paths.get("hands"), events)
        for point in STILL_POINTS
    }


def _with_hands(
    number: Estimate | None,
    other: PointPath | StrokePath | None,
    hands: PointPath | StrokePath | None,
    events: Mapping[StrokeEvent, Estimate],
) -> WithHands:
    if not number or abs(number.value) < _SURE * number.standard_uncertainty or hands is None or other is None:
        return "neither"
    inside = (hands.times_s >= events["start"].value) & (hands.times_s <= events["impact"].value)
    ways = np.stack([path.moved_cm[inside, 0] for path in (hands, other)])
    ways = ways[:, np.isfinite(ways).all(axis=0)]
    size = math.sqrt(float((ways[0] ** 2).sum() * (ways[1] ** 2).sum()))
    alike = float((ways[0] * ways[1]).sum()) / size if size > 0 else 0.0
    return "neither" if abs(alike) < _LIKE else "with" if alike > 0 else "against"
