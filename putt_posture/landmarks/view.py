"""From which side a clip was filmed, told from a few of its pictures.

This is quick and needs no student: some pictures of the clip, the small model, and the shoulders of whoever stands most
like a golfer at address. Whether the clip can be measured is found where it is measured.
"""

from typing import Final

import numpy as np

from putt_posture.clips import read_frames_at
from putt_posture.landmarks.model import open_pose_model
from putt_posture.landmarks.person import Person
from putt_posture.landmarks.stream import LOOK_SIDE_PX
from putt_posture.landmarks.student import address_likeness
from putt_posture.landmarks.suitability import read_view
from putt_posture.values import VIEWS, Clip, View

__all__ = ["find_view"]

_PICTURES: Final = 12
"""Spread evenly over the clip; a detection takes some 30 ms."""
_AT_ADDRESS: Final = 0.5
"""Share of the full likeness to a golfer at address from which a picture counts before others."""


def find_view(clip: Clip) -> View | None:
    """Find from which side a clip or still was filmed.

    Parameters
    ----------
    clip : Clip
        Its own view is not read.

    Returns
    -------
    View or None
        None where no one is seen, or somebody from neither side.

    Raises
    ------
    UnreadableClip
        Nothing in it can be decoded.
    """
    count = 1 if clip.kind == "still" else _PICTURES
    times = [clip.duration_s * (number + 0.5) / count for number in range(count)]
    found: list[tuple[float, Person]] = []
    with open_pose_model("small") as model:
        for frame in read_frames_at(clip, times, max_side=LOOK_SIDE_PX):
            people = [(_likeness(person), person) for person in model.find_people(frame.picture)]
            if people:
                found.append(max(people, key=lambda each: (each[0], each[1].torso_length)))
    if not found:
        return None
    addressed = [person for likeness, person in found if likeness >= _AT_ADDRESS]
    return read_view(np.stack([person.points_px for person in addressed or [person for _, person in found]]))


def _likeness(person: Person) -> float:
    return max(address_likeness(person, view=view) for view in VIEWS)
