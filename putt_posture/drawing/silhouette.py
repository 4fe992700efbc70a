"""The outline of a body from the side: convex pieces around the joints of a figure, for a stature and a sex.

Thicknesses come from the body tables where those have them; the others are shares of stature, judged from people of
average build.
"""

from collections.abc import Iterable
from itertools import pairwise
from typing import Final

import numpy as np
from attrs import frozen
from scipy.spatial import ConvexHull

from putt_posture.body import predict
from putt_posture.values import Floats, StandingFigure, Student

__all__ = ["Silhouette", "circle", "find_back", "outline_body"]

_ANKLE: Final = 0.024
_CALF: Final = 0.034
_KNEE: Final = 0.034
_THIGH: Final = 0.050
_NECK: Final = 0.034
_SHOULDER: Final = 0.036
_ELBOW: Final = 0.025
_FOREARM: Final = 0.026
_WRIST: Final = 0.017
_HAND: Final = 0.026
"""Half of the thickness from the side, share of stature (judged)."""
_CALF_AT: Final = 0.68
"""Thickest part of the shank, share of the way up from the ankle (judged)."""
_HEAD_TALL: Final = 0.067
"""Half of the head's height, share of stature: an eighth of it (common practice in figure drawing)."""
_EAR_BEHIND_MIDDLE_CM: Final = 1.0
_CIRCLE: Final = 40
_RIBS: Final = 12
"""Steps along the trunk."""


@frozen(kw_only=True, eq=False)
class Silhouette:
    """Convex pieces that together make a body.

    Attributes
    ----------
    leg, body, arm : tuple of (N, 2)
        One leg with its foot; trunk and head; and the arms, which lie in front of them. y and z as in
        `StandingFigure`, cm.
    """

    leg: tuple[Floats, ...]
    body: tuple[Floats, ...]
    arm: tuple[Floats, ...]


def outline_body(figure: StandingFigure, student: Student) -> Silhouette:
    """Find the outline of a figure for a student's stature and sex.

    Parameters
    ----------
    figure : StandingFigure
    student : Student
    """
    stature = student.stature_cm
    j = {name: np.array(place) for name, place in figure.joints.items()}
    calf = j["ankle"] + _CALF_AT * (j["knee"] - j["ankle"])
    leg = [
        *_foot(j["heel"], j["toe"], j["ankle"], _ANKLE * stature),
        *_chain([(j["ankle"], _ANKLE), (calf, _CALF), (j["knee"], _KNEE)], stature),
        _link(j["knee"], _KNEE * stature, j["hip"], _THIGH * stature),
    ]
    body = [*_trunk(figure, student), *_head(j["shoulder"], j["ear"], j["eye"], student)]
    arm = [
        _link(j["shoulder"], _SHOULDER * stature, j["elbow"], _ELBOW * stature),
        *_chain([(j["elbow"], _FOREARM), (j["wrist"], _WRIST)], stature),
        _link(j["wrist"], _WRIST * stature, j["hands"], _HAND * stature),
    ]
    return Silhouette(leg=tuple(leg), body=tuple(body), arm=tuple(arm))


def find_back(figure: StandingFigure, student: Student) -> Floats:
    """Find the back edge of the trunk from the pelvis to the base of the neck.

    Parameters
    ----------
    figure : StandingFigure
    student : Student

    Returns
    -------
    (N, 2)
        y and z, cm.
    """
    middles, halves, backward = _along_trunk(figure, student)
    return np.asarray(middles + halves[:, None] * backward)[1:]


def circle(middle: Floats, radius: float) -> Floats:
    """Return a circle as a polygon, (N, 2).

    Parameters
    ----------
    middle : (2,)
    radius : float
        In the unit of the middle.
    """
    angle = np.linspace(0.0, 2 * np.pi, _CIRCLE, endpoint=False)
    return np.asarray(middle + radius * np.stack([np.cos(angle), np.sin(angle)], axis=-1))


def _trunk(figure: StandingFigure, student: Student) -> list[Floats]:
    """Return the pieces of the trunk: along an arc from hip to shoulder that bends as the back does."""
    middles, halves, _ = _along_trunk(figure, student)
    return [
        _link(low, float(thin), high, float(thick))
        for low, thin, high, thick in zip(middles[:-1], halves[:-1], middles[1:], halves[1:], strict=True)
    ]


def _along_trunk(figure: StandingFigure, student: Student) -> tuple[Floats, Floats, Floats]:
    """Return the middle of the trunk at some stations, half of its depth there, and the way backward, cm."""
    hip, shoulder = np.array(figure.joints["hip"]), np.array(figure.joints["shoulder"])
    seat = predict("buttock_depth", student.stature_cm, student.sex).value / 2
    chest = predict("chest_depth", student.stature_cm, student.sex).value / 2
    along = shoulder - hip
    backward = np.array([-along[1], along[0]])
    share = np.linspace(0.0, 1.0, _RIBS + 1)
    sagitta = np.tan(np.radians(figure.back_rounding_deg) / 4) / 2
    middles = hip + share[:, None] * along + (4 * sagitta * share * (1 - share))[:, None] * backward
    halves = np.interp(share, [0.0, 0.35, 0.75, 1.0], [seat, 0.92 * chest, chest, 0.72 * chest])
    return middles, halves, backward / np.linalg.norm(backward)


def _head(shoulder: Floats, ear: Floats, eye: Floats, student: Student) -> list[Floats]:
    stature = student.stature_cm
    forward = (eye - ear) / np.linalg.norm(eye - ear)
    upward = np.array([-forward[1], forward[0]])
    if upward @ (ear - shoulder) < 0:
        upward = -upward
    middle = ear + _EAR_BEHIND_MIDDLE_CM * forward + 0.02 * stature * upward
    long = predict("head_length", stature, student.sex).value / 2
    angle = np.linspace(0.0, 2 * np.pi, _CIRCLE, endpoint=False)[:, None]
    skull = middle + long * np.cos(angle) * forward + _HEAD_TALL * stature * np.sin(angle) * upward
    return [_link(shoulder, 1.15 * _NECK * stature, ear, _NECK * stature), skull]


def _foot(heel: Floats, toe: Floats, ankle: Floats, half: float) -> list[Floats]:
    low, high = 2.4, 1.9
    back, tip = heel + (low, low), toe + (-high, high)
    return [_hull([*circle(back, low), *circle(tip, high)]), _hull([*circle(back, low), *circle(ankle, half)]),
            _hull([*circle(ankle, half), *circle(heel + 0.55 * (toe - heel) + (0.0, low), low)])]  # fmt: skip


def _chain(places: list[tuple[Floats, float]], stature: float) -> list[Floats]:
    return [_link(one, thick * stature, two, thin * stature) for (one, thick), (two, thin) in pairwise(places)]


def _link(one: Floats, thick: float, two: Floats, thin: float) -> Floats:
    """Return a tapered capsule, (N, 2)."""
    return _hull([*circle(one, thick), *circle(two, thin)])


def _hull(points: Iterable[Floats]) -> Floats:
    cloud = np.array(list(points))
    return np.asarray(cloud[ConvexHull(cloud).vertices])
