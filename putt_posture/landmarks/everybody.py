"""Find everybody in a picture, also those whom the pose model passes over for someone else.

With several people near each other the model often returns one and misses the rest, whatever number it was asked
for. So those found are painted over and the picture is looked at again.
"""

from collections.abc import Sequence
from typing import Final

import cv2
import numpy as np

from putt_posture.landmarks.identities import without_doubles
from putt_posture.landmarks.model import PoseModel
from putt_posture.landmarks.person import Person
from putt_posture.values import LANDMARK_INDEX, Picture

__all__ = ["find_everybody", "paint_over"]

LIMB: Final = 0.5
"""Width of the stroke that hides a limb, trunk lengths: wide enough for loose clothes; a box would hide neighbours."""

HEAD: Final = 0.35
"""Radius of the disc that hides the head, trunk lengths."""

GREY: Final = (128, 128, 128)

_LIMBS: Final = [
    tuple(LANDMARK_INDEX[f"{side}_{part}"] for part in parts)
    for side in ("left", "right")
    for parts in (("shoulder", "elbow", "wrist"), ("hip", "knee", "ankle", "foot_index"))
]
_TRUNK: Final = [LANDMARK_INDEX[name] for name in ("left_shoulder", "right_shoulder", "right_hip", "left_hip")]
_EARS: Final = [LANDMARK_INDEX["left_ear"], LANDMARK_INDEX["right_ear"]]
_LEAST_WIDTH: Final = 2


def find_everybody(model: PoseModel, picture: Picture) -> list[Person]:
    """Find the people in a picture, then those who show once the first are painted over.

    Parameters
    ----------
    model : PoseModel
    picture : (H, W, 3) uint8

    Returns
    -------
    list of Person
        In pixels of this picture, each person once.
    """
    first = model.find_people(picture)
    if not first:
        return []
    return without_doubles([*first, *model.find_people(paint_over(picture, first))])


def paint_over(picture: Picture, people: Sequence[Person]) -> Picture:
    """Return a copy of the picture in which people are hidden under grey paint.

    Parameters
    ----------
    picture : (H, W, 3) uint8
    people : sequence of Person
        In pixels of this picture.
    """
    painted = picture.copy()
    for person in people:
        points = np.rint(person.points_px).astype(np.int32)
        width = max(round(LIMB * person.torso_length), _LEAST_WIDTH)
        for limb in _LIMBS:
            cv2.polylines(painted, [points[list(limb)]], False, GREY, width)
        cv2.fillConvexPoly(painted, cv2.convexHull(points[_TRUNK]), GREY)
        cv2.polylines(painted, [points[_TRUNK]], True, GREY, width)
        head = points[_EARS].mean(axis=0)
        neck = points[_TRUNK[:2]].mean(axis=0)
        cv2.circle(painted, _pixel(head), max(round(HEAD * person.torso_length), 1), GREY, -1)
        cv2.line(painted, _pixel(head), _pixel(neck), GREY, width)
    return painted


def _pixel(point: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> tuple[int, int]:
    return int(point[0]), int(point[1])
