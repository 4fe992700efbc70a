"""Legs, arms and hands: knee flex, elbow bend, hand offset, hand height, stance width.

Each function takes a plane and returns (T,) values, degrees or cm; NaN where a landmark is unseen.
"""

import numpy as np

from putt_posture.posture.angles import bend_at
from putt_posture.posture.plane import Plane
from putt_posture.values import Floats, Side

__all__ = ["elbow_bend", "elbow_bend_in_space", "hand_height", "hand_offset", "knee_flex", "stance_width"]


def knee_flex(plane: Plane, *, near: Side) -> Floats:
    """Return 180° minus the angle hip–knee–ankle of the near leg, (T,) deg; 0 = straight. Down the line."""
    return bend_at(plane.at(f"{near}_hip"), plane.at(f"{near}_knee"), plane.at(f"{near}_ankle"))


def elbow_bend(plane: Plane, *, side: Side) -> Floats:
    """Return 180° minus the angle shoulder–elbow–wrist as one view shows it, (T,) deg; 0 = straight."""
    return bend_at(plane.at(f"{side}_shoulder"), plane.at(f"{side}_elbow"), plane.at(f"{side}_wrist"))


def elbow_bend_in_space(front: Plane, *, side_view: Plane, side: Side) -> Floats:
    """Return the elbow bend from two views joined, (T,) deg; 0 = straight.

    Along the target line and height come from the face-on view, the depth toward the ball from the down-the-line view
    (mean of both arms: down the line the far one is a guess).

    Parameters
    ----------
    front : Plane
        Face on.
    side_view : Plane
        Down the line, the frames that go with those of `front`; of the two, one may hold its frames repeated.
    side : Side
    """
    frames = max(len(front.points_px), len(side_view.points_px))
    joints = []
    for joint in ("shoulder", "elbow", "wrist"):
        seen = np.resize(front.at(f"{side}_{joint}"), (frames, 2))
        joints.append(np.column_stack([seen, np.resize(side_view.middle(joint)[:, 0], frames)]))
    return bend_at(*joints)


def hand_offset(plane: Plane) -> Floats:
    """Return how far the hand centre lies outside the shoulders, (T,) cm.

    + = toward the ball, 0 = the hands hang straight under the shoulder joints. Down the line.
    """
    return np.asarray(plane.hands()[:, 0] - plane.middle("shoulder")[:, 0])


def hand_height(plane: Plane) -> Floats:
    """Return the height of the hand centre above the ground, (T,) cm. Down the line."""
    return plane.hands()[:, 1]


def stance_width(plane: Plane) -> Floats:
    """Return the distance between the ankle joints along the target line, (T,) cm. Face on."""
    return np.asarray(np.abs(plane.at("left_ankle")[:, 0] - plane.at("right_ankle")[:, 0]))
