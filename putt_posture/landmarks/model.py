"""The only access to the pose models (MediaPipe's landmarker, image mode).

A picture is (H, W, 3) uint8 RGB and upright. MediaPipe is loaded only in a process of its own, see `model_process`:
what it prints stays there, and it cannot open the network.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

import numpy as np

from putt_posture.errors import InstallationError
from putt_posture.landmarks.model_process import ModelProcess, lend_process
from putt_posture.landmarks.model_worker import Message
from putt_posture.landmarks.person import Person
from putt_posture.landmarks.weights import ModelSize, Weights, load_weights
from putt_posture.values import LANDMARK_NAMES, Picture

__all__ = ["LEAST_CONFIDENCE", "PoseModel", "open_pose_model"]

LEAST_CONFIDENCE: Final = 0.5
"""Least detection and presence score; the landmarker's own default."""

_NOT_LOADED: Final = frozenset({"ImportError", "ModuleNotFoundError", "OSError"})


class PoseModel:
    """An open pose model; get one from `open_pose_model`.

    Parameters
    ----------
    process : ModelProcess
        Where the model is loaded.
    key : str
        Its name in that process.
    weights : Weights

    Attributes
    ----------
    weights : Weights
    """

    def __init__(self, process: ModelProcess, key: str, *, weights: Weights) -> None:
        self.weights = weights
        self._process = process
        self._key = key

    def find_people(self, picture: Picture) -> list[Person]:
        """Find the people in one picture, the highest score first.

        Parameters
        ----------
        picture : (H, W, 3) uint8
            RGB, upright.

        Returns
        -------
        list of Person
            In the pixels of this picture; empty where no one was found.

        Raises
        ------
        ProcessStopped
            The model's process ended in the middle of it.
        InstallationError
            The model's answer is not as expected.
        """
        answer, (table, *masks) = self._process.ask({"do": "find", "key": self._key}, picture)
        if "error" in answer:
            raise InstallationError(
                f"The pose model refused a picture ({_first_line(answer)}). "
                "Run putt-posture doctor to see what is wrong."
            )
        height, width = picture.shape[:2]
        if len(table) and table.shape[1] != len(LANDMARK_NAMES):
            raise InstallationError(
                f"The pose model gave {table.shape[1]} landmarks a person; {len(LANDMARK_NAMES)} were needed. "
                "Install the version of mediapipe that putt_posture asks for."
            )
        return [
            # MediaPipe scales depth by the width of the picture, like x.
            Person(
                points_px=marks[:, :2] * (width, height),
                visibility=marks[:, 3],
                depth=marks[:, 2] * width,
                mask=masks[index] if masks else None,
            )
            for index, marks in enumerate(table)
        ]


@contextmanager
def open_pose_model(
    size: ModelSize = "small", *, people: int = 3, outline: bool = False, follows: bool = False
) -> Iterator[PoseModel]:
    """Open a pose model for as long as the block lasts.

    Parameters
    ----------
    size : {"small", "large"}
        The small one is for tracking, the large one for measuring.
    people : int
        The most people to find in one picture. With one, the model may return the coach and not the student.
    outline : bool
        Whether each person comes with a mask of the whole picture.
    follows : bool
        Whether the pictures follow each other, so that a person is searched for near the last place.

    Yields
    ------
    PoseModel

    Raises
    ------
    InstallationError
        The weights or MediaPipe are missing, altered or do not fit each other.
    ProcessStopped
        The model's process ended while it loaded.
    """
    weights = load_weights(size)
    key = f"{weights.sha256} {people} {outline} {follows}"
    with lend_process() as process:
        if key not in process.keys:
            _open(process, key, weights=weights, people=people, outline=outline, follows=follows)
        yield PoseModel(process, key, weights=weights)


def _open(process: ModelProcess, key: str, *, weights: Weights, people: int, outline: bool, follows: bool) -> None:
    request = {
        "do": "open", "key": key, "people": people, "outline": outline, "follows": follows,
        "confidence": LEAST_CONFIDENCE,
    }  # fmt: skip
    answer, _ = process.ask(request, np.frombuffer(weights.data, dtype=np.uint8))
    if answer.get("error") in _NOT_LOADED:
        raise InstallationError(
            f"The library mediapipe cannot be loaded ({_first_line(answer)}). "
            "Install putt_posture again with its dependencies."
        )
    if "error" in answer:
        raise InstallationError(
            f"mediapipe refused the pose model {weights.name} ({_first_line(answer)}). "
            "Install the version of mediapipe that putt_posture asks for."
        )
    process.keys.add(key)


def _first_line(answer: Message) -> str:
    return next(iter(str(answer["says"]).splitlines()), str(answer["error"]))
