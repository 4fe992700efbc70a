"""Pose landmarks of the student in the setup frames, with the outline mask.

The 33 points are those of the BlazePose topology that MediaPipe's pose landmarker returns; left and right
are the student's own.
"""

from typing import Final

import numpy as np
from attrs import Factory, field, frozen
from numpy.typing import NDArray

from putt_posture.values.arrays import Floats
from putt_posture.values.views import View

__all__ = ["HAND_POINTS", "LANDMARK_INDEX", "LANDMARK_NAMES", "Landmarks"]

LANDMARK_NAMES: Final = (
    "nose",
    "left_eye_inner", "left_eye", "left_eye_outer",
    "right_eye_inner", "right_eye", "right_eye_outer",
    "left_ear", "right_ear",
    "mouth_left", "mouth_right",
    "left_shoulder", "right_shoulder",
    "left_elbow", "right_elbow",
    "left_wrist", "right_wrist",
    "left_pinky", "right_pinky",
    "left_index", "right_index",
    "left_thumb", "right_thumb",
    "left_hip", "right_hip",
    "left_knee", "right_knee",
    "left_ankle", "right_ankle",
    "left_heel", "right_heel",
    "left_foot_index", "right_foot_index",
)  # fmt: skip
"""Order of the pose landmarks, as MediaPipe documents it."""

HAND_POINTS: Final = ("wrist", "index", "pinky")
"""What the hand centre is the mean of, on each side."""

LANDMARK_INDEX: Final = {name: index for index, name in enumerate(LANDMARK_NAMES)}


@frozen(kw_only=True, eq=False)
class Landmarks:
    """Landmarks of one person in T frames of one view.

    Attributes
    ----------
    view : View
    times_s : (T,)
        Clip time of each frame, seconds.
    setup_index : (T,)
        Which setup (0, 1, …) each frame belongs to.
    points_px : (T, 33, 2)
        Pixels of the full-size upright picture, origin top left, u right, v down; NaN where unseen.
    visibility : (T, 33)
        0 to 1 as the model gives it. It is not accuracy.
    depth : (T, 33)
        The model's own guess of depth, in pixels, smaller is nearer; only its sign between left and right
        is of use, and only in the side view.
    masks : (T, h, w) uint8
        How surely each pixel belongs to the person, 0 to 255, inside `mask_box_px`, as the model gives it.
    mask_box_px : (4,) int
        u0, v0, u1, v1 of the masks in the full-size picture; h = v1 − v0, w = u1 − u0.
    size_px : (int, int)
        Width and height of the full-size upright picture.
    model : str
        Name and digest of the weights.
    outlines : (T, h, w) uint8
        The masks refined on the picture: steep where the edge was seen, as soft as the mask where it was not. The
        masks themselves where nobody refined them.
    notes : tuple of str
        What was noticed and mended, in sentences for the coach.
    """

    view: View
    times_s: Floats
    setup_index: NDArray[np.int64]
    points_px: Floats = field(repr=False)
    visibility: Floats = field(repr=False)
    depth: Floats = field(repr=False)
    masks: NDArray[np.uint8] = field(repr=False)
    mask_box_px: tuple[int, int, int, int]
    size_px: tuple[int, int]
    model: str
    outlines: NDArray[np.uint8] = field(default=Factory(lambda self: self.masks, takes_self=True), repr=False)
    notes: tuple[str, ...] = ()

    def point(self, name: str) -> Floats:
        """Return one landmark in every frame, (T, 2) pixels; NaN where unseen."""
        points: Floats = self.points_px[:, LANDMARK_INDEX[name]]
        return points

    def hand_centre(self) -> Floats:
        """Return the mean over both hands of wrist, index and little-finger knuckle, (T, 2) pixels."""
        names = [f"{side}_{joint}" for side in ("left", "right") for joint in HAND_POINTS]
        return np.asarray(np.mean([self.point(name) for name in names], axis=0))

    def middle(self, part: str) -> Floats:
        """Return the mid-point between the left and the right of a part, (T, 2) pixels."""
        return (self.point(f"left_{part}") + self.point(f"right_{part}")) / 2
