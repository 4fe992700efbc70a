"""A person seen in a mirror turned back, and the average of two looks at one person."""

from typing import Final

import numpy as np

from putt_posture.landmarks.person import Person
from putt_posture.landmarks.swaps import GROUPS
from putt_posture.values import LANDMARK_NAMES, Floats

__all__ = ["average", "mirrored"]


_PAIRS: Final = np.concatenate(list(GROUPS.values()))


def mirrored(person: Person, *, width: int) -> Person:
    """Return a person found in a mirror image as they are in the picture itself.

    Parameters
    ----------
    person : Person
        In pixels of the mirror image; what looks like the left is the right.
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
    """Return the mean of two looks at one person in one picture.

    Where the two took left and right the other way round, in the head, the arms or the legs, the first is
    believed and the second is turned round before.
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


def _distance(one: Floats, other: Floats) -> float:
    return float(np.linalg.norm(one - other, axis=-1).sum())
