"""The one door to MediaPipe's pose landmarker (Tasks API, image mode).

A picture is (H, W, 3) uint8 RGB and upright. MediaPipe is imported only when a model is opened, since that takes
longer than everything else the program does before it reads a clip.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, Final

import numpy as np

from putt_posture.errors import InstallationError
from putt_posture.landmarks.person import Person
from putt_posture.landmarks.quiet import quiet_stderr
from putt_posture.landmarks.weights import ModelSize, Weights, load_weights
from putt_posture.values import LANDMARK_NAMES, Picture

__all__ = ["LEAST_CONFIDENCE", "PoseModel", "open_pose_model"]

LEAST_CONFIDENCE: Final = 0.5
"""Least detection and presence score; the landmarker's own default."""


class PoseModel:
    """An open pose model; get one from `open_pose_model`.

    Attributes
    ----------
    weights : Weights
        What it runs on.
    """

    def __init__(self, landmarker: Any, *, weights: Weights, outline: bool) -> None:
        self.weights = weights
        self._landmarker = landmarker
        self._outline = outline

    def find_people(self, picture: Picture) -> list[Person]:
        """Find the people in one picture, the surest first.

        Parameters
        ----------
        picture : (H, W, 3) uint8
            RGB, upright.

        Returns
        -------
        list of Person
            In the pixels of this picture; empty where nobody was found.
        """
        import mediapipe

        with quiet_stderr():
            image = mediapipe.Image(image_format=mediapipe.ImageFormat.SRGB, data=np.ascontiguousarray(picture))
            found = self._landmarker.detect(image)
        height, width = picture.shape[:2]
        people = []
        for index, marks in enumerate(found.pose_landmarks):
            table = np.array([(mark.x, mark.y, mark.z, mark.visibility) for mark in marks], dtype=float)
            if table.shape != (len(LANDMARK_NAMES), 4):
                raise InstallationError(
                    f"The pose model gave {len(table)} landmarks a person; {len(LANDMARK_NAMES)} were needed. "
                    "Install the version of mediapipe that putt_posture asks for."
                )
            mask = None
            if self._outline and found.segmentation_masks:
                view = found.segmentation_masks[index].numpy_view()
                mask = np.rint(view.reshape(height, width) * 255).astype(np.uint8)
            people.append(
                # MediaPipe scales depth by the width of the picture, like x.
                Person(
                    points_px=table[:, :2] * (width, height),
                    visibility=table[:, 3],
                    depth=table[:, 2] * width,
                    mask=mask,
                )
            )
        return people


@contextmanager
def open_pose_model(size: ModelSize = "small", *, people: int = 3, outline: bool = False) -> Iterator[PoseModel]:
    """Open a pose model for as long as the block lasts.

    Parameters
    ----------
    size : {"small", "large"}
        The small one is for following, the large one for measuring.
    people : int
        The most people to look for in one picture. With one, the model may return the coach and not the student.
    outline : bool
        Whether each person comes with a mask of the whole picture.

    Yields
    ------
    PoseModel

    Raises
    ------
    InstallationError
        The weights or MediaPipe are missing, altered or do not fit each other.
    """
    weights = load_weights(size)
    try:
        from mediapipe.tasks.python import BaseOptions, vision
    except ImportError as error:
        raise InstallationError(
            f"The library mediapipe cannot be loaded ({error}). Install putt_posture again with its dependencies."
        ) from None
    options = vision.PoseLandmarkerOptions(
        base_options=BaseOptions(model_asset_buffer=weights.data),
        running_mode=vision.RunningMode.IMAGE,
        num_poses=people,
        min_pose_detection_confidence=LEAST_CONFIDENCE,
        min_pose_presence_confidence=LEAST_CONFIDENCE,
        output_segmentation_masks=outline,
    )
    try:
        with quiet_stderr():
            landmarker = vision.PoseLandmarker.create_from_options(options)
    except (RuntimeError, ValueError) as error:
        reason = str(error).strip().splitlines()[0] if str(error).strip() else type(error).__name__
        raise InstallationError(
            f"mediapipe refused the pose model {weights.name} ({reason}). "
            "Install the version of mediapipe that putt_posture asks for."
        ) from None
    try:
        yield PoseModel(landmarker, weights=weights, outline=outline)
    finally:
        with quiet_stderr():
            landmarker.close()
