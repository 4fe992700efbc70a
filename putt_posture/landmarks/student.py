"""Which person in a clip is the student: the one who looks like a golfer at address.

Everything is measured in trunk lengths and angles, from pixels with v down, so that size and place do not matter. Every
share is 0 to 1.

The student is recognised by their role over the whole clip: bent, with the hands low and together and the feet in one
place, there for most of the time, and large in the picture.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np
from attrs import field, frozen

from putt_posture.errors import StudentNotFound
from putt_posture.landmarks.identities import Identity, link_people, with_pieces
from putt_posture.landmarks.person import Person
from putt_posture.values import LANDMARK_INDEX, Floats, View

__all__ = ["Choice", "address_likeness", "choose_student"]

HANDS_TOGETHER: Final = (0.35, 0.65)
"""Wrists nearer to each other than the first are on one grip; farther apart than the second they are not, trunk
lengths."""
HANDS_LOW: Final = (0.35, 0.75)
"""Wrists less than the first below the shoulders are raised; more than the second below them they hang, trunk
lengths."""
BENT_DEG: Final = (8.0, 22.0)
"""Down the line: bend of an upright trunk, and of golfers who bend least when they putt (common practice: 20 to
50°)."""
HANDS_AHEAD: Final = (0.0, 0.25)
"""Down the line: wrists beside the hips, and in front of them (trunk lengths)."""
_LEAST_TRUNK: Final = 1.0
ROLE_WEIGHT: Final = 1.0
PRESENCE_WEIGHT: Final = 0.2
SIZE_WEIGHT: Final = 0.2
"""Weights of role, presence and size; role counts more than the two others together."""
BACKGROUND: Final = 0.45
"""A person shorter than this share of the tallest who stays is far behind, and not the student."""
STAYS: Final = 0.5
"""A person seen in this share of the frames stays."""
ALIKE: Final = 0.8
"""A person with this share of the best score could also be the student."""
CLEAR_ROLE: Final = 0.5
"""At this share of the full role or more, the role decided who the student is."""
SEEN_TWICE: Final = 2
"""Another person in fewer frames than this may be an error of the model."""
PASSING: Final = 0.1
"""A person seen in a smaller share of the frames only passes by and is not the student."""
CLEAR_SHARE: Final = 0.1
CLEAR_LOOKS: Final = 3.0
"""A person at address in this share of the frames, or in this many, has the full role; others are measured against
them."""
AS_NEAR: Final = 0.3
"""A point nearer to one person than to another by no more than this, trunk lengths, may be on either: one stands in
front of the other. On clips of two people 85 of 100 mistakes were so near (points on the head, a shoulder or a knee),
and 20 of 100 right choices."""
STEP: Final = 1.0
"""Feet that move this many trunk lengths a second halve the weight of a frame: 0.5 m/s, a slow walk."""
_ANKLES: Final = [LANDMARK_INDEX["left_ankle"], LANDMARK_INDEX["right_ankle"]]


@frozen(kw_only=True, eq=False)
class Choice:
    """The student in each frame that was searched.

    Attributes
    ----------
    people : tuple of N (Person or None)
        None where the student was not seen.
    most : int
        The most people seen at one time.
    notes : tuple of str
    """

    people: tuple[Person | None, ...] = field(repr=False)
    most: int
    notes: tuple[str, ...] = ()


def address_likeness(person: Person, *, view: View) -> float:
    """Return how much a person looks like a golfer at address in the given view, 0 to 1.

    Parameters
    ----------
    person : Person
        In upright pixels.
    view : View
        Face on the bend of the trunk is hardly seen, so that only the hands count.
    """
    shoulders, hips = person.torso
    trunk = max(person.torso_length, _LEAST_TRUNK)
    wrists = person.points_px[[LANDMARK_INDEX["left_wrist"], LANDMARK_INDEX["right_wrist"]]]
    hands = wrists.mean(axis=0)
    likeness = 1 - _rise(np.hypot(*(wrists[0] - wrists[1])) / trunk, HANDS_TOGETHER)
    likeness *= _rise((hands[1] - shoulders[1]) / trunk, HANDS_LOW)
    if view == "down_the_line":
        lean_deg = float(np.degrees(np.arctan2(shoulders[0] - hips[0], hips[1] - shoulders[1])))
        likeness *= _rise(abs(lean_deg), BENT_DEG)
        likeness *= _rise(np.sign(lean_deg) * (hands[0] - hips[0]) / trunk, HANDS_AHEAD)
    return float(likeness)


def choose_student(
    times_s: Floats,
    looks: Sequence[Sequence[Person]],
    *,
    view: View,
    student_at: tuple[float, float] | None = None,
) -> Choice:
    """Find which of the people in a clip is the student.

    Parameters
    ----------
    times_s : (N,)
        Real seconds of each frame, increasing.
    looks : sequence of N sequences of Person
        All people in each frame, in pixels of the full-size upright picture.
    view : View
    student_at : (u, v), optional
        A point on the student, pixels: the person who is nearest to it in most frames is taken.

    Returns
    -------
    Choice

    Raises
    ------
    StudentNotFound
        No one was found, or two people could be the student.
    """
    identities = link_people(times_s, looks)
    most = max((sum(look in identity.looks for identity in identities) for look in range(len(looks))), default=0)
    if not identities:
        raise StudentNotFound("no person was found in the picture. Show the whole student, from head to feet.")
    if student_at is not None:
        student = with_pieces(_nearest(identities, student_at), identities)
        notes = _say_who(identities, student, student_at) if most > 1 else []
    else:
        student, notes = _likeliest(identities, times_s, count=len(looks), view=view)
    if student.returns:
        times = "once" if student.returns == 1 else f"{student.returns} times"
        notes.append(
            f"The student was lost from sight or mixed up with someone near {times}, and found again by place and size."
        )
    people: list[Person | None] = [None] * len(looks)
    for look, person in zip(student.looks, student.people, strict=True):
        people[look] = person
    return Choice(people=tuple(people), most=most, notes=tuple(notes))


def _rise(value: float, limits: tuple[float, float]) -> float:
    """0 up to the first limit, 1 from the second on, straight between."""
    low, high = limits
    return float(np.clip((value - low) / (high - low), 0.0, 1.0))


def _nearest(identities: Sequence[Identity], student_at: tuple[float, float]) -> Identity:
    """Return the person nearest to a point in most frames, not counting frames with only one person."""
    votes: dict[int, float] = {}
    for look in {look for identity in identities for look in identity.looks}:
        gaps = [
            (_gap(identity.people[identity.looks.index(look)], student_at), index)
            for index, identity in enumerate(identities)
            if look in identity.looks
        ]
        gap, winner = min(gaps)
        votes[winner] = votes.get(winner, 0.0) + 1 / (1 + gap)
    return identities[max(votes, key=lambda index: votes[index])]


def _say_who(identities: Sequence[Identity], student: Identity, student_at: tuple[float, float]) -> list[str]:
    """Say which person a given point chose, and who else it may be on."""
    at = "{:.0f},{:.0f}".format(*student_at)
    for other in identities:
        looks = set(other.looks) & set(student.looks)
        if len(looks) < SEEN_TWICE or any(person is other.people[0] for person in student.people):
            continue
        theirs, own = (
            np.mean([_gap(one.people[one.looks.index(look)], student_at) for look in looks]) for one in (other, student)
        )
        if theirs - own < AS_NEAR:
            places = "{:.0f},{:.0f}; not the one at {:.0f},{:.0f}".format(*_place(student), *_place(other))
            return [
                f"The point {at} lies on or near two people; the student was taken to be the one at {places}. If that "
                "is wrong, give a point on the student's chest."
            ]
    return [f"The student is the person at {at}, as given."]


def _gap(person: Person, point: tuple[float, float]) -> float:
    """How far a point is from a person's box, plus a little for being off the trunk, in trunk lengths."""
    u0, v0, u1, v1 = person.box
    outside = np.hypot(max(u0 - point[0], 0, point[0] - u1), max(v0 - point[1], 0, point[1] - v1))
    off_trunk = np.hypot(*(person.torso.mean(axis=0) - point))
    return float(outside + 0.1 * off_trunk) / max(person.torso_length, 1.0)


def _likeliest(
    identities: Sequence[Identity], times_s: Floats, *, count: int, view: View
) -> tuple[Identity, list[str]]:
    candidates = _candidates(identities, count=count)
    tallest = max(_height(identity) for identity in candidates)
    roles = np.array([_role(identity, times_s, view=view) for identity in candidates])
    roles /= max(roles.max(), min(CLEAR_SHARE * count, CLEAR_LOOKS))
    scores = [
        ROLE_WEIGHT * role
        + PRESENCE_WEIGHT * len(identity.looks) / count
        + SIZE_WEIGHT * (_height(identity) / tallest) * len(identity.looks) / count
        for identity, role in zip(candidates, roles, strict=True)
    ]
    order = np.argsort(scores)[::-1]
    best = candidates[order[0]]
    if len(order) > 1:
        rivals = [candidates[index] for index in order[1:] if scores[index] >= ALIKE * scores[order[0]]]
        rival = next((one for one in rivals if _overlap(one, best) > 0), None)
        if rival is not None:
            places = " and ".join("{:.0f},{:.0f}".format(*_place(one)) for one in (best, rival))
            raise StudentNotFound(
                f"two people could be the student, at {places}; one was needed. Give --student-at x,y."
            )
    notes = []
    others = [one for one in identities if one is not best and _overlap(one, best) > PASSING * count]
    if others:
        by_role = roles[order[0]] >= CLEAR_ROLE
        why = "most like a golfer at address" if by_role else "larger and longer in the picture"
        place = "{:.0f},{:.0f}".format(*_place(best))
        notes.append(
            f"More than one person is in the picture; the student was taken to be the one at {place}, {why}. "
            "Give --student-at x,y if that is wrong."
        )
    elif any(_overlap(one, best) >= SEEN_TWICE for one in identities if one is not best):
        notes.append("Another person passed through the picture and was left out.")
    return best, notes


def _candidates(identities: Sequence[Identity], *, count: int) -> Sequence[Identity]:
    """Leave out those who pass by, and those far behind someone who stays."""
    seen = [identity for identity in identities if len(identity.looks) > PASSING * count] or identities
    staying = [_height(identity) for identity in seen if len(identity.looks) >= STAYS * count]
    if not staying:
        return seen
    return [identity for identity in seen if _height(identity) >= BACKGROUND * max(staying)]


def _role(identity: Identity, times_s: Floats, *, view: View) -> float:
    """Sum over the frames of the share to which the person is at address with still feet."""
    likeness = np.array([address_likeness(person, view=view) for person in identity.people])
    feet = np.array([person.points_px[_ANKLES].mean(axis=0) for person in identity.people])
    trunk = max(float(np.median([person.torso_length for person in identity.people])), 1.0)
    if len(feet) < 2:
        return float(likeness.sum())
    seconds = np.diff(times_s[identity.looks])
    speed = np.linalg.norm(np.diff(feet, axis=0), axis=1) / np.maximum(seconds, 1e-3) / trunk
    around = np.minimum(np.append(speed, speed[-1]), np.insert(speed, 0, speed[0]))
    return float((likeness / (1 + around / STEP)).sum())


def _height(identity: Identity) -> float:
    return float(np.median([person.box[3] - person.box[1] for person in identity.people]))


def _place(identity: Identity) -> tuple[float, float]:
    u, v = np.median([person.torso.mean(axis=0) for person in identity.people], axis=0)
    return float(u), float(v)


def _overlap(one: Identity, other: Identity) -> int:
    return len(set(one.looks) & set(other.looks))
