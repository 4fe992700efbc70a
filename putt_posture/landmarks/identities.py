"""Who is who from look to look: detections of several people linked over time.

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

__all__ = ["Identity", "link_people", "trunk_distance", "with_pieces", "without_doubles"]


SAME: Final = 0.35
"""Two detections in one picture whose trunks lie this near each other are one person seen twice."""

SPECK: Final = 0.25
"""A figure inside a person with less than this share of their trunk is none: a child's trunk is over half a man's."""

REACH: Final = 0.6
"""How unlike two sightings of a person may be at once, trunk lengths: the model's scatter in place and shape, and a
step."""

SPEED: Final = 2.0
"""How much that grows with time, trunk lengths a second: 1 m/s, a slow walk, at half a metre of trunk."""

FARTHEST: Final = 2.0
"""After a longer gap nobody farther away than this is taken for the same person."""

SIZE_WEIGHT: Final = 0.7
"""What a person e times as large counts as, in trunk lengths."""

MEMORY_S: Final = 1.0
"""Someone lost for longer is not followed on, but may be put together with a later piece."""

DOUBT: Final = 0.5
"""A sighting that fits someone lost nearly as well, by this many trunk lengths, may be theirs."""

BESIDE: Final = 0.6
"""A piece that lies mostly this near to where the person was seen next in time is theirs, trunk lengths: two people
stand farther apart than 30 cm, and the person is not seen elsewhere meanwhile."""

AS_LARGE: Final = 0.25
"""The largest logarithm of the ratio of their trunks' lengths."""

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
        In which looks the person was seen, increasing.
    people : list of Person
        The person in each of those.
    returns : int
        How often the person was out of sight, or near enough to another to be mixed up, and told again by place
        and size.
    """

    looks: list[int] = field(default=Factory(list))
    people: list[Person] = field(default=Factory(list))
    returns: int = 0

    def add(self, look: int, person: Person) -> None:
        """Append one sighting.

        Parameters
        ----------
        look : int
            Index of the look; larger than the last.
        person : Person
            As found in it.
        """
        self.looks.append(look)
        self.people.append(person)


def link_people(times_s: Floats, looks: Sequence[Sequence[Person]]) -> list[Identity]:
    """Tell who is who through a clip.

    People are first followed from look to look, as far as there is no doubt; the pieces are then put together,
    the surest fit of place and size first, so that someone who stood still behind a passer-by is found again.

    Parameters
    ----------
    times_s : (N,)
        Real seconds of each look, increasing.
    looks : sequence of N sequences of Person
        All in pixels of one picture.

    Returns
    -------
    list of Identity
        Who was seen longest comes first.
    """
    pieces = _follow(times_s, looks)
    while (pair := _best_fit(times_s, pieces)) is not None:
        first, second = pair
        joined = _join(first, second)
        pieces = [piece for piece in pieces if piece is not first and piece is not second] + [joined]
    return sorted(pieces, key=lambda piece: -len(piece.looks))


def without_doubles(people: Sequence[Person]) -> list[Person]:
    """Drop detections of a person who was already detected in the same picture; the first is kept.

    A tiny figure inside a person, such as a print on the shirt, is dropped as well, wherever it stands in the list.

    Parameters
    ----------
    people : sequence of Person
        All found in one picture, the most certain first.
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
    """Put together one person with the pieces that can only be theirs: alone at their place, and as large.

    Parameters
    ----------
    one : Identity
        Whom the coach pointed at.
    others : sequence of Identity
        Everybody in the clip; a piece that overlaps in time is another person.
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


def _unlikeness(one: Person, other: Person) -> float:
    """How little two sightings look like one person, in trunk lengths: place, size and shape.

    The model may take left for right from one look to the next; the shape is then that of the other sides.
    """
    lengths = [max(person.torso_length, _LEAST_TRUNK) for person in (one, other)]
    shapes = [
        (person.points_px[_JOINTS] - person.torso[1]) / length
        for person, length in zip((one, other), lengths, strict=True)
    ]
    ways = (shapes[1], np.roll(shapes[1], len(_JOINTS) // 2, axis=0))
    shape = min(1.0, *(float(np.linalg.norm(shapes[0] - way, axis=1).mean()) for way in ways))
    return trunk_distance(one, other) + SIZE_WEIGHT * abs(float(np.log(lengths[0] / lengths[1]))) + shape


def _reach(gap_s: float) -> float:
    return min(REACH + SPEED * gap_s, FARTHEST)


def _follow(times_s: Floats, looks: Sequence[Sequence[Person]]) -> list[Identity]:
    """Follow people from look to look; where two could have taken each other's place, begin anew."""
    pieces: list[Identity] = []
    active: list[Identity] = []
    for now, found in enumerate(looks):
        active = [piece for piece in active if times_s[now] - times_s[piece.looks[-1]] <= MEMORY_S]
        people = without_doubles(found)
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
    cost = np.array([[_unlikeness(piece.people[-1], person) for person in people] for piece in active])
    reach = np.array([_reach(float(times_s[now] - times_s[piece.looks[-1]])) for piece in active])
    near = cost <= reach[:, np.newaxis]
    rows, columns = linear_sum_assignment(np.where(near, cost, _NEVER))
    owners: list[Identity | None] = [None] * len(people)
    for row, column in zip(rows, columns, strict=True):
        rivals = np.setdiff1d(np.flatnonzero(near[:, column]), rows)  # lost in this look, and near
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
    """How far one person had to jump between two pieces, trunk lengths; infinite where they cannot be one."""
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
            jump = _unlikeness(person, successor)
            if jump > _reach(float(times_s[after] - times_s[before])):
                return float("inf")
            worst = max(worst, jump)
    return worst


def _join(one: Identity, other: Identity) -> Identity:
    seen = dict(zip(one.looks, one.people, strict=True)) | dict(zip(other.looks, other.people, strict=True))
    order = sorted(seen)
    return Identity(looks=order, people=[seen[look] for look in order], returns=one.returns + other.returns + 1)
