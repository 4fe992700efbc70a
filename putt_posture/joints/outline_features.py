"""Features of the outline: how far it lies from the lines between landmarks.

If the hip is too far forward, too much of the seat is behind it. Loose trousers are wide at the ankles and pull the
ankle landmarks along. Where the other leg is behind the line, the outline is farther out and the feature says less; the
landmark error model takes that into account.
"""

import math
from typing import Final

import numpy as np

from putt_posture.joints.features import Body
from putt_posture.joints.rays import find_exits
from putt_posture.values import Floats, Landmarks

__all__ = ["read_outline_features"]

_TRUNK: Final = (-0.1, 0.0, 0.15)
"""Stations along the line from hips (0) to shoulders (1): the seat. Farther up, where arms and loose shirts hang, the
outline added nothing to the landmarks."""
_SIDE_LEG: Final = {("ankle", "knee"): (0.1, 0.3, 0.6), ("knee", "hip"): (0.2, 0.5, 0.8)}
_FRONT_LEG: Final = {("ankle", "knee"): (0.05, 0.3, 0.6), ("knee", "hip"): (0.1, 0.5, 0.9)}
"""Stations along shank and thigh."""
_REACH: Final = 0.35
"""Farthest distance searched, shares of the body's size: no body is thicker than this around its own lines."""


def read_outline_features(landmarks: Landmarks, body: Body, *, roll_deg: float) -> dict[str, Floats]:
    """Find how far the outline lies from the lines between landmarks, in every frame.

    Parameters
    ----------
    landmarks : Landmarks
        As the model gave them, with their outlines.
    body : Body
        The same landmarks.
    roll_deg : float
        Camera roll, + = content turned clockwise.

    Returns
    -------
    dict of str to (T,)
        Shares of the body's size; NaN where a line leaves the person or the person does not end within reach.
    """
    frames = range(len(body.size_px))
    read = _from_the_side if body.view == "down_the_line" else _from_the_front
    rows = [read(landmarks, body, index, roll_deg) for index in frames]
    return {name: np.array([row[name] for row in rows]) for name in rows[0]}


def _from_the_side(landmarks: Landmarks, body: Body, index: int, roll_deg: float) -> dict[str, float]:
    near = body.sides[0]
    points = landmarks.points_px[index]

    def middle(part: str) -> Floats:
        return np.asarray((points[body.index("near", part)] + points[body.index("far", part)]) / 2)

    lines: dict[str, tuple[Floats, Floats, tuple[float, ...]]] = {"trunk": (middle("hip"), middle("shoulder"), _TRUNK)}
    for (low, high), levels in _SIDE_LEG.items():
        lines[low] = (points[body.index(near, low)], points[body.index(near, high)], levels)
    features: dict[str, float] = {}
    for name, (start, end, shares) in lines.items():
        along = (end - start) / np.linalg.norm(end - start)
        ahead = body.forward * np.array([-along[1], along[0]])
        features |= _exits(landmarks, body, index, f"behind {name}", start, end, shares, -ahead)
        if name != "trunk":
            features |= _exits(landmarks, body, index, f"before {name}", start, end, shares, ahead)
    return features


def _from_the_front(landmarks: Landmarks, body: Body, index: int, roll_deg: float) -> dict[str, float]:
    roll = math.radians(roll_deg)
    toward_target = body.forward * np.array([math.cos(roll), math.sin(roll)])
    points = landmarks.points_px[index]
    features: dict[str, float] = {}
    for side, outward in zip(body.sides, (toward_target, -toward_target), strict=True):
        for (low, high), shares in _FRONT_LEG.items():
            start, end = points[body.index(side, low)], points[body.index(side, high)]
            features |= _exits(landmarks, body, index, f"outside {side} {low}", start, end, shares, outward)
            features |= _exits(landmarks, body, index, f"inside {side} {low}", start, end, shares, -outward)
    return features


def _exits(
    landmarks: Landmarks,
    body: Body,
    index: int,
    name: str,
    start: Floats,
    end: Floats,
    shares: tuple[float, ...],
    direction: Floats,
) -> dict[str, float]:
    starts = start + np.array(shares)[:, None] * (end - start)
    size = float(body.size_px[index])
    if not (np.isfinite(starts).all() and math.isfinite(size)):
        return {f"{name} {share:g}": math.nan for share in shares}
    exits, _ = find_exits(landmarks, index, starts_px=starts, ray_px=size * direction, reach=_REACH)
    return {f"{name} {share:g}": float(exit_) for share, exit_ in zip(shares, exits, strict=True)}
