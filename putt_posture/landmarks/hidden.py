"""Feet that something hides: the pose model puts them on that thing, and its scores and its outline tell.

A score by itself says little (a hidden hand may have 0.99, a foot that is seen 0.6), but those of the feet fall
together where a bag, a bank of grass or a weight stands before them, and the outline of the person then stops above
them.
"""

from typing import Final

import numpy as np
from attrs import evolve

from putt_posture.values import LANDMARK_INDEX, Floats, Landmarks, View

__all__ = ["FEET_SEEN", "OUTLINE_REACHES", "without_hidden_feet"]

FEET_SEEN: Final[dict[View, float]] = {"down_the_line": 0.80, "face_on": 0.73}
"""Mean visibility below which feet may be hidden: down the line of the surer foot's ankle, heel and toe, face on of
both feet's ankles and toes. Of 120 shots of rendered golfers 4 lay below it with all of the feet in sight, down to
0.61."""

OUTLINE_REACHES: Final = 0.82
"""They are hidden where the outline, 0 to 1, is less than this on ankle, heel and toe besides. Of those 4 golfers it
was 0.91 and more; of people behind a weight 0.22 to 0.81. One of them, whose score was 0.95, is not noticed, and 2 of
24 pictures of rendered golfers whose feet were painted over, with scores of 0.85 and 0.93."""

_FOOT: Final = ("ankle", "heel", "foot_index")
_TOLD_BY: Final[dict[View, tuple[str, ...]]] = {"down_the_line": _FOOT, "face_on": ("ankle", "foot_index")}
_SIDES: Final = ("left", "right")


def without_hidden_feet(landmarks: Landmarks) -> Landmarks:
    """Return the landmarks without ankles, heels and toes in the setups in which the feet are hidden."""
    setups = landmarks.setup_index

    def usual(of_frames: Floats) -> Floats:
        return np.array([np.median(of_frames[setups == setup]) for setup in setups])

    doubtful = usual(_feet_visibility(landmarks)) < FEET_SEEN[landmarks.view]
    hidden = doubtful & (usual(_feet_in_outline(landmarks)) < OUTLINE_REACHES)
    if not hidden.any():
        return landmarks
    points = landmarks.points_px.copy()
    for side in _SIDES:
        for part in _FOOT:
            points[hidden, LANDMARK_INDEX[f"{side}_{part}"]] = np.nan
    return evolve(landmarks, points_px=points)


def _feet_visibility(landmarks: Landmarks) -> Floats:
    """Return how sure the model is of the feet in each frame, (T,)."""
    parts = _TOLD_BY[landmarks.view]
    feet = np.array(
        [landmarks.visibility[:, [LANDMARK_INDEX[f"{side}_{part}"] for part in parts]].mean(axis=1) for side in _SIDES]
    )
    return np.asarray(feet.max(axis=0) if landmarks.view == "down_the_line" else feet.mean(axis=0))


def _feet_in_outline(landmarks: Landmarks) -> Floats:
    """Return how surely the feet lie in the outline of the person in each frame, (T,): the surer foot's, 0 to 1."""
    index = [[LANDMARK_INDEX[f"{side}_{part}"] for part in _FOOT] for side in _SIDES]
    at = landmarks.points_px[:, index] - landmarks.mask_box_px[:2]
    size = landmarks.outlines.shape[2], landmarks.outlines.shape[1]
    inside = np.isfinite(at).all(axis=-1) & (at >= 0).all(axis=-1) & (at < size).all(axis=-1)
    column, row = np.where(inside[..., None], at, 0).astype(int).transpose(3, 0, 1, 2)
    frames = np.arange(len(at))[:, None, None]
    return np.asarray((landmarks.outlines[frames, row, column] / 255.0 * inside).mean(axis=2).max(axis=1))
