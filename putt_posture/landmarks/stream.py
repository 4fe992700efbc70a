"""The people in frames that come one after the other: from a clip, from a camera, or from anywhere else.

A source of frames is any iterable of `Frame` whose `time_s` is the true time of the picture and increases; gaps and
varying rates do no harm. A clip is one source (`iterate_frames` gives every frame of it, `read_samples` a few a
second), a live camera is another. A program with a loop of its own pushes one frame at a time.
"""

from collections.abc import Iterable, Iterator
from typing import Final

import cv2
import numpy as np

from putt_posture.landmarks.all_people import find_all_people
from putt_posture.landmarks.crops import Box
from putt_posture.landmarks.model import PoseModel
from putt_posture.landmarks.person import Person
from putt_posture.values import Frame, Picture

__all__ = ["LOOK_SIDE_PX", "PeopleStream"]

LOOK_SIDE_PX: Final = 512
"""Longer side of the pictures for the model, pixels; larger ones found no more people and cost the same."""

EVERYBODY_S: Final = 1.0
"""How often a single person is painted over to find out whether another is there, real seconds."""

COMPANY_S: Final = 1.0
"""For this long after two people were seen, all people are searched for in each frame, real seconds."""


class PeopleStream:
    """Search for the people in one frame after the other.

    Most frames take one run of the model. About once a second, and while several people are there, all people are
    searched for, which takes one more run for each person.

    Parameters
    ----------
    model : PoseModel
        Open for as long as frames come.
    time_stretch : float
        Seconds of the frames' times per real second, as `Clip.time_stretch`; 1 for a camera.
    window : (u0, v0, u1, v1), optional
        The part of the full-size picture to search, pixels; the frames must be of full size then.
    """

    def __init__(self, model: PoseModel, *, time_stretch: float = 1.0, window: Box | None = None) -> None:
        self._model = model
        self._stretch = time_stretch
        self._window = window
        self._checked_s = -np.inf
        self._company_s = -np.inf

    def push(self, frame: Frame) -> list[Person]:
        """Find the people in the next frame.

        Parameters
        ----------
        frame : Frame
            Later than the one before.

        Returns
        -------
        list of Person
            In pixels of the full-size upright picture.
        """
        now_s = frame.time_s / self._stretch
        alone = now_s - self._company_s > COMPANY_S
        picture, scale, corner = _part(frame, self._window)
        if alone and now_s - self._checked_s < EVERYBODY_S:
            people = self._model.find_people(picture)
        else:
            people, self._checked_s = find_all_people(self._model, picture), now_s
        if len(people) > 1:
            self._company_s = now_s
        return [person.moved(scale=1 / scale, shift=corner) for person in people]

    def watch(self, frames: Iterable[Frame]) -> Iterator[tuple[Frame, list[Person]]]:
        """Go through a source of frames and yield each with its people, as soon as it was searched.

        Parameters
        ----------
        frames : iterable of Frame
            Each later than the one before.
        """
        for frame in frames:
            yield frame, self.push(frame)


def _part(frame: Frame, window: Box | None) -> tuple[Picture, float, tuple[int, int]]:
    """Return the picture for the model, its pixels per full-size pixel, and its corner in the full-size picture."""
    if window is None:
        return frame.picture, frame.scale, (0, 0)
    u0, v0, u1, v1 = window
    picture = frame.picture[v0:v1, u0:u1]
    scale = min(LOOK_SIDE_PX / max(picture.shape[:2]), 1.0)
    if scale < 1:
        picture = cv2.resize(picture, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    return picture, scale, (u0, v0)
