"""Walk: an upright person with swinging legs, and the way from a walk into the pose at address.

Simple on purpose: it is what happens before and behind the student, and nothing is measured on it. Studio frame of
`body`.
"""

from __future__ import annotations

import numpy as np

from .body import SOLE, Array
from .pose import Posed, place
from .skeleton import COLUMN, NAMES, SIDES, Skeleton
from .stroke import place_person

STRIDE = 1.30
"""Metres that two steps cover."""
LEG_SWING = 0.42
KNEE_LIFT = 0.75
ARM_SWING = 0.35


def walking_angles(skeleton: Skeleton, phase: float, *, carry: float = 0.0, vigour: float = 1.0) -> Array:
    """Joint angles (43,) of a walker.

    Parameters
    ----------
    phase : radians through the stride; 2 pi is two steps.
    carry : radians that the lead elbow is bent to carry a putter.
    vigour : 1 walking, 0 standing.
    """
    angles = np.zeros(len(NAMES))
    angles[COLUMN["root.pitch"]] = 0.04 * vigour
    for side in SIDES:
        sign = 1.0 if side == "L" else -1.0
        beat = phase if side == "L" else phase + np.pi
        angles[COLUMN[f"hip.flex.{side}"]] = LEG_SWING * np.sin(beat) * vigour
        angles[COLUMN[f"knee.{side}"]] = (0.08 + KNEE_LIFT * max(0.0, np.cos(beat)) ** 2) * vigour
        angles[COLUMN[f"ankle.flex.{side}"]] = 0.12 * np.cos(beat) * vigour
        angles[COLUMN[f"hip.side.{side}"]] = 0.06
        reach = -ARM_SWING * np.sin(beat) * vigour * (0.3 if carry and side == "L" else 1.0)
        hang = np.array([0.14 * sign, -np.sin(reach) - 0.03, -np.cos(reach)])
        angles[COLUMN[f"arm.a.{side}"]], angles[COLUMN[f"arm.b.{side}"]] = skeleton.swing_to(side, hang)
        angles[COLUMN[f"elbow.{side}"]] = -0.30 + (carry if side == "L" else 0.15)
        angles[COLUMN[f"arm.twist.{side}"]] = sign * 0.15
    return angles


def stand_on_ground(skeleton: Skeleton, angles: Array, *, at: Array) -> Posed:
    """Place a pose so that its lowest sole touches the ground and its pelvis or ankles stand at `at`.

    Parameters
    ----------
    at : (2,) where the mid-point of the ankles goes, studio frame.
    """
    posed = place(skeleton, angles)
    ankles = np.mean([posed.joints[f"foot.{side}"] for side in SIDES], axis=0)
    low = posed.skin[posed.body.skin_of("foot", "toe"), 2].min()
    return place_person(posed, shift=np.array([at[0] - ankles[0], at[1] - ankles[1], SOLE - low]))


def walk_past(skeleton: Skeleton, *, start: Array, end: Array, speed: float, time: float) -> Posed:
    """Pose a walker at one moment of a straight way from `start` to `end`, (2,) each.

    Parameters
    ----------
    speed : m/s.
    time : seconds since the walker was at `start`.
    """
    way = end - start
    ahead = way / np.linalg.norm(way)
    gone = min(speed * time, float(np.linalg.norm(way)))
    spot = start + gone * ahead
    # the body faces -y: turn that into the way's direction
    heading = float(np.arctan2(ahead[1], ahead[0]) + np.pi / 2)
    posed = stand_on_ground(skeleton, walking_angles(skeleton, 2 * np.pi * gone / STRIDE), at=np.zeros(2))
    return place_person(posed, heading=heading, shift=np.array([spot[0], spot[1], 0.0]))


def blend(first: Array, last: Array, share: float) -> Array:
    """Angles between two poses, easing in and out."""
    ease = share * share * (3 - 2 * share)
    return np.asarray(first + ease * (last - first))
