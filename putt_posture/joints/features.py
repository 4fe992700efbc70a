"""Features of the landmarks of one view, from which their residuals are predicted.

The landmark model puts joints where an average person with that outline would have them. Where a body differs from the
average, its landmarks differ together: with a camera off square the near and the far hip and shoulder are apart, and a
wrong shoulder makes the trunk too short and the neck too steep. The features are lengths and distances as shares of the
body's size, in the golfer's own axes. The arms give no features: how they hang depends on the grip, and a rare grip
must not be moved toward a usual one. The sex is not a feature either: it only showed how two rendered bodies differ.
"""

from typing import Final

import numpy as np

from putt_posture.joints.axes import body_size_px, forward_of, level_points, side_words
from putt_posture.values import LANDMARK_INDEX, Floats, Handed, Landmarks, View

__all__ = ["JOINT_PARTS", "TRUNK_PARTS", "Body", "read_features"]

JOINT_PARTS: Final = (
    "ankle", "knee", "hip", "shoulder", "ear", "eye", "elbow", "wrist", "pinky", "index", "heel", "foot_index",
)  # fmt: skip
"""Parts that are corrected: heel and toe to the back and the front of the shoe, eye and ear to their centres."""
TRUNK_PARTS: Final = ("hip", "shoulder", "ear", "eye", "elbow")
"""Parts with residuals along and square to the trunk down the line; residuals of the others are up and forward."""

_PAIRS: Final = ("ankle", "knee", "hip", "shoulder", "ear", "heel", "foot_index", "eye")
_LIMBS: Final = {"thigh": ("hip", "knee"), "shank": ("knee", "ankle")}
_FROM: Final = {"ear": "shoulder", "eye": "shoulder", "knee": "hip"}
_DEPTHS: Final = ("ankle", "knee", "hip", "shoulder", "ear")
_ABOVE_FEET: Final = ("hip", "shoulder", "ear", "eye", "knee")

DEPTH_SHARE: Final = 0.3
"""Weight of the model's depths, which scatter three times as much as its points."""


class Body:
    """The landmarks of one view in the golfer's axes, forward and up, and with the golfer's names of the sides.

    Parameters
    ----------
    landmarks : Landmarks
    handed : Handed
    roll_deg : float
        Camera roll, + = content turned clockwise.

    Attributes
    ----------
    view : View
    size_px : (T,)
        Size of the body, px.
    forward : float
        +1 where forward is to the right of the picture, else −1.
    sides : (str, str)
        Names of the two sides: near and far down the line, lead and trail face on.
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
        """Return the index of a landmark.

        Parameters
        ----------
        side : str
            One of `sides`.
        part : str
            Such as ``"hip"``.
        """
        return LANDMARK_INDEX[f"{self.names[side]}_{part}"]

    def at(self, side: str, part: str) -> Floats:
        """Return a landmark, (T, 2): forward and up, shares of the body's size.

        Parameters
        ----------
        side : str
            One of `sides`.
        part : str
            Such as ``"hip"``.
        """
        return np.asarray(self._points[:, self.index(side, part)])

    def nose(self) -> Floats:
        """Return the tip of the nose, (T, 2), forward and up, shares of the body's size."""
        return np.asarray(self._points[:, LANDMARK_INDEX["nose"]])

    def middle(self, part: str) -> Floats:
        """Return the mid-point of both sides, (T, 2), forward and up, shares of the body's size.

        Parameters
        ----------
        part : str
            Such as ``"hip"``.
        """
        return (self.at(self.sides[0], part) + self.at(self.sides[1], part)) / 2

    def depth_apart(self, part: str) -> Floats:
        """Return how much farther from the camera the first of `sides` is, by the model, (T,), shares of the size.

        Parameters
        ----------
        part : str
            Such as ``"hip"``.
        """
        first, second = (self.index(side, part) for side in self.sides)
        return np.asarray(self._depth[:, first] - self._depth[:, second])

    def axes(self, part: str) -> Floats:
        """Return the axes of a part's residuals, (T, 2, 2), unit vectors as rows.

        They are forward and up or, for parts of the trunk down the line, square to the trunk and along it.

        Parameters
        ----------
        part : str
            Such as ``"hip"``.
        """
        if self.view == "face_on" or part not in TRUNK_PARTS:
            return np.tile(np.eye(2), (len(self.size_px), 1, 1))
        along = self.middle("shoulder") - self.middle("hip")
        along = along / np.linalg.norm(along, axis=1, keepdims=True)
        return np.stack([np.column_stack([along[:, 1], -along[:, 0]]), along], axis=1)


def read_features(body: Body) -> dict[str, Floats]:
    """Find the features in every frame.

    Parameters
    ----------
    body : Body

    Returns
    -------
    dict of str to (T,)
        Shares of the body's size; NaN where a landmark is not seen.
    """
    first, second = body.sides
    side_view = body.view == "down_the_line"
    features: dict[str, Floats] = {}
    for name, (start, end) in _LIMBS.items():
        for side in (first,) if side_view else body.sides:
            features[f"{name} {side}"] = np.linalg.norm(body.at(side, end) - body.at(side, start), axis=1)
    for part in _PAIRS:
        features |= _two(f"{part} apart", body.axes(part), body.at(first, part) - body.at(second, part))
    if side_view:
        trunk = body.middle("shoulder") - body.middle("hip")
        features["trunk"] = np.linalg.norm(trunk, axis=1)
        features["tilt"] = 0.2 * trunk[:, 0] / features["trunk"]
        for part, start in _FROM.items():
            features |= _two(f"{part} from {start}", body.axes(part), body.at(first, part) - body.middle(start))
        return features
    feet = body.middle("ankle")
    for part in _ABOVE_FEET:
        features |= _two(f"{part} above the feet", body.axes(part), body.middle(part) - feet)
    for part in _DEPTHS:
        features[f"{part} depth"] = DEPTH_SHARE * body.depth_apart(part)
    features["nose from ears"] = (body.nose() - body.middle("ear"))[:, 0]
    return features


def _two(name: str, axes: Floats, vectors: Floats) -> dict[str, Floats]:
    across, along = np.einsum("tij,tj->ti", axes, vectors).T
    return {f"{name}, across": across, f"{name}, along": along}
