"""The student's body as it was detected: through the whole clip, in the setup frames, and as joint centres.

The 33 points are those of the BlazePose topology that MediaPipe's pose landmarker returns; left and right
are the student's own.
"""

from collections.abc import Collection
from typing import Final, Literal

import numpy as np
from attrs import Factory, field, frozen
from numpy.typing import NDArray

from putt_posture.values.estimate import Floats
from putt_posture.values.showing import brief
from putt_posture.values.student import View

__all__ = ["HAND_POINTS", "LANDMARK_INDEX", "LANDMARK_NAMES", "Landmarks", "Setup", "Track", "median_shift"]

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
"""The hand centre is the mean of these, on both sides."""
LANDMARK_INDEX: Final = {name: index for index, name in enumerate(LANDMARK_NAMES)}


@brief
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
        The model's estimate of depth, in pixels, smaller is nearer; only its sign between left and right is useful, and
        only in the side view.
    masks : (T, h, w) uint8
        Probability that each pixel belongs to the person, 0 to 255, inside `mask_box_px`, as the model gives it.
    mask_box_px : (4,) int
        u0, v0, u1, v1 of the masks in the full-size picture; h = v1 − v0, w = u1 − u0.
    size_px : (int, int)
        Width and height of the full-size upright picture.
    model : str
        Name and digest of the weights.
    outlines : (T, h, w) uint8
        The masks refined on the picture: steep where the edge was seen, as soft as the mask where it was not. The masks
        themselves where they were not refined.
    notes : tuple of str
        What was found and corrected, in sentences for the coach.
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
        """Return one landmark in every frame, (T, 2) pixels; NaN where unseen.

        Parameters
        ----------
        name : str
            One of `LANDMARK_NAMES`.
        """
        points: Floats = self.points_px[:, LANDMARK_INDEX[name]]
        return points

    def hand_centre(self) -> Floats:
        """Return the mean over both hands of wrist, index and little-finger knuckle, (T, 2) pixels."""
        names = [f"{side}_{joint}" for side in ("left", "right") for joint in HAND_POINTS]
        return np.asarray(np.mean([self.point(name) for name in names], axis=0))

    def middle(self, part: str) -> Floats:
        """Return the mid-point between the left and the right of a part, (T, 2) pixels.

        Parameters
        ----------
        part : str
            A name without its side, such as ``"hip"``.
        """
        return (self.point(f"left_{part}") + self.point(f"right_{part}")) / 2


@brief
@frozen(kw_only=True, eq=False)
class Track:
    """The student tracked through a clip by the small model at a low rate.

    Attributes
    ----------
    times_s : (N,)
        Clip time of each frame that was searched, seconds, increasing.
    points_px : (N, 33, 2)
        Landmarks in pixels of the full-size upright picture, origin top left, u right, v down; NaN where
        the student was not seen.
    visibility : (N, 33)
        0 to 1 as the model gives it; NaN where not seen.
    boxes_px : (N, 4)
        u0, v0, u1, v1 around the student's landmarks; NaN where not seen.
    motion_times_s : (M,)
        Clip time of each motion reading, seconds, increasing.
    motion : (M,)
        Mean absolute grey-level change (0 to 255 levels) per 1/30 s of real time, inside the student's box extended
        down to the ground and toward the ball.
    people : int
        The most people seen at one time.
    notes : tuple of str
        How the student was recognised among others; jumps of identity that were corrected.
    """

    times_s: Floats
    points_px: Floats = field(repr=False)
    visibility: Floats = field(repr=False)
    boxes_px: Floats = field(repr=False)
    motion_times_s: Floats = field(repr=False)
    motion: Floats = field(repr=False)
    people: int = 1
    notes: tuple[str, ...] = ()


@brief
@frozen(kw_only=True)
class Setup:
    """One setup in one clip.

    Attributes
    ----------
    moment_s : float
        Clip time of the frame that represents the setup, seconds; it is one of `times_s`.
    times_s : tuple of float
        Clip times of all frames to be measured, seconds, increasing.
    window_s : (float, float)
        The quiet stretch that they come from.
    stroke_s : (float, float) or None
        Start and end of the stroke that follows, where one was seen.
    chosen_by : {"finder", "person"}
    reason : str
        One sentence: why this moment.
    doubt : str
        One sentence: why this may not be the address before a putt; empty where there is no doubt.
    """

    moment_s: float
    times_s: tuple[float, ...]
    window_s: tuple[float, float]
    stroke_s: tuple[float, float] | None = None
    chosen_by: Literal["finder", "person"] = "finder"
    reason: str = ""
    doubt: str = ""


def median_shift(landmarks: Landmarks, start: int, end: int, *, without: Collection[str] = ()) -> Floats:
    """Return how far the body moved in the picture between two frames, (2,) px, by the median of its landmarks.

    Parameters
    ----------
    landmarks : Landmarks
    start, end : int
        The frames.
    without : collection of str
        Names of landmarks that do not count.
    """
    counted = [index for name, index in LANDMARK_INDEX.items() if name not in without]
    moved = (landmarks.points_px[end] - landmarks.points_px[start])[counted]
    seen = moved[np.isfinite(moved).all(axis=1)]
    return np.asarray(np.median(seen, axis=0)) if len(seen) else np.zeros(2)
