"""From landmarks to joint centres: what the landmark model misses on average is taken out.

The model's points do not sit on the joints: its ankles are above them, its shoulders nearer the neck, its hips
toward the front. The average miss, in the limb's own axes and in shares of the body's size, was found on rendered
golfers with known joints (even seeds of ``sample_clips/make_stills.py``) and proved on others; the table of the
accuracy study is in DEVELOPERS.md. What differs from golfer to golfer stays, and is in the uncertainty.
"""

from collections.abc import Mapping
from typing import Final

import numpy as np
from attrs import evolve, frozen

from putt_posture.values import LANDMARK_INDEX, LANDMARK_NAMES, Floats, Handed, Landmarks, View, side_of

__all__ = ["body_size_px", "limb_axes", "place_joints"]


@frozen
class _Miss:
    """The average miss of one point, in shares of the body's size.

    Attributes
    ----------
    toward : the part that the limb's axis runs to
    along : miss toward it
    square : miss square to it, + = toward the ball down the line, away from the mid-line face on
    """

    toward: str
    along: float
    square: float


MISSES: Final[Mapping[View, Mapping[str, _Miss]]] = {
    "down_the_line": {
        "near_ankle": _Miss("knee", 0.017, -0.003),
        "far_ankle": _Miss("knee", 0.032, 0.000),
        "near_knee": _Miss("hip", -0.005, 0.006),
        "far_knee": _Miss("hip", -0.012, 0.011),
        "near_hip": _Miss("trunk", 0.005, 0.020),
        "far_hip": _Miss("trunk", 0.010, 0.030),
        "near_shoulder": _Miss("trunk", 0.033, 0.006),
        "far_shoulder": _Miss("trunk", 0.038, 0.013),
        "near_ear": _Miss("trunk", -0.005, 0.025),
        "far_ear": _Miss("trunk", 0.006, 0.026),
        "near_eye": _Miss("trunk", 0.009, -0.001),
        "far_eye": _Miss("trunk", 0.013, 0.001),
        "near_elbow": _Miss("shoulder", 0.020, -0.005),
        "far_elbow": _Miss("shoulder", 0.020, -0.010),
        "near_wrist": _Miss("elbow", 0.015, -0.004),
        "far_wrist": _Miss("elbow", 0.001, -0.001),
        "near_pinky": _Miss("elbow", 0.018, 0.024),
        "far_pinky": _Miss("elbow", -0.001, 0.030),
        "near_index": _Miss("elbow", 0.035, -0.014),
        "far_index": _Miss("elbow", 0.011, -0.012),
        "near_heel": _Miss("up", 0.038, 0.015),
        "far_heel": _Miss("up", 0.052, 0.019),
        "near_foot_index": _Miss("up", 0.024, -0.027),
        "far_foot_index": _Miss("up", 0.028, -0.038),
    },
    "face_on": {
        "ankle": _Miss("knee", 0.034, 0.008),
        "knee": _Miss("hip", -0.036, -0.007),
        "hip": _Miss("up", -0.021, -0.018),
        "lead_shoulder": _Miss("up", 0.033, -0.006),
        "trail_shoulder": _Miss("up", 0.041, -0.006),
        "elbow": _Miss("shoulder", 0.025, 0.001),
        "lead_wrist": _Miss("elbow", 0.001, -0.002),
        "trail_wrist": _Miss("elbow", 0.015, -0.009),
        "eye": _Miss("up", 0.022, -0.010),
    },
}
"""The heel and toe points are moved to the back and the front of the shoe."""


def place_joints(landmarks: Landmarks, *, handed: Handed) -> Landmarks:
    """Return the landmarks moved to where the joints are on average.

    Parameters
    ----------
    landmarks : Landmarks
    handed : Handed
        Which side leads: face on the two shoulders are missed by different amounts.

    Returns
    -------
    Landmarks
        Points without a known miss, and unseen ones, are left as they are.
    """
    points = landmarks.points_px.copy()
    size = body_size_px(landmarks)[:, None]
    words = _words_for_sides(landmarks, handed)
    for name in LANDMARK_NAMES:
        miss = _miss_of(name, landmarks.view, words=words)
        if miss is None:
            continue
        along, square = limb_axes(landmarks, name, toward=miss.toward)
        moved = points[:, LANDMARK_INDEX[name]] - size * (miss.along * along + miss.square * square)
        known = np.isfinite(moved).all(axis=1)
        points[known, LANDMARK_INDEX[name]] = moved[known]
    return evolve(landmarks, points_px=points)


def body_size_px(landmarks: Landmarks) -> Floats:
    """Return the size of the body in each frame, (T,) px.

    Down the line ankle to knee to hip to shoulder, mid-points, added up; face on, where the trunk leans toward
    the camera, the legs alone.
    """
    parts = ("ankle", "knee", "hip", "shoulder") if landmarks.view == "down_the_line" else ("ankle", "knee", "hip")
    middles = np.stack([landmarks.middle(part) for part in parts])
    return np.asarray(np.linalg.norm(np.diff(middles, axis=0), axis=-1).sum(axis=0))


def limb_axes(landmarks: Landmarks, name: str, *, toward: str) -> tuple[Floats, Floats]:
    """Return the unit vectors along and square to a limb at one of its points, each (T, 2), picture axes.

    Parameters
    ----------
    landmarks : Landmarks
    name : str
        The point, such as ``left_ankle``.
    toward : str
        The part that the limb runs to; ``trunk`` means from mid-hip to mid-shoulder, ``up`` the picture's own up.
    """
    side = name.split("_", 1)[0]
    if toward == "up":
        along = np.tile([0.0, -1.0], (len(landmarks.times_s), 1))
    elif toward == "trunk":
        along = landmarks.middle("shoulder") - landmarks.middle("hip")
    else:
        along = landmarks.point(f"{side}_{toward}") - landmarks.point(name)
    along = along / np.linalg.norm(along, axis=1, keepdims=True)
    square = np.stack([-along[:, 1], along[:, 0]], axis=1) * _outward(landmarks, side)
    return along, square


def _outward(landmarks: Landmarks, side: str) -> Floats:
    """Return +1 where the square axis, to the right of an upward limb, points to the ball or away from the mid-line."""
    if landmarks.view == "down_the_line":
        ahead = landmarks.middle("foot_index")[:, 0] - landmarks.middle("heel")[:, 0]
        sign = np.sign(np.nanmedian(ahead)) if np.isfinite(ahead).any() else 1.0
        return np.full((len(landmarks.times_s), 1), sign if sign else 1.0)
    other = "right" if side == "left" else "left"
    apart = landmarks.point(f"{side}_shoulder")[:, 0] - landmarks.point(f"{other}_shoulder")[:, 0]
    return np.where(np.isfinite(apart), np.sign(apart), 1.0)[:, None]


def _words_for_sides(landmarks: Landmarks, handed: Handed) -> dict[str, str]:
    """Return what the misses call the left and the right: near and far down the line, lead and trail face on."""
    if landmarks.view == "down_the_line":
        near = "right" if _outward(landmarks, "left")[0, 0] > 0 else "left"
        return {side: "near" if side == near else "far" for side in ("left", "right")}
    return {side_of("lead", handed): "lead", side_of("trail", handed): "trail"}


def _miss_of(name: str, view: View, *, words: Mapping[str, str]) -> _Miss | None:
    side, _, part = name.partition("_")
    if side not in words:
        return None
    return MISSES[view].get(f"{words[side]}_{part}", MISSES[view].get(part))
