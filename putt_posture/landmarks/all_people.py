"""Find all people in a picture, including those whom the pose model misses beside another.

With several people near each other the model often returns one and misses the rest, even when more are asked for. So
the people that were found are painted over and the model runs again.
"""

from collections.abc import Sequence
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from putt_posture.landmarks.identities import without_duplicates
from putt_posture.landmarks.model import PoseModel
from putt_posture.landmarks.person import Person
from putt_posture.values import LANDMARK_INDEX, Picture

__all__ = ["find_all_people", "paint_over", "share_painted"]

LIMB: Final = 0.5
"""Width of the stroke that hides a limb, trunk lengths: wide enough for loose clothes; a box would hide neighbours."""

HEAD: Final = 0.35
"""Radius of the disc that hides the head, trunk lengths."""

GHOST: Final = 0.4
"""A detection with this share of its joints on the paint is a figure that the model sees in the paint: people had below
0.2, figures in the paint above 0.6."""

GREY: Final = (128, 128, 128)

_LIMBS: Final = [
    tuple(LANDMARK_INDEX[f"{side}_{part}"] for part in parts)
    for side in ("left", "right")
    for parts in (("shoulder", "elbow", "wrist"), ("hip", "knee", "ankle", "foot_index"))
]
_TRUNK: Final = [LANDMARK_INDEX[name] for name in ("left_shoulder", "right_shoulder", "right_hip", "left_hip")]
_MAIN: Final = [
    LANDMARK_INDEX[name]
    for name in (
        "nose",
        *(f"{side}_{part}" for side in ("left", "right") for part in ("shoulder", "elbow", "hip", "knee", "ankle")),
    )
]
_EARS: Final = [LANDMARK_INDEX["left_ear"], LANDMARK_INDEX["right_ear"]]
_LEAST_WIDTH: Final = 2


def find_all_people(model: PoseModel, picture: Picture) -> list[Person]:
    """Find the people in a picture, and then more people with the first ones painted over.

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
    painted = paint_over(picture, first)
    paint = np.any(painted != picture, axis=2)
    others = [person for person in model.find_people(painted) if share_painted(person, paint) < GHOST]
    return without_duplicates([*first, *others])


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


def share_painted(person: Person, paint: NDArray[np.bool_]) -> float:
    """Return the share of the main joints that lie on the paint (H, W), of those inside the picture.

    Parameters
    ----------
    person : Person
    paint : (H, W) bool
        True on the paint; pixels of the same picture.
    """
    height, width = paint.shape
    u, v = np.rint(person.points_px[_MAIN]).astype(int).T
    inside = (u >= 0) & (u < width) & (v >= 0) & (v < height)
    return float(paint[v[inside], u[inside]].mean()) if inside.any() else 1.0


def _pixel(point: NDArray[np.float64]) -> tuple[int, int]:
    return int(point[0]), int(point[1])
