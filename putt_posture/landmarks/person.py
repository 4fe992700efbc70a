"""One person as the pose model finds them in a picture; wrong folded-up detections, and mirror images.

Points are pixels of that picture, origin top left, u right, v down; left and right are the person's own.

Face on, with the trunk leaning toward the camera, the model sometimes mistakes the arms for the legs: hips, knees and
feet land on shoulders, elbows and hands, with good visibility scores. A leg then is no longer than an arm.
"""

from typing import Final

import numpy as np
from attrs import evolve, field, frozen
from numpy.typing import NDArray

from putt_posture.landmarks.swaps import GROUPS
from putt_posture.values import LANDMARK_INDEX, LANDMARK_NAMES, Floats

__all__ = ["LEG_TO_ARM", "Person", "average", "is_plausible", "mirrored"]

_SHOULDERS = [LANDMARK_INDEX["left_shoulder"], LANDMARK_INDEX["right_shoulder"]]
_HIPS = [LANDMARK_INDEX["left_hip"], LANDMARK_INDEX["right_hip"]]


@frozen(kw_only=True, eq=False)
class Person:
    """Landmarks of one person in one picture.

    Attributes
    ----------
    points_px : (33, 2)
        Landmarks in pixels of the picture; they may lie outside it.
    visibility : (33,)
        0 to 1 as the model gives it. It is not accuracy.
    depth : (33,)
        The model's guess of depth relative to the hips, pixels, smaller is nearer.
    mask : (h, w) uint8 or None
        Probability that each pixel of the picture belongs to the person, 0 to 255; None where the model was opened
        without outlines.
    """

    points_px: Floats
    visibility: Floats
    depth: Floats
    mask: NDArray[np.uint8] | None = field(default=None, repr=False)

    @property
    def torso(self) -> Floats:
        """Mid-point of the shoulders, then of the hips, (2, 2) pixels."""
        return np.stack([self.points_px[_SHOULDERS].mean(axis=0), self.points_px[_HIPS].mean(axis=0)])

    @property
    def torso_length(self) -> float:
        """Distance between the mid-points of shoulders and hips in the picture, pixels."""
        shoulders, hips = self.torso
        return float(np.hypot(*(shoulders - hips)))

    @property
    def box(self) -> tuple[float, float, float, float]:
        """u0, v0, u1, v1 around all landmarks, pixels."""
        (u0, v0), (u1, v1) = self.points_px.min(axis=0), self.points_px.max(axis=0)
        return float(u0), float(v0), float(u1), float(v1)

    def moved(self, *, scale: float = 1.0, shift: tuple[float, float] = (0.0, 0.0)) -> "Person":
        """Return the person in the pixels of another picture: first enlarged by `scale`, then shifted.

        The mask stays as it is.

        Parameters
        ----------
        scale : float
            Pixels of the new picture per pixel of this one.
        shift : (float, float)
            Added after scaling, u and v, pixels of the new picture.
        """
        return evolve(self, points_px=self.points_px * scale + np.asarray(shift, dtype=float), depth=self.depth * scale)


LEG_TO_ARM: Final = 1.05
"""Least ratio of a leg (hip to knee to ankle) to an arm (shoulder to elbow to wrist) in the picture.

Anatomically about 1.5 (Drillis and Contini 1966, as printed in Winter 2009, fig. 4.1: 0.491 to 0.332 of stature); on
128 pictures of rendered golfers the least was 1.25, and 0.87 in the one that was wrong.
"""
_PAIRS: Final = np.concatenate(list(GROUPS.values()))


def is_plausible(person: Person) -> bool:
    """Return whether the legs are longer than the arms, as they are on a standing person.

    Parameters
    ----------
    person : Person
    """
    return _length(person, "hip", "knee", "ankle") >= LEG_TO_ARM * _length(person, "shoulder", "elbow", "wrist")


def mirrored(person: Person, *, width: int) -> Person:
    """Return a person found in a mirror image, mapped to the picture itself.

    Parameters
    ----------
    person : Person
        In pixels of the mirror image; what looks like the left side is the right one.
    width : int
        Of the picture, pixels.
    """
    order = np.arange(len(LANDMARK_NAMES))
    order[_PAIRS] = _PAIRS[:, ::-1]
    points = person.points_px[order]
    points[:, 0] = width - points[:, 0]
    mask = None if person.mask is None else np.ascontiguousarray(person.mask[:, ::-1])
    return Person(points_px=points, visibility=person.visibility[order], depth=person.depth[order], mask=mask)


def average(one: Person, other: Person) -> Person:
    """Return the mean of two detections of one person in one picture.

    Where the two disagree on left and right, in the head, the arms or the legs, the sides of the first are used.

    Parameters
    ----------
    one : Person
    other : Person
        In pixels of the same picture.
    """
    order = np.arange(len(LANDMARK_NAMES))
    for pairs in GROUPS.values():
        same = _distance(one.points_px[pairs], other.points_px[pairs])
        crossed = _distance(one.points_px[pairs], other.points_px[pairs[:, ::-1]])
        if crossed < same:
            order[pairs] = pairs[:, ::-1]
    mask = one.mask
    if one.mask is not None and other.mask is not None:
        mask = ((one.mask.astype(np.uint16) + other.mask + 1) // 2).astype(np.uint8)
    return Person(
        points_px=(one.points_px + other.points_px[order]) / 2,
        visibility=(one.visibility + other.visibility[order]) / 2,
        depth=(one.depth + other.depth[order]) / 2,
        mask=mask,
    )


def _length(person: Person, *parts: str) -> float:
    total = 0.0
    for side in ("left", "right"):
        points = person.points_px[[LANDMARK_INDEX[f"{side}_{part}"] for part in parts]]
        total += float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())
    return total


def _distance(one: Floats, other: Floats) -> float:
    return float(np.linalg.norm(one - other, axis=-1).sum())
