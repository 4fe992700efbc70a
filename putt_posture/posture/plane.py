"""The golfer's plane of one view: landmarks in centimetres, true vertical, feet on the ground.

Axes of a plane: ``along`` is y (toward the ball) down the line and x (toward the target) face on; ``up`` is z;
``toward`` is the third axis, positive toward the camera. The origin is on the ground under the mid-point of
the ankles. Left and right are the student's own; lead and trail follow from which way the student putts. The axes are
those of ``putt_posture/measures/measures.md``.
"""

import math
from collections.abc import Callable, Mapping
from typing import Final, Literal, TypeVar

import numpy as np
from attrs import evolve, field, frozen
from numpy.typing import NDArray

from putt_posture.values import (
    HAND_POINTS,
    LANDMARK_INDEX,
    LANDMARK_NAMES,
    Floats,
    Point,
    Scene,
    Side,
    ViewResult,
    median_seen,
)

__all__ = ["PatternKind", "Plane", "near_side", "pair_frames", "place_in_plane"]

_Kept = TypeVar("_Kept", "Plane", Floats)

PatternKind = Literal["errors", "offsets", "both"]
"""Which independent one-sigma error patterns: `Plane.errors_px`, `Plane.offsets_px`, or those and then these."""

HANDS_APART_CM: Final = 18.0
"""Hand centres on one grip are about 8 cm apart (hand breadth, ANSUR II 2012); more than twice that is not one grip."""


def near_side(scene: Scene) -> Side:
    """Return the side nearer to a camera that looks along the target line.

    A student who faces the right edge of the picture shows the right side.

    Parameters
    ----------
    scene : Scene
    """
    return "right" if scene.forward == 1 else "left"


def pair_frames(own: int, others: int) -> NDArray[np.int64]:
    """Return which of a view's own frames belongs to each frame of another view, (others,).

    The n-th frames of both views belong together; if the views have different numbers of frames, they are spread
    evenly.

    Parameters
    ----------
    own : int
        Frames of the view.
    others : int
        Frames of the other view.

    Examples
    --------
    >>> pair_frames(5, 5).tolist(), pair_frames(2, 4).tolist()
    ([0, 1, 2, 3, 4], [0, 0, 1, 1])
    """
    return np.arange(others) * own // max(others, 1)


@frozen(kw_only=True, eq=False)
class Plane:
    """Landmarks of T frames in the golfer's plane.

    Attributes
    ----------
    points_px : (T, 33, 2)
        Joint centres, pixels, v down; NaN where unseen.
    seen_px : (T, 33, 2)
        Landmarks as the model gave them; see `as_seen`.
    anchor_px : (2,)
        The origin in the picture.
    centre_px : (2,)
        The picture's centre, toward which near things are moved for perspective.
    px_per_cm, roll_deg, forward, distance_cm
        As in `Scene`.
    errors_px : (C, 33, 2)
        Independent patterns of the remaining errors of the joints, one sigma each, pixels.
    offsets_px : (C, 33, 2)
        Patterns of the mean errors on renders, which people may not have.
    yaw_deg : float
        How far the camera stands off square; see `Scene`.
    toward_cm : (33,)
        Assumed depth of each landmark: how much nearer to the camera than the mid-plane, cm.
    setup_index : (T,)
        Which setup each frame belongs to.
    """

    points_px: Floats = field(repr=False)
    seen_px: Floats = field(repr=False)
    anchor_px: Floats
    centre_px: Floats
    px_per_cm: float
    roll_deg: float
    forward: Literal[-1, 1]
    distance_cm: float
    toward_cm: Floats = field(repr=False)
    setup_index: NDArray[np.int64] = field(repr=False)
    errors_px: Floats = field(repr=False)
    offsets_px: Floats = field(repr=False)
    yaw_deg: float = 0.0
    _points_cm: dict[object, Floats] = field(factory=dict, init=False, repr=False)
    _planes: dict[object, "Plane"] = field(factory=dict, init=False, repr=False)

    def at(self, name: str) -> Floats:
        """Return one landmark, (T, 2): along and up in cm; NaN where unseen.

        Parameters
        ----------
        name : str
            One of `LANDMARK_NAMES`.
        """
        index = LANDMARK_INDEX[name]
        return _keep(
            self._points_cm,
            name,
            lambda: _locked(self.to_cm(self.points_px[:, index], toward_cm=float(self.toward_cm[index]))),
        )

    def middle(self, part: str) -> Floats:
        """Return the mid-point of the left and right of a part, (T, 2) cm.

        Parameters
        ----------
        part : str
            A name without its side, such as ``"hip"``.
        """
        return (self.at(f"left_{part}") + self.at(f"right_{part}")) / 2

    def hands(self) -> Floats:
        """Return the hand centre, (T, 2) cm: mean over both hands of wrist, index and little-finger knuckle.

        Both hands hold one grip. Where they are seen too far apart for that, the far hand is wrong, and down the line
        the near hand is used for both.
        """
        return _keep(self._points_cm, "", lambda: _locked(self._hands()))

    def _hands(self) -> Floats:
        near, far = (self._hand(side) for side in (("right", "left") if self.forward == 1 else ("left", "right")))
        apart = np.linalg.norm(near - far, axis=1, keepdims=True)
        return np.where(apart > HANDS_APART_CM, near, (near + far) / 2)

    def _hand(self, side: Side) -> Floats:
        return np.asarray(np.mean([self.at(f"{side}_{joint}") for joint in HAND_POINTS], axis=0))

    def to_cm(self, points_px: Floats, *, toward_cm: float | Floats = 0.0) -> Floats:
        """Turn pixels (…, 2) into along and up (…, 2), cm.

        Parameters
        ----------
        points_px : (…, 2)
        toward_cm : float or (…,)
            How much nearer to the camera than the mid-plane the points are; a thing that is nearer by d at distance D
            looks larger by d / D, and is scaled down around the picture's centre.
        """
        toward = np.asarray(toward_cm, dtype=np.float64)
        yaw = math.radians(self.yaw_deg)
        nearer = toward * math.cos(yaw)
        if self.yaw_deg:
            first = self._across(points_px, nearer_cm=nearer)[0]
            nearer = nearer + math.sin(yaw) * (first + toward * math.sin(yaw)) / math.cos(yaw)
        across, up = self._across(points_px, nearer_cm=nearer)
        return np.stack([(across + toward * math.sin(yaw)) / math.cos(yaw), up], axis=-1)

    def _across(self, points_px: Floats, *, nearer_cm: Floats) -> tuple[Floats, Floats]:
        """Return the distances of points from the camera's axis, across and up, each (…,) cm."""
        share = np.asarray(1 - nearer_cm / self.distance_cm)
        (u, v), (centre_u, centre_v), (anchor_u, anchor_v) = (
            (at[..., 0], at[..., 1]) for at in (points_px, self.centre_px, self.anchor_px)
        )
        du = centre_u + (u - centre_u) * share - anchor_u
        dv = centre_v + (v - centre_v) * share - anchor_v
        roll = math.radians(self.roll_deg)
        right = du * math.cos(roll) + dv * math.sin(roll)
        up = du * math.sin(roll) - dv * math.cos(roll)
        return self.forward * right / self.px_per_cm, up / self.px_per_cm

    def to_px(self, point_cm: Floats, *, toward_cm: float = 0.0) -> Point:
        """Project along and up (2,), cm, to a picture point, pixels; the inverse of `to_cm`.

        Parameters
        ----------
        point_cm : (2,)
            Along and up, cm.
        toward_cm : float
            How much nearer to the camera than the mid-plane, cm.
        """
        yaw = math.radians(self.yaw_deg)
        across = float(point_cm[0]) * math.cos(yaw) - toward_cm * math.sin(yaw)
        nearer = float(point_cm[0]) * math.sin(yaw) + toward_cm * math.cos(yaw)
        right, up = self.forward * across * self.px_per_cm, float(point_cm[1]) * self.px_per_cm
        roll = math.radians(self.roll_deg)
        du = right * math.cos(roll) + up * math.sin(roll)
        dv = right * math.sin(roll) - up * math.cos(roll)
        drawn_in = self.anchor_px + np.array([du, dv])
        seen = self.centre_px + (drawn_in - self.centre_px) / (1 - nearer / self.distance_cm)
        return float(seen[0]), float(seen[1])

    def as_seen(self) -> "Plane":
        """Return the same plane with the landmarks as the model gave them."""
        return _keep(self._planes, "as seen", lambda: evolve(self, points_px=self.seen_px))

    def patterns_px(self, kind: PatternKind) -> Floats:
        """Return the error patterns of a kind, (C, 33, 2) px.

        Parameters
        ----------
        kind : PatternKind
        """
        if kind == "both":
            return np.concatenate([self.errors_px, self.offsets_px])
        return self.errors_px if kind == "errors" else self.offsets_px

    def misplaced_both_ways(self, kind: PatternKind) -> "Plane":
        """Return `misplaced` by each error pattern of a kind, then by the opposite of each.

        Parameters
        ----------
        kind : PatternKind

        Returns
        -------
        Plane
            Of 2 · C · T frames.
        """
        moved = self.patterns_px(kind)
        return _keep(self._planes, kind, lambda: self.misplaced(np.concatenate([moved, -moved])))

    def misplaced(self, errors_px: Floats) -> "Plane":
        """Return the frames of the plane repeated with each of several errors, for the uncertainty.

        Parameters
        ----------
        errors_px : (N, 33, 2)
            How far every joint is moved in all frames, pixels.

        Returns
        -------
        Plane
            Of N · T frames: all frames with the first error, then all with the second, and so on.
        """
        points = self.points_px + errors_px[:, None]
        return evolve(
            self,
            points_px=points.reshape(-1, *self.points_px.shape[1:]),
            seen_px=np.tile(self.seen_px, (len(errors_px), 1, 1)),
            setup_index=np.tile(self.setup_index, len(errors_px)),
        )

    def beside(self, other: "Plane") -> "Plane":
        """Return the plane with the frames that belong to those of another view: the same number, in the same order.

        The two views show the same setups, each in its own frames; see `pair_frames`.

        Parameters
        ----------
        other : Plane
            Of the other view.
        """
        frames = len(other.points_px)
        pairs = pair_frames(len(self.points_px), frames)
        return _keep(
            self._planes,
            ("beside", frames),
            lambda: evolve(
                self,
                points_px=self.points_px[pairs],
                seen_px=self.seen_px[pairs],
                setup_index=self.setup_index[pairs],
            ),
        )

    def shifted(
        self, *, roll_deg: float = 0.0, scale: float = 0.0, ground_px: float = 0.0, yaw_deg: float = 0.0
    ) -> "Plane":
        """Return the same plane with its camera or scale a little different, for the uncertainty.

        Parameters
        ----------
        roll_deg : float
            Added to the camera's roll, deg.
        scale : float
            Relative change of the pixels per centimetre.
        ground_px : float
            Added to the v of the ground, px.
        yaw_deg : float
            Added to the camera's yaw, deg.
        """
        return _keep(
            self._planes,
            (roll_deg, scale, ground_px, yaw_deg),
            lambda: evolve(
                self,
                roll_deg=self.roll_deg + roll_deg,
                px_per_cm=self.px_per_cm * (1 + scale),
                anchor_px=self.anchor_px + np.array([0.0, ground_px]),
                yaw_deg=self.yaw_deg + yaw_deg,
            ),
        )


def _keep(kept: dict[object, _Kept], what: object, find: Callable[[], _Kept]) -> _Kept:
    """Return what is kept under a name; find it first where it is not there: many measures ask a plane for the same."""
    if what not in kept:
        kept[what] = find()
    return kept[what]


def _locked(found: Floats) -> Floats:
    found.flags.writeable = False
    return found


def place_in_plane(result: ViewResult, *, toward_cm: Mapping[str, float]) -> Plane:
    """Place the joints of one view in the golfer's plane.

    Parameters
    ----------
    result : ViewResult
        The scale of its scene must be present.
    toward_cm : mapping of landmark name to float
        Depth toward the camera, cm; 0 for names left out.

    Returns
    -------
    Plane
    """
    joints, scene = result.joints, result.scene
    ankles = joints.middle("ankle")
    under = scene.ground_v_px.value - ankles[:, 1]
    middle_u = median_seen(ankles[:, 0] - under * math.tan(math.radians(scene.roll.value)))
    anchor_u = middle_u if math.isfinite(middle_u) else joints.size_px[0] / 2
    depth = np.array([toward_cm.get(name, 0.0) for name in LANDMARK_NAMES])
    return Plane(
        points_px=joints.points_px,
        seen_px=result.landmarks.points_px,
        anchor_px=np.array([anchor_u, scene.ground_v_px.value]),
        centre_px=np.array(joints.size_px, dtype=np.float64) / 2,
        px_per_cm=scene.px_per_cm.value,
        roll_deg=scene.roll.value,
        forward=scene.forward,
        distance_cm=scene.distance_cm.value,
        toward_cm=depth,
        setup_index=joints.setup_index,
        errors_px=result.joint_errors_px,
        offsets_px=result.joint_offsets_px,
        yaw_deg=scene.yaw.value,
    )
