"""Tell a whole body from one that the model has folded up.

Face on, with the trunk leaning toward the camera, the model sometimes takes the arms for the legs: hips, knees and
feet land on shoulders, elbows and hands, with good visibility scores. A leg then is no longer than an arm.
"""

from typing import Final

import numpy as np

from putt_posture.landmarks.person import Person
from putt_posture.values import LANDMARK_INDEX

__all__ = ["LEG_TO_ARM", "is_whole"]

LEG_TO_ARM: Final = 1.05
"""Least length of a leg (hip to knee to ankle) in lengths of an arm (shoulder to elbow to wrist), as seen.

Anatomically about 1.5 (Drillis and Contini 1966, as printed in Winter 2009, fig. 4.1: 0.491 to 0.332 of stature); on
128 pictures of rendered golfers the least was 1.25, and 0.87 in the one that was folded up.
"""


def is_whole(person: Person) -> bool:
    """Return whether the legs are longer than the arms, as they are on anybody who stands."""
    return _length(person, "hip", "knee", "ankle") >= LEG_TO_ARM * _length(person, "shoulder", "elbow", "wrist")


def _length(person: Person, *parts: str) -> float:
    total = 0.0
    for side in ("left", "right"):
        points = person.points_px[[LANDMARK_INDEX[f"{side}_{part}"] for part in parts]]
        total += float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
    return total
