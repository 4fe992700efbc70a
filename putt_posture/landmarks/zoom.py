"""The part of a clip to enlarge where people are small, since the pose model misses or guesses them.

Boxes are u0, v0, u1, v1 in pixels of the full-size picture.
"""

from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np

from putt_posture.clips import read_frames_at
from putt_posture.landmarks.crops import Box, find_people_in_box, pad_box
from putt_posture.landmarks.model import PoseModel
from putt_posture.landmarks.person import Person
from putt_posture.values import Clip

__all__ = ["find_window", "is_small", "tiles"]

SMALL: Final = 0.3
"""A person shorter than this share of the longer side of the picture is enlarged."""

SEARCHES: Final = 5
"""Number of frames, evenly spread, that are searched in tiles where no one was found in the whole picture."""

LEAST_TILE_PX: Final = 800
"""Side of the smallest tile, pixels: four times the height of the smallest student that can be measured."""

ROOM_TO_MOVE: Final = 0.6
"""Padding around the people found, as a share of the longer side of the box around them."""


def is_small(people: Sequence[Person], *, size_px: tuple[int, int]) -> bool:
    """Return whether the people in a clip are so small, or so rarely found, that it must be enlarged.

    Parameters
    ----------
    people : sequence of Person
        All detections of a clip, in pixels of the full-size picture.
    size_px : (int, int)
    """
    if not people:
        return True
    heights = [person.box[3] - person.box[1] for person in people]
    return float(np.percentile(heights, 75)) < SMALL * max(size_px)


def find_window(model: PoseModel, clip: Clip, people: Sequence[Person]) -> Box | None:
    """Return the part of the picture to enlarge.

    Parameters
    ----------
    model : PoseModel
    clip : Clip
    people : sequence of Person
        All detections in the whole picture; where there are none, frames are searched in tiles.

    Returns
    -------
    Box or None
        None where no one was found.
    """
    size_px = (clip.width, clip.height)
    found = list(people) or _search(model, clip)
    if not found:
        return None
    boxes = np.array([person.box for person in found])
    around = np.concatenate([boxes[:, :2].min(axis=0), boxes[:, 2:].max(axis=0)])
    return pad_box(around, size_px=size_px, room=ROOM_TO_MOVE)


def tiles(size_px: tuple[int, int], side: int) -> Iterator[Box]:
    """Cut a picture into squares that overlap by half, row by row; no wider than the picture.

    Parameters
    ----------
    size_px : (int, int)
        Width and height.
    side : int
        Side of the squares, pixels.
    """
    for top in _starts(size_px[1], side):
        for left in _starts(size_px[0], side):
            yield left, top, min(left + side, size_px[0]), min(top + side, size_px[1])


def _starts(length: int, side: int) -> list[int]:
    if side >= length:
        return [0]
    steps = int(np.ceil((length - side) / (side / 2)))
    return [round(start) for start in np.linspace(0, length - side, steps + 1)]


def _search(model: PoseModel, clip: Clip) -> list[Person]:
    size_px = (clip.width, clip.height)
    halves = max(size_px) // 2
    sides = [halves, LEAST_TILE_PX] if halves > LEAST_TILE_PX else [halves]
    shares = (np.arange(SEARCHES) + 0.5) / SEARCHES
    for side in sides:
        found: list[Person] = []
        for time_s in shares[: 1 if clip.kind == "still" else SEARCHES] * clip.duration_s:
            picture = read_frames_at(clip, [float(time_s)])[0].picture
            found += [person for box in tiles(size_px, side) for person in find_people_in_box(model, picture, box)]
        if found:
            return found
    return []
