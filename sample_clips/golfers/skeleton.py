"""The skeleton: from joint angles to bone motions, and from bone motions to skin.

A bone's motion is a rigid motion (rotation, shift) that takes its rest place to its posed place. Angles are radians,
turned about axes of the rest pose; the studio frame of `body` holds. Functions take a batch of angle rows, so that a
solver can ask for a whole Jacobian at once.
"""

from __future__ import annotations

import functools
from collections.abc import Callable

import attrs
import numpy as np

from .body import Array, Body

SPINE_SHARES = {"spine05": 0.05, "spine04": 0.10, "spine03": 0.25, "spine02": 0.35, "spine01": 0.25}
"""How a bend of the back is shared out: most of it in the rib cage."""

NECK_SHARES = {"neck01": 0.40, "neck02": 0.30, "neck03": 0.30}
FINGER_CURL = {"-1": 0.85, "-2": 0.95, "-3": 0.55}
"""Radians by which each finger joint closes on the grip."""
THUMB_TURN = {"-1": 0.55, "-2": 0.15, "-3": 0.10}

SIDES = ("L", "R")

NAMES: tuple[str, ...] = (
    "root.x", "root.y", "root.z", "root.pitch", "root.roll", "root.yaw",
    "spine.flex", "spine.side", "spine.twist",
    "neck.flex", "neck.side", "neck.twist", "head.nod",
    *(
        f"{joint}.{side}"
        for side in SIDES
        for joint in (
            "girdle.up", "girdle.forward", "arm.a", "arm.b", "arm.twist", "elbow",
            "forearm.twist", "wrist.flex", "wrist.side",
            "hip.flex", "hip.side", "hip.twist", "knee", "ankle.flex", "ankle.side",
        )
    ),
)  # fmt: skip
"""The angles of a pose, in order. Flexion is positive; `root.*` x, y, z are metres."""

GIRDLE_RANGE = {"girdle.up": (-0.17, 0.35), "girdle.forward": (-0.17, 0.35)}
"""How far a shoulder blade may go from rest, radians: 10 degrees down and back, 20 up and forward, less than people
can (judged). Without a limit one posture in four was reached with a blade that no person could set there."""

RANGE = tuple(
    np.array([GIRDLE_RANGE.get(name.removesuffix(".L").removesuffix(".R"), (-np.inf, np.inf))[end] for name in NAMES])
    for end in (0, 1)
)
"""The least and the greatest value of each angle of a pose."""

Get = Callable[[str], Array]

COLUMN = {name: i for i, name in enumerate(NAMES)}

X, Y, Z = np.eye(3)


@attrs.frozen(eq=False)
class Motion:
    """Rigid motions of bones for a batch of poses."""

    turn: dict[str, Array]
    """Bone to (N, 3, 3) rotation."""
    shift: dict[str, Array]
    """Bone to (N, 3) shift: a rest point p goes to turn @ p + shift."""

    def carry(self, bone: str, point: Array) -> Array:
        """Where rest point `point` (3,) goes with `bone`: (N, 3)."""
        return np.asarray(self.turn[bone] @ point + self.shift[bone])


class Skeleton:
    """Forward kinematics of one body."""

    def __init__(self, body: Body) -> None:
        self.body = body
        self._extra = {"crown": body.vertices[body.vertices[:, 2].argmax()]}
        self._arm = {side: self._unit(f"upperarm01.{side}", f"lowerarm01.{side}") for side in SIDES}
        self._fore = {side: self._unit(f"lowerarm01.{side}", f"wrist.{side}") for side in SIDES}
        self._hinge = {side: _normal(np.cross(self._arm[side], self._fore[side])) for side in SIDES}

        self.ear = (body.marks["left_ear"] + body.marks["right_ear"]) @ body.vertices / 2
        foot = body.vertices[body.skin_of("foot.L", "toe"), 1]
        ankle = self.joint("foot.L")[1]
        self.heel_behind = float(foot.max() - ankle)
        self.toe_ahead = float(ankle - foot.min())

    def joint(self, bone: str) -> Array:
        """Rest position (3,) of the joint that starts `bone`, or of the `crown`."""
        return np.asarray(self._extra.get(bone, self.body.heads[self.body.index.get(bone, 0)]))

    def swing_to(self, side: str, direction: Array) -> tuple[float, float]:
        """Find the angles `arm.a`, `arm.b` that turn the upper arm from rest to `direction` (3,)."""
        axis = self._arm[side]
        cross = np.cross(axis, _normal(direction))
        vector = _normal(cross) * np.arctan2(np.linalg.norm(cross), axis @ _normal(direction))
        first, second = _frame(axis)
        return float(vector @ first), float(vector @ second)

    def palm_normal(self, side: str) -> Array:
        """Find the unit normal (3,) out of the palm at rest."""
        across = self.joint(f"finger2-1.{side}") - self.joint(f"finger5-1.{side}")
        along = 0.5 * (self.joint(f"finger2-1.{side}") + self.joint(f"finger5-1.{side}")) - self.joint(f"wrist.{side}")
        normal = _normal(np.cross(along, across))
        # the little finger's natural curl bends toward the palm
        tip = self.body.tails[self.body.index[f"finger3-3.{side}"]] - self.joint(f"finger3-1.{side}")
        return normal if tip @ normal > 0 else -normal

    def pose(self, angles: Array, *, fully: bool = False) -> Motion:
        """Bone motions of a batch.

        Parameters
        ----------
        angles : (N, len(NAMES)) rows of angles.
        fully : move every bone, fingers and face too; otherwise only those that a solver needs.
        """
        angles = np.atleast_2d(angles)
        local = self._local_turns(angles, fully=fully)
        turn: dict[str, Array] = {}
        shift: dict[str, Array] = {}
        bones = self.body.bones
        wanted = frozenset(bones) if fully else _solved(bones, tuple(self.body.parents.tolist()))
        for i, name in enumerate(bones):
            if name not in wanted:
                continue
            rotation = local.get(name)
            head = self.body.heads[i]
            if name == "root":
                assert rotation is not None
                turn[name] = rotation
                shift[name] = head + angles[:, :3] - rotation @ head
                continue
            parent = self.body.bones[self.body.parents[i]]
            if rotation is None:
                turn[name], shift[name] = turn[parent], shift[parent]
                continue
            turn[name] = turn[parent] @ rotation
            shift[name] = (turn[parent] @ head + shift[parent]) - turn[name] @ head
        return Motion(turn=turn, shift=shift)

    def _unit(self, start: str, end: str) -> Array:
        return _normal(self.joint(end) - self.joint(start))

    def _local_turns(self, angles: Array, *, fully: bool) -> dict[str, Array]:
        def get(name: str) -> Array:
            return np.asarray(angles[:, COLUMN[name]])

        turns: dict[str, Array] = {
            # the body faces -y: leaning forward turns z toward -y, about +x
            "root": about(Z, get("root.yaw")) @ about(Y, get("root.roll")) @ about(X, get("root.pitch")),
            "head": about(X, get("head.nod")),
        }
        for bone, share in SPINE_SHARES.items():
            turns[bone] = (
                about(X, share * get("spine.flex"))
                @ about(Y, share * get("spine.side"))
                @ about(Z, share * get("spine.twist"))
            )
        for bone, share in NECK_SHARES.items():
            turns[bone] = (
                about(X, share * get("neck.flex"))
                @ about(Y, share * get("neck.side"))
                @ about(Z, share * get("neck.twist"))
            )
        for side in SIDES:
            sign = 1.0 if side == "L" else -1.0
            turns |= self._arm_turns(get, side, sign)
            turns |= _leg_turns(get, side, sign)
            if fully:
                turns |= self._finger_turns(side, len(angles))
        return turns

    def _arm_turns(self, get: Get, side: str, sign: float) -> dict[str, Array]:
        up, forward = get(f"girdle.up.{side}"), get(f"girdle.forward.{side}")
        girdle = [about(Y, -sign * 0.5 * up) @ about(Z, -sign * 0.5 * forward) for _ in range(2)]
        axis, hinge, fore = self._arm[side], self._hinge[side], self._fore[side]
        swing_a, swing_b = _frame(axis)
        twist = get(f"arm.twist.{side}")
        spin = get(f"forearm.twist.{side}")
        swing = swing_a * get(f"arm.a.{side}")[:, None] + swing_b * get(f"arm.b.{side}")[:, None]
        across = _normal(np.cross(fore, self.palm_normal(side)))
        return {
            f"clavicle.{side}": girdle[0],
            f"shoulder01.{side}": girdle[1],
            f"upperarm01.{side}": by_vector(swing) @ about(axis, 0.4 * twist),
            f"upperarm02.{side}": about(axis, 0.6 * twist),
            f"lowerarm01.{side}": about(hinge, get(f"elbow.{side}")) @ about(fore, 0.25 * spin),
            f"lowerarm02.{side}": about(fore, 0.5 * spin),
            f"wrist.{side}": about(fore, 0.25 * spin)
            @ about(across, get(f"wrist.flex.{side}"))
            @ about(self.palm_normal(side), get(f"wrist.side.{side}")),
        }

    def _finger_turns(self, side: str, count: int) -> dict[str, Array]:
        turns = {}
        across = _normal(self.joint(f"finger2-1.{side}") - self.joint(f"finger5-1.{side}"))
        along = self.joint(f"finger3-2.{side}") - self.joint(f"finger3-1.{side}")
        axis = across if np.cross(across, along) @ self.palm_normal(side) > 0 else -across
        for finger in range(2, 6):
            for part, curl in FINGER_CURL.items():
                turns[f"finger{finger}{part}.{side}"] = about(axis, np.full(count, curl))
        # the thumb lies down along the grip: turned in the palm's plane toward the knuckles
        normal = self.palm_normal(side)
        thumb = self.joint(f"finger1-3.{side}") - self.joint(f"finger1-1.{side}")
        toward = (
            normal
            if np.cross(normal, thumb) @ (self.joint(f"finger2-1.{side}") - self.joint(f"finger1-1.{side}")) > 0
            else -normal
        )
        for part, angle in THUMB_TURN.items():
            turns[f"finger1{part}.{side}"] = about(toward, np.full(count, angle))
        return turns


def skin(body: Body, motion: Motion, *, row: int = 0) -> Array:
    """Posed skin (V, 3) by linear blending of the bone motions of pose `row`."""
    turn = np.stack([motion.turn[b][row] for b in body.bones])
    shift = np.stack([motion.shift[b][row] for b in body.bones])
    blend = np.asarray(body.weights @ np.concatenate([turn.reshape(-1, 9), shift], axis=1))
    return np.einsum("vij,vj->vi", blend[:, :9].reshape(-1, 3, 3), body.vertices) + blend[:, 9:]


def about(axis: Array, angle: Array) -> Array:
    """Rotations (N, 3, 3) by `angle` (N,) about one unit axis (3,)."""
    k = np.array([[0.0, -axis[2], axis[1]], [axis[2], 0.0, -axis[0]], [-axis[1], axis[0], 0.0]])
    angle = np.asarray(angle, dtype=float)[:, None, None]
    return np.asarray(np.eye(3) + np.sin(angle) * k + (1.0 - np.cos(angle)) * (k @ k))


def by_vector(vectors: Array) -> Array:
    """Rotations (N, 3, 3) by rotation vectors (N, 3)."""
    angle = np.linalg.norm(vectors, axis=1)
    axis = vectors / np.maximum(angle, 1e-12)[:, None]
    k = np.zeros((len(vectors), 3, 3))
    k[:, 0, 1], k[:, 0, 2], k[:, 1, 2] = -axis[:, 2], axis[:, 1], -axis[:, 0]
    k -= np.transpose(k, (0, 2, 1))
    angle = angle[:, None, None]
    return np.asarray(np.eye(3) + np.sin(angle) * k + (1.0 - np.cos(angle)) * (k @ k))


def _leg_turns(get: Get, side: str, sign: float) -> dict[str, Array]:
    return {
        # flexion brings the knee forward (-y): turns -z toward -y, about -x
        f"upperleg01.{side}": about(X, -get(f"hip.flex.{side}"))
        @ about(Y, sign * get(f"hip.side.{side}"))
        @ about(Z, sign * get(f"hip.twist.{side}")),
        f"lowerleg01.{side}": about(X, get(f"knee.{side}")),
        f"foot.{side}": about(X, -get(f"ankle.flex.{side}")) @ about(Y, sign * get(f"ankle.side.{side}")),
    }


@functools.cache
def _solved(bones: tuple[str, ...], parents: tuple[int, ...]) -> frozenset[str]:
    """List the chains up to the feet, the wrists and the head; hands and face are rigid with their end."""
    chosen: set[str] = set()
    for end in ("foot.L", "foot.R", "wrist.L", "wrist.R", "head"):
        row = bones.index(end)
        while bones[row] not in chosen:
            chosen.add(bones[row])
            row = parents[row]
    return frozenset(chosen)


def _frame(axis: Array) -> tuple[Array, Array]:
    first = _normal(np.cross(axis, Y))
    return first, np.cross(axis, first)


def _normal(vector: Array) -> Array:
    return np.asarray(vector / np.linalg.norm(vector))
