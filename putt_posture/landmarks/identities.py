"""Tracking: detections of several people linked over time.

Distances are measured in lengths of the trunk, so that the size of the picture does not matter.
"""

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

import numpy as np
from attrs import Factory, define, field
from scipy.optimize import linear_sum_assignment

from putt_posture.landmarks.person import Person
from putt_posture.values import LANDMARK_INDEX, Floats

__all__ = [
    "Identity",
    "link_people",
    "reach_of",
    "trunk_distance",
    "unlikeness",
    "with_pieces",
    "without_duplicates",
]


SAME: Final = 0.35
"""Two detections in one picture whose trunks are this near each other are one person found twice."""

SPECK: Final = 0.25
"""A figure inside a person with less than this share of their trunk is not a person: a child's trunk is over half a
man's."""

REACH: Final = 0.6
"""How much two detections of a person may differ at once, trunk lengths: the model's scatter in place and shape, and a
step."""

SPEED: Final = 2.0
"""How much that difference may grow with time, trunk lengths a second: 1 m/s, a slow walk, at half a metre of trunk."""

FARTHEST: Final = 2.0
"""After a longer gap no one farther away than this is taken for the same person."""

SIZE_WEIGHT: Final = 0.7
"""Distance, in trunk lengths, that counts as much as a difference in size by a factor of e."""

MEMORY_S: Final = 1.0
"""A person lost for longer is not followed, but may be joined with a later track."""

DOUBT: Final = 0.5
"""A detection that fits a lost person nearly as well, within this many trunk lengths, may be theirs."""

BESIDE: Final = 0.6
"""A track that is mostly this near to the person's place before or after it is theirs, trunk lengths: two people stand
farther apart than 30 cm, and the person is not seen elsewhere meanwhile."""

AS_LARGE: Final = 0.25
"""The largest logarithm of the ratio of the two trunk lengths."""

_JOINTS: Final = [
    LANDMARK_INDEX[f"{side}_{part}"]
    for side in ("left", "right")
    for part in ("shoulder", "elbow", "wrist", "hip", "knee", "ankle")
]
"""All of the left side, then all of the right one."""
_LEAST_TRUNK: Final = 1.0
_NEVER: Final = 1e3


@define(eq=False)
class Identity:
    """One person through the clip.

    Attributes
    ----------
    looks : list of int
        Indices of the frames in which the person was seen, increasing.
    people : list of Person
        The person in each of those.
    returns : int
        How often the person was out of sight, or near enough to another to be mixed up, and recognised again by place
        and size.
    """

    looks: list[int] = field(default=Factory(list))
    people: list[Person] = field(default=Factory(list))
    returns: int = 0

    def add(self, look: int, person: Person) -> None:
        """Append one detection.

        Parameters
        ----------
        look : int
            Index of the frame; larger than the last.
        person : Person
            As found in it.
        """
        self.looks.append(look)
        self.people.append(person)


def link_people(times_s: Floats, looks: Sequence[Sequence[Person]]) -> list[Identity]:
    """Link the detections of each person through a clip.

    People are first followed from frame to frame as long as there is no doubt. Then the tracks are joined, the best fit
    of place and size first, so that a person who stood behind a passer-by is found again.

    Parameters
    ----------
    times_s : (N,)
        Real seconds of each frame, increasing.
    looks : sequence of N sequences of Person
        All in pixels of one picture.

    Returns
    -------
    list of Identity
        The person seen longest comes first.
    """
    pieces = _follow(times_s, looks)
    while (pair := _best_fit(times_s, pieces)) is not None:
        first, second = pair
        joined = _join(first, second)
        pieces = [piece for piece in pieces if piece is not first and piece is not second] + [joined]
    return sorted(pieces, key=lambda piece: -len(piece.looks))


def without_duplicates(people: Sequence[Person]) -> list[Person]:
    """Drop duplicate detections of a person in one picture; the first is kept.

    A tiny figure inside a person, such as a print on the shirt, is dropped as well, wherever it stands in the list.

    Parameters
    ----------
    people : sequence of Person
        All found in one picture, the highest score first.
    """
    kept: list[Person] = []
    for person in people:
        if any(_is_speck(person, other) for other in people if other is not person):
            continue
        if all(trunk_distance(person, other) > SAME for other in kept):
            kept.append(person)
    return kept


def _is_speck(person: Person, other: Person) -> bool:
    if person.torso_length >= SPECK * other.torso_length:
        return False
    u0, v0, u1, v1 = other.box
    (left, top), (right, bottom) = person.torso.min(axis=0), person.torso.max(axis=0)
    return bool(u0 <= left and right <= u1 and v0 <= top and bottom <= v1)


def with_pieces(one: Identity, others: Sequence[Identity]) -> Identity:
    """Join one person with the tracks that can only be theirs: alone at that place, and equally large.

    Parameters
    ----------
    one : Identity
        The person whom the coach pointed at.
    others : sequence of Identity
        All others in the clip; a track that overlaps in time is another person.
    """
    whole = one
    for other in sorted(others, key=lambda piece: -len(piece.looks)):
        if other is one or set(other.looks) & set(whole.looks):
            continue
        apart = [
            trunk_distance(person, whole.people[int(np.argmin(np.abs(np.subtract(whole.looks, look))))])
            for look, person in zip(other.looks, other.people, strict=True)
        ]
        sizes = [float(np.median([person.torso_length for person in piece.people])) for piece in (whole, other)]
        if (
            np.median(apart) <= BESIDE
            and abs(np.log(max(sizes[1], _LEAST_TRUNK) / max(sizes[0], _LEAST_TRUNK))) <= AS_LARGE
        ):
            whole = _join(whole, other)
    return whole


def trunk_distance(one: Person, other: Person) -> float:
    """Mean distance of mid-shoulders and mid-hips, in lengths of the longer trunk.

    Parameters
    ----------
    one : Person
    other : Person
        In pixels of the same picture size.
    """
    longest = max(one.torso_length, other.torso_length, _LEAST_TRUNK)
    return float(np.hypot(*(one.torso - other.torso).T).mean()) / longest


def unlikeness(one: Person, other: Person) -> float:
    """Return how different two detections are in place, size and shape, trunk lengths.

    The model may swap left and right from one frame to the next; the better of the two is taken.

    Parameters
    ----------
    one, other : Person
        In pixels of the same picture size.
    """
    lengths = [max(person.torso_length, _LEAST_TRUNK) for person in (one, other)]
    shapes = [
        (person.points_px[_JOINTS] - person.torso[1]) / length
        for person, length in zip((one, other), lengths, strict=True)
    ]
    ways = (shapes[1], np.roll(shapes[1], len(_JOINTS) // 2, axis=0))
    shape = min(1.0, *(float(np.linalg.norm(shapes[0] - way, axis=1).mean()) for way in ways))
    return trunk_distance(one, other) + SIZE_WEIGHT * abs(float(np.log(lengths[0] / lengths[1]))) + shape


def reach_of(gap_s: float) -> float:
    """Return how different two detections of one person may be, trunk lengths.

    Parameters
    ----------
    gap_s : float
        Real seconds between the two.
    """
    return min(REACH + SPEED * gap_s, FARTHEST)


def _follow(times_s: Floats, looks: Sequence[Sequence[Person]]) -> list[Identity]:
    """Follow people from frame to frame; start new tracks where two could have been exchanged."""
    pieces: list[Identity] = []
    active: list[Identity] = []
    for now, found in enumerate(looks):
        active = [piece for piece in active if times_s[now] - times_s[piece.looks[-1]] <= MEMORY_S]
        people = without_duplicates(found)
        owners = _assign(active, people, now=now, times_s=times_s)
        for person, owner in zip(people, owners, strict=True):
            if owner is None:
                owner = Identity()
                pieces.append(owner)
                active.append(owner)
            owner.add(now, person)
    return pieces


def _assign(
    active: Sequence[Identity], people: Sequence[Person], *, now: int, times_s: Floats
) -> list[Identity | None]:
    if not active or not people:
        return [None] * len(people)
    cost = np.array([[unlikeness(piece.people[-1], person) for person in people] for piece in active])
    reach = np.array([reach_of(float(times_s[now] - times_s[piece.looks[-1]])) for piece in active])
    near = cost <= reach[:, np.newaxis]
    rows, columns = linear_sum_assignment(np.where(near, cost, _NEVER))
    owners: list[Identity | None] = [None] * len(people)
    for row, column in zip(rows, columns, strict=True):
        rivals = np.setdiff1d(np.flatnonzero(near[:, column]), rows)  # lost in this frame, and near
        doubtful = any(cost[rival, column] < cost[row, column] + DOUBT for rival in rivals)
        if near[row, column] and not doubtful:
            owners[int(column)] = active[int(row)]
    return owners


def _best_fit(times_s: Floats, pieces: Sequence[Identity]) -> tuple[Identity, Identity] | None:
    best, pair = np.inf, None
    for index, one in enumerate(pieces):
        for other in pieces[index + 1 :]:
            misfit = _misfit(times_s, one, other)
            if misfit < best:
                best, pair = misfit, (one, other)
    return pair


def _misfit(times_s: Floats, one: Identity, other: Identity) -> float:
    """How far a person would have to jump between two tracks, trunk lengths; infinite where they cannot be one."""
    if set(one.looks) & set(other.looks):
        return float("inf")
    merged = sorted(
        [(look, 0, person) for look, person in zip(one.looks, one.people, strict=True)]
        + [(look, 1, person) for look, person in zip(other.looks, other.people, strict=True)],
        key=lambda entry: entry[0],
    )
    worst = 0.0
    for (before, owner, person), (after, next_owner, successor) in pairwise(merged):
        if owner != next_owner:
            jump = unlikeness(person, successor)
            if jump > reach_of(float(times_s[after] - times_s[before])):
                return float("inf")
            worst = max(worst, jump)
    return worst


def _join(one: Identity, other: Identity) -> Identity:
    seen = dict(zip(one.looks, one.people, strict=True)) | dict(zip(other.looks, other.people, strict=True))
    order = sorted(seen)
    return Identity(looks=order, people=[seen[look] for look in order], returns=one.returns + other.returns + 1)
