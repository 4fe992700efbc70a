"""What the landmarks of one view say about how far each of them misses its joint.

The landmark model draws joints where an average person of that outline would have them. Where this body differs, its
landmarks differ together: a camera off square parts the near from the far hip and shoulder, a wrong shoulder makes the
trunk too short and the neck too steep. These signs are plain lengths and distances, in shares of the body's size, in
the golfer's own axes. The arms are no signs: how they hang is the grip's doing, and a rare grip is not to be moved to a
usual one. Nor is the sex: what it told was how the bones of two rendered bodies differ.
"""

from typing import Final

import numpy as np

from putt_posture.joints.axes import body_size_px, forward_of, level_points, side_words
from putt_posture.values import LANDMARK_INDEX, Floats, Handed, Landmarks, View

__all__ = ["JOINT_PARTS", "TRUNK_PARTS", "Body", "read_signs"]

JOINT_PARTS: Final = (
    "ankle", "knee", "hip", "shoulder", "ear", "eye", "elbow", "wrist", "pinky", "index", "heel", "foot_index",
)  # fmt: skip
"""Parts that are moved to their joints: heel and toe to the back and the front of the shoe, eye and ear to their
middles."""
TRUNK_PARTS: Final = ("hip", "shoulder", "ear", "eye", "elbow")
"""Parts whose misses turn with the trunk down the line; the others' are told by the vertical."""

_PAIRS: Final = ("ankle", "knee", "hip", "shoulder", "ear", "heel", "foot_index", "eye")
_LIMBS: Final = {"thigh": ("hip", "knee"), "shank": ("knee", "ankle")}
_FROM: Final = {"ear": "shoulder", "eye": "shoulder", "knee": "hip"}
_DEPTHS: Final = ("ankle", "knee", "hip", "shoulder", "ear")
_ABOVE_FEET: Final = ("hip", "shoulder", "ear", "eye", "knee")

DEPTH_SHARE: Final = 0.3
"""The model's depths scatter three times as much as its places do."""


class Body:
    """The landmarks of one view as forward and up, in the golfer's words for the sides.

    Attributes
    ----------
    view : View
    size_px : (T,)
        Size of the body.
    sides : (str, str)
        What the two sides are called: near and far, or lead and trail.
    """

    def __init__(self, landmarks: Landmarks, *, handed: Handed, roll_deg: float) -> None:
        self.view: View = landmarks.view
        self.size_px = body_size_px(landmarks)
        self.forward = forward_of(landmarks, handed=handed)
        self.names = {word: side for side, word in side_words(landmarks, handed=handed).items()}
        self.sides = ("near", "far") if self.view == "down_the_line" else ("lead", "trail")
        points = level_points(landmarks.points_px, roll_deg=roll_deg, forward=self.forward)
        self._points = points / self.size_px[:, None, None]
        self._depth = landmarks.depth / self.size_px[:, None]

    def index(self, side: str, part: str) -> int:
        """Return the row of a part of a side among the landmarks."""
        return LANDMARK_INDEX[f"{self.names[side]}_{part}"]

    def at(self, side: str, part: str) -> Floats:
        """Return a part of a side, (T, 2): forward and up, shares of the body's size."""
        return np.asarray(self._points[:, self.index(side, part)])

    def nose(self) -> Floats:
        """Return the tip of the nose, (T, 2)."""
        return np.asarray(self._points[:, LANDMARK_INDEX["nose"]])

    def middle(self, part: str) -> Floats:
        """Return the mid-point of a part, (T, 2)."""
        return (self.at(self.sides[0], part) + self.at(self.sides[1], part)) / 2

    def depth_apart(self, part: str) -> Floats:
        """Return how much farther away the model takes the first side of a part to be, (T,)."""
        first, second = (self.index(side, part) for side in self.sides)
        return np.asarray(self._depth[:, first] - self._depth[:, second])

    def axes(self, part: str) -> Floats:
        """Return the axes in which a part's miss is told, (T, 2, 2).

        Their rows are forward and up or, for parts of the trunk down the line, square to the trunk and along it.
        """
        if self.view == "face_on" or part not in TRUNK_PARTS:
            return np.tile(np.eye(2), (len(self.size_px), 1, 1))
        along = self.middle("shoulder") - self.middle("hip")
        along = along / np.linalg.norm(along, axis=1, keepdims=True)
        return np.stack([np.column_stack([along[:, 1], -along[:, 0]]), along], axis=1)


def read_signs(body: Body) -> dict[str, Floats]:
    """Read the signs in every frame.

    Parameters
    ----------
    body : Body

    Returns
    -------
    dict of str to (T,)
        Shares of the body's size; NaN where a landmark is unseen.
    """
    first, second = body.sides
    side_view = body.view == "down_the_line"
    signs: dict[str, Floats] = {}
    for name, (start, end) in _LIMBS.items():
        for side in (first,) if side_view else body.sides:
            signs[f"{name} {side}"] = np.linalg.norm(body.at(side, end) - body.at(side, start), axis=1)
    for part in _PAIRS:
        signs |= _two(f"{part} apart", body.axes(part), body.at(first, part) - body.at(second, part))
    if side_view:
        trunk = body.middle("shoulder") - body.middle("hip")
        signs["trunk"] = np.linalg.norm(trunk, axis=1)
        signs["tilt"] = 0.2 * trunk[:, 0] / signs["trunk"]
        for part, start in _FROM.items():
            signs |= _two(f"{part} from {start}", body.axes(part), body.at(first, part) - body.middle(start))
        return signs
    feet = body.middle("ankle")
    for part in _ABOVE_FEET:
        signs |= _two(f"{part} above the feet", body.axes(part), body.middle(part) - feet)
    for part in _DEPTHS:
        signs[f"{part} depth"] = DEPTH_SHARE * body.depth_apart(part)
    signs["nose from ears"] = (body.nose() - body.middle("ear"))[:, 0]
    return signs


def _two(name: str, axes: Floats, vectors: Floats) -> dict[str, Floats]:
    across, along = np.einsum("tij,tj->ti", axes, vectors).T
    return {f"{name}, across": across, f"{name}, along": along}
