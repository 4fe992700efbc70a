"""The axes in which joints and their errors are told: which side is which, which way is forward, how large the body is.

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
    """Return the size of the body in each frame, (T,) px.

    Down the line ankle to knee to hip to shoulder, mid-points, added up; face on, where the trunk leans toward
    the camera, the legs alone. Where the ankles are hidden, the rest tells it.
    """
    parts = ("ankle", "knee", "hip", "shoulder") if landmarks.view == "down_the_line" else ("ankle", "knee", "hip")
    middles = np.stack([landmarks.middle(part) for part in parts])
    shank, *rest = np.linalg.norm(np.diff(middles, axis=0), axis=-1)
    above = np.sum(rest, axis=0)
    return np.asarray(np.where(np.isfinite(shank), shank + above, above / (1.0 - SHANK_SHARE[landmarks.view])))


def forward_of(landmarks: Landmarks, *, handed: Handed) -> float:
    """Return +1 where forward is to the right of the picture, else −1.

    Down the line the feet tell it, or the hands before the hips where the feet are hidden; face on the shoulders.
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
    """Return what the left and the right are called: near and far down the line, lead and trail face on."""
    if landmarks.view == "down_the_line":
        near = "right" if forward_of(landmarks, handed=handed) > 0 else "left"
        return {side: "near" if side == near else "far" for side in ("left", "right")}
    return {side_of("lead", handed): "lead", side_of("trail", handed): "trail"}


def level_points(points_px: Floats, *, roll_deg: float, forward: float) -> Floats:
    """Turn picture points (…, 2), px, into forward and up (…, 2), px, with the camera's roll taken out."""
    roll = math.radians(roll_deg)
    right = points_px[..., 0] * math.cos(roll) + points_px[..., 1] * math.sin(roll)
    up = points_px[..., 0] * math.sin(roll) - points_px[..., 1] * math.cos(roll)
    return np.stack([forward * right, up], axis=-1)
