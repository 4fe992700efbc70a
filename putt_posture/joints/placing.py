"""Joints that a person placed by hand: they stay where they were put, and are as uncertain as a click.

A student at address stands still, so a joint that was placed in one frame counts in every frame of that setup, and
moves with the rest of the body where the camera moved. In the other setups of the clip the student wears the same
clothes, so there the joint is moved by the same amount.
"""

from collections.abc import Sequence
from typing import Final

import numpy as np
from attrs import evolve
from numpy.typing import NDArray

from putt_posture.joints.axes import body_size_px
from putt_posture.joints.fit import Joints
from putt_posture.values import LANDMARK_INDEX, Floats, Landmarks, PlacedLandmark, View, median_shift

__all__ = ["CLICK_SD_CM", "place_in_landmarks", "place_joints", "split_by_frame"]

CLICK_SD_CM: Final = 1.2
"""How well a person marks the centre of a joint under clothes, one sigma across and down, cm (judged): two readings of
16 side views, a person's clicks and the landmarks, differ in tilt by some 4°, two sigmas, over a trunk of 50 cm."""
_STATURE_CM: Final = 172.0
"""Stature of an average person, cm (ANSUR II, mean of both sexes, rounded): it turns the sigma of a click into a share
of the body's size."""
_SIZE_SHARE: Final[dict[View, float]] = {"down_the_line": 0.78, "face_on": 0.49}
"""The body's size, as in `body_size_px`, as a share of stature (Drillis and Contini 1966: ankle to acromion, and hip to
ankle)."""
_NEAR_S: Final = 0.05
"""A frame this close to the given time is the one that was meant, s: clips have 25 frames a second or more."""


def split_by_frame(
    placed: Sequence[PlacedLandmark], landmarks: Landmarks, *, still_index: int
) -> tuple[dict[tuple[str, int], Floats], tuple[PlacedLandmark, ...]]:
    """Find the frame of each placed landmark.

    Parameters
    ----------
    placed : sequence of PlacedLandmark
    landmarks : Landmarks
    still_index : int
        The frame of joints that were placed without a time.

    Returns
    -------
    dict of (str, int) to (2,)
        By landmark and frame, pixels; the last one where a landmark was placed twice in a frame.
    tuple of PlacedLandmark
        Landmarks placed in frames that do not exist.
    """
    found: dict[tuple[str, int], Floats] = {}
    lost = []
    for each in placed:
        frame = still_index
        if each.time_s is not None:
            frame = int(np.argmin(np.abs(landmarks.times_s - each.time_s)))
            if abs(float(landmarks.times_s[frame]) - each.time_s) > _NEAR_S:
                lost.append(each)
                continue
        found.pop((each.landmark, frame), None)
        found[each.landmark, frame] = np.array(each.point_px, dtype=np.float64)
    return found, tuple(lost)


def place_in_landmarks(landmarks: Landmarks, by_frame: dict[tuple[str, int], Floats]) -> Landmarks:
    """Return the landmarks with those placed by hand moved in every frame, and marked as visible.

    Parameters
    ----------
    landmarks : Landmarks
    by_frame : dict of (str, int) to (2,)
        As `split_by_frame` returns it.
    """
    points, visibility = landmarks.points_px.copy(), landmarks.visibility.copy()
    for name in dict.fromkeys(name for name, _ in by_frame):
        column = LANDMARK_INDEX[name]
        frames = [frame for each, frame in by_frame if each == name]
        for frame, setup in enumerate(landmarks.setup_index):
            same = [each for each in frames if landmarks.setup_index[each] == setup]
            near = min(same or frames, key=lambda each: abs(each - frame))
            if same:
                points[frame, column] = by_frame[name, near] + _carried(landmarks, near, frame, by_frame)
            else:
                points[frame, column] += _moved(landmarks, near, column, by_frame[name, near])
        visibility[:, column] = 1.0
    return evolve(landmarks, points_px=points, visibility=visibility)


def place_joints(joints: Joints, by_frame: dict[tuple[str, int], Floats]) -> Joints:
    """Return the joints with those placed by hand; the landmark error model does not move them.

    Parameters
    ----------
    joints : Joints
        As `fit_joints` returns them.
    by_frame : dict of (str, int) to (2,)
        As `split_by_frame` returns it.

    Returns
    -------
    Joints
        For each placed joint all error patterns are 0. Two patterns are added for it: a click across and a click down.
    """
    if not by_frame:
        return joints
    columns = np.array([LANDMARK_INDEX[name] for name in dict.fromkeys(name for name, _ in by_frame)])
    errors, offsets = joints.errors_px.copy(), joints.offsets_px.copy()
    errors[:, columns] = 0.0
    offsets[:, columns] = 0.0
    clicks = np.zeros((2 * len(columns), *errors.shape[1:]))
    for number, column in enumerate(columns):
        for axis in (0, 1):
            clicks[2 * number + axis, column, axis] = _click_sd_px(joints.landmarks)
    return evolve(
        joints,
        landmarks=place_in_landmarks(joints.landmarks, by_frame),
        errors_px=np.concatenate([errors, clicks]),
        offsets_px=offsets,
    )


def _click_sd_px(landmarks: Landmarks) -> float:
    share = CLICK_SD_CM / (_STATURE_CM * _SIZE_SHARE[landmarks.view])
    return share * float(np.nanmedian(body_size_px(landmarks)))


def _carried(landmarks: Landmarks, start: int, end: int, by_frame: dict[tuple[str, int], Floats]) -> Floats:
    """Return how far the body moved in the picture between two frames, (2,) px, by all other landmarks."""
    return median_shift(landmarks, start, end, without={name for name, _ in by_frame})


def _moved(landmarks: Landmarks, frame: int, column: int, point_px: Floats) -> Floats:
    """Return how far a landmark was moved by hand from its median in its setup, (2,) px; NaN where unseen."""
    frames: NDArray[np.bool_] = landmarks.setup_index == landmarks.setup_index[frame]
    own = landmarks.points_px[frames, column]
    seen = own[np.isfinite(own).all(axis=1)]
    return point_px - np.median(seen, axis=0) if len(seen) else np.full(2, np.nan)
