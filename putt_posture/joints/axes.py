"""The axes of joints and their errors: which side is which, which way is forward, how large the body is.

``forward`` is toward the ball down the line and toward the target face on. Down the line the sides are near and far
from the camera, face on lead and trail.
"""

import math
from typing import Final

import numpy as np

from putt_posture.values import Floats, Handed, Landmarks, View, side_of

__all__ = ["body_size_px", "forward_of", "level_points", "side_words"]

SHANK_SHARE: Final[dict[View, float]] = {"down_the_line": 0.312, "face_on": 0.488}
"""Ankle to knee as a share of the body's size, in the model's landmarks of 56 rendered golfers (one sigma 0.011 and
0.025)."""


def body_size_px(landmarks: Landmarks) -> Floats:
    """Return the body's size in each frame, (T,) px.

    Down the line it is the length from ankle to knee to hip to shoulder, all mid-points. Face on, where the trunk leans
    toward the camera, it is that of the legs alone. Where the ankles are hidden, the shank is taken as its usual share.

    Parameters
    ----------
    landmarks : Landmarks
    """
    parts = ("ankle", "knee", "hip", "shoulder") if landmarks.view == "down_the_line" else ("ankle", "knee", "hip")
    middles = np.stack([landmarks.middle(part) for part in parts])
    shank, *rest = np.linalg.norm(np.diff(middles, axis=0), axis=-1)
    above = np.sum(rest, axis=0)
    return np.asarray(np.where(np.isfinite(shank), shank + above, above / (1.0 - SHANK_SHARE[landmarks.view])))


def forward_of(landmarks: Landmarks, *, handed: Handed) -> float:
    """Return +1 where forward is to the right of the picture, else −1.

    Down the line the feet show it, or the hands in front of the hips where the feet are hidden; face on the shoulders.

    Parameters
    ----------
    landmarks : Landmarks
    handed : Handed
    """
    if landmarks.view == "down_the_line":
        ahead = landmarks.middle("foot_index")[:, 0] - landmarks.middle("heel")[:, 0]
        if not np.isfinite(ahead).any():
            ahead = landmarks.middle("wrist")[:, 0] - landmarks.middle("hip")[:, 0]
    else:
        lead, trail = (landmarks.point(f"{side_of(whose, handed)}_shoulder")[:, 0] for whose in ("lead", "trail"))
        ahead = lead - trail
    seen = ahead[np.isfinite(ahead)]
    return -1.0 if seen.size and float(np.median(seen)) < 0 else 1.0


def side_words(landmarks: Landmarks, *, handed: Handed) -> dict[str, str]:
    """Return the names of left and right: near and far down the line, lead and trail face on.

    Parameters
    ----------
    landmarks : Landmarks
    handed : Handed

    Returns
    -------
    dict
        ``"left"`` and ``"right"`` to their names.
    """
    if landmarks.view == "down_the_line":
        near = "right" if forward_of(landmarks, handed=handed) > 0 else "left"
        return {side: "near" if side == near else "far" for side in ("left", "right")}
    return {side_of("lead", handed): "lead", side_of("trail", handed): "trail"}


def level_points(points_px: Floats, *, roll_deg: float, forward: float) -> Floats:
    """Turn picture points into forward and up, with the camera's roll taken out.

    Parameters
    ----------
    points_px : (…, 2)
        Pixels, u right, v down.
    roll_deg : float
        Camera roll, + = content turned clockwise.
    forward : float
        As `forward_of` returns it.

    Returns
    -------
    (…, 2)
        Forward and up, px.
    """
    roll = math.radians(roll_deg)
    right = points_px[..., 0] * math.cos(roll) + points_px[..., 1] * math.sin(roll)
    up = points_px[..., 0] * math.sin(roll) - points_px[..., 1] * math.cos(roll)
    return np.stack([forward * right, up], axis=-1)
