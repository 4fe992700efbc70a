"""Feet that something hides: the pose model puts them on that thing, and only its visibility scores tell.

A score by itself says little (a hidden hand may have 0.99), but those of the feet fall together where a bag, a bank of
grass or a weight stands before them.
"""

from typing import Final

import numpy as np
from attrs import evolve

from putt_posture.values import LANDMARK_INDEX, Floats, Landmarks, View

__all__ = ["FEET_SEEN", "without_hidden_feet"]

FEET_SEEN: Final[dict[View, float]] = {"down_the_line": 0.80, "face_on": 0.73}
"""Least mean visibility of feet that are seen: down the line of the surer foot's ankle, heel and toe, face on of both
feet's ankles and toes. Of rendered golfers the lowest were 0.88 and 0.78; with their feet covered the highest were 0.72
and 0.72. In six side views of people behind a weight whose ankles came to lie on it or on the shank, judged by eye,
most were 0.75 or less, and one was 0.83: that one is not noticed."""

_FOOT: Final = ("ankle", "heel", "foot_index")
_TOLD_BY: Final[dict[View, tuple[str, ...]]] = {"down_the_line": _FOOT, "face_on": ("ankle", "foot_index")}
_SIDES: Final = ("left", "right")


def without_hidden_feet(landmarks: Landmarks) -> Landmarks:
    """Return the landmarks without ankles, heels and toes in the setups in which the feet are hidden."""
    sure, setups = _feet_visibility(landmarks), landmarks.setup_index
    usual = np.array([np.median(sure[setups == setup]) for setup in setups])
    hidden = usual < FEET_SEEN[landmarks.view]
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
