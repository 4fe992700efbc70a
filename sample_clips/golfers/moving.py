"""Moving: a golfer's bones and putter at one moment of a stroke, each part moved by a known amount.

The shoulders rock about an axis through their middle, hands and putter going along; head, chest, hips, knees and
elbows move by what `putt.Changes` says. Shoulders and hips carry the limbs, whose ends stay where hands and feet are:
elbow and knee follow from the two bones' lengths. Studio frame of `body`, metres.
"""

from __future__ import annotations

from collections.abc import Mapping

import attrs
import numpy as np

from .body import SIDES_LEAD, SIDES_TRAIL, Array, Body
from .draping import Garment
from .pose import Posed
from .putter import Putter
from .skeleton import SIDES, Motion, skin
from .stroke import turning

TORSO = {"spine05": 0.0, "spine04": 0.05, "spine03": 0.15, "spine02": 0.5, "spine01": 1.0}
"""How much of the shoulders' turn each bone of the back takes."""
TRUNK = {"spine05": 0.10, "spine04": 0.30, "spine03": 0.55, "spine02": 0.80, "spine01": 1.0}
"""How much of the chest's own motion and of the change of tilt each takes."""
NECK = {"neck01": (0.45, 0.25), "neck02": (0.20, 0.50), "neck03": (0.10, 0.80), "head": (0.0, 1.0)}
"""How much each takes of the shoulders' turn, and how far it goes with the head instead of the chest."""
STRAIGHTEST = {"arm": 4.0, "leg": 2.0}
"""No limb is stretched more than to this bend, degrees."""

Moves = Mapping[str, tuple[Array, Array]]
"""Bone to rotation (3, 3) and shift (3,) since address."""
X, Y, Z = np.eye(3)


class OutOfReachError(ValueError):
    """The hands are farther from the shoulders than the arms are long."""


@attrs.frozen(eq=False)
class Moved:
    """A golfer at one moment."""

    posed: Posed
    putter: Putter
    moves: Moves


def swing_axis(plane: float) -> Array:
    """Return the unit axis (3,) of a swing whose plane stands `plane` radians from the vertical; + turns toward +x."""
    return np.array([0.0, -np.cos(plane), np.sin(plane)])


def head_radius(posed: Posed, putter: Putter, plane: float) -> float:
    """Distance of the sole from the axis of the swing, metres."""
    return float(np.linalg.norm(np.cross(swing_axis(plane), putter.sole - _middle(posed, "upperarm01"))))


def move_golfer(
    posed: Posed,
    putter: Putter,
    *,
    turn: float,
    plane: float,
    changes: Mapping[str, float],
    sway: tuple[float, float] = (0.0, 0.0),
    shift: Array | None = None,
    bones_only: bool = False,
) -> Moved:
    """Move a golfer from address to one moment.

    Parameters
    ----------
    turn : of the shoulders, radians, + toward the target.
    plane : of the swing from the vertical, radians.
    changes : all names of `putt.Changes`.
    sway : of the whole body forward and sideways about the ankles, radians.
    shift : (3,) by which everything moves along the ground at last.
    bones_only : leave the skin where it was at address.

    Raises
    ------
    OutOfReachError
        Where an arm would be pulled straight.
    """
    shoulder, hip, ankle = (_middle(posed, bone) for bone in ("upperarm01", "upperleg01", "foot"))
    axis = swing_axis(plane)
    own: dict[str, tuple[Array, Array]] = {}

    def rock(share: float) -> tuple[Array, Array]:
        return _about(axis, share * turn, shoulder)

    def lift(share: float) -> tuple[Array, Array]:
        rotation, moved = _about(X, share * changes["tilt"], hip)
        along = _vector(changes, "chest") * share + hips * (1 - share)
        return rotation, moved + along

    hips = _vector(changes, "hips")
    hips = hips - [0.0, 0.0, _sink(posed, hips)]
    own["root"] = np.eye(3), hips
    for bone, share in TRUNK.items():
        own[bone] = _after(lift(share), rock(TORSO[bone]))
    chest = own["spine01"]
    head = _vector(changes, "head") + changes["head_up"] * Z
    for bone, (share, with_head) in NECK.items():
        joint = posed.joints[bone]
        rotation, moved = rock(share)
        there = rotation @ joint + moved
        wanted = (1 - with_head) * (chest[0] @ joint + chest[1]) + with_head * (joint + head)
        own[bone] = rotation, moved + wanted - there
    rotation, moved = rock(1.0)
    sole = rotation @ putter.sole + moved
    leave = -changes["hands_across"] * Y
    lag_turn, lag_shift = _about(axis, -changes["lag"], sole)
    hands = _after((np.eye(3), leave), _after((lag_turn, lag_shift), (rotation, moved)))
    for side in SIDES:
        out = X if side == SIDES_LEAD else -X
        name = "lead" if side == SIDES_LEAD else "trail"
        arm = [posed.joints[f"{bone}.{side}"] for bone in ("upperarm01", "lowerarm01", "wrist")]
        upper, lower = _reach(arm, chest, hands, changes[f"elbow_{name}"], toward=out, limb="arm")
        own |= {f"upperarm01.{side}": upper, f"lowerarm01.{side}": lower, f"wrist.{side}": hands}
        leg = [posed.joints[f"{bone}.{side}"] for bone in ("upperleg01", "lowerleg01", "foot")]
        stays = np.eye(3), np.zeros(3)
        upper, lower = _reach(leg, own["root"], stays, changes[f"knee_{name}"], toward=X, limb="leg")
        own |= {f"upperleg01.{side}": upper, f"lowerleg01.{side}": lower, f"foot.{side}": stays}
    lean = turning(X, sway[0]) @ turning(Y, sway[1])
    slide = np.zeros(3) if shift is None else shift
    moves: dict[str, tuple[Array, Array]] = {}
    for k, bone in enumerate(posed.body.bones):
        if bone in own:
            rotation, moved = own[bone]
            if not bone.startswith("foot"):
                rotation, moved = lean @ rotation, lean @ (moved - ankle) + ankle
            moves[bone] = rotation, moved + slide
        else:
            moves[bone] = moves[posed.body.bones[posed.body.parents[k]]]
    rotation, moved = moves[f"wrist.{SIDES_LEAD}"]
    held = Putter(butt=rotation @ putter.butt + moved, sole=rotation @ putter.sole + moved, roll=rotation @ putter.roll)
    return Moved(posed=posed if bones_only else _carried(posed, moves), putter=held, moves=moves)


def carry_cloth(body: Body, garment: Garment, hung: tuple[Array, Array], moves: Moves) -> tuple[Array, Array]:
    """Carry a garment that hung at address along with the bones.

    Parameters
    ----------
    hung : vertices and normals of `draping.hang` at address.
    """
    share = garment.spread @ garment.weights
    turn, moved = _stacked(body, moves)
    blend = np.asarray(share @ np.concatenate([turn.reshape(-1, 9), moved], axis=1))
    turn = blend[:, :9].reshape(-1, 3, 3)
    normals = np.einsum("vij,vj->vi", turn, hung[1])
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-12)
    return np.einsum("vij,vj->vi", turn, hung[0]) + blend[:, 9:], normals


def _reach(
    limb_at: list[Array],
    base: tuple[Array, Array],
    end: tuple[Array, Array],
    swivel: float,
    *,
    toward: Array,
    limb: str,
) -> tuple[tuple[Array, Array], tuple[Array, Array]]:
    """Find the moves of the two bones of a limb whose ends move by `base` and `end`; the joint turns by `swivel`."""
    first, joint, last = limb_at
    start, stop = base[0] @ first + base[1], end[0] @ last + end[1]
    guess = base[0] @ joint + base[1]
    a, b = float(np.linalg.norm(joint - first)), float(np.linalg.norm(last - joint))
    far = float(np.linalg.norm(stop - start))
    line = (stop - start) / far
    along = (a * a - b * b + far * far) / (2 * far)
    bend = np.arccos(np.clip((far * far - a * a - b * b) / (2 * a * b), -1, 1))
    if far >= a + b or np.degrees(bend) < STRAIGHTEST[limb]:
        msg = f"a {limb} would be {100 * far:.1f} cm long; its bones have {100 * (a + b):.1f} cm"
        raise OutOfReachError(msg)
    side = guess - start - ((guess - start) @ line) * line
    side /= np.linalg.norm(side)
    sign = 1.0 if np.cross(line, side) @ toward > 0 else -1.0
    placed = start + along * line + np.sqrt(a * a - along * along) * (turning(line, sign * swivel) @ side)
    return _frame_move(first, joint, last, start, placed, stop)


def _frame_move(
    first: Array, joint: Array, last: Array, start: Array, placed: Array, stop: Array
) -> tuple[tuple[Array, Array], tuple[Array, Array]]:
    upper = _frame(placed - start, stop - start) @ _frame(joint - first, last - first).T
    lower = _frame(stop - placed, start - placed) @ _frame(last - joint, first - joint).T
    return (upper, start - upper @ first), (lower, placed - lower @ joint)


def _frame(along: Array, near: Array) -> Array:
    """Axes (3, 3) as columns: along a bone, square to the limb's plane, and the third."""
    one = along / np.linalg.norm(along)
    square = np.cross(one, near)
    square /= np.linalg.norm(square)
    return np.stack([one, square, np.cross(one, square)], axis=1)


def _sink(posed: Posed, hips: Array) -> float:
    """How far the hips have to sink for both legs to reach, metres."""
    most = 0.0
    for side in (SIDES_LEAD, SIDES_TRAIL):
        hip, knee, ankle = (posed.joints[f"{bone}.{side}"] for bone in ("upperleg01", "lowerleg01", "foot"))
        a, b = np.linalg.norm(knee - hip), np.linalg.norm(ankle - knee)
        bend = np.radians(STRAIGHTEST["leg"] + 0.5)
        reach = np.sqrt(a * a + b * b + 2 * a * b * np.cos(bend))
        over = (hip + hips - ankle)[:2]
        height = np.sqrt(reach**2 - over @ over)
        most = max(most, float((hip + hips - ankle)[2] - height))
    return most


def _about(axis: Array, angle: float, point: Array) -> tuple[Array, Array]:
    rotation = turning(axis, angle)
    return rotation, point - rotation @ point


def _after(second: tuple[Array, Array], first: tuple[Array, Array]) -> tuple[Array, Array]:
    """Return `first`, then `second`."""
    return second[0] @ first[0], second[0] @ first[1] + second[1]


def _vector(changes: Mapping[str, float], part: str) -> Array:
    return np.array([changes[f"{part}_along"], -changes[f"{part}_across"], 0.0])


def _middle(posed: Posed, bone: str) -> Array:
    return np.asarray((posed.joints[f"{bone}.{SIDES_LEAD}"] + posed.joints[f"{bone}.{SIDES_TRAIL}"]) / 2)


def _stacked(body: Body, moves: Moves) -> tuple[Array, Array]:
    return np.stack([moves[b][0] for b in body.bones]), np.stack([moves[b][1] for b in body.bones])


def _carried(posed: Posed, moves: Moves) -> Posed:
    turn = {b: (r @ posed.motion.turn[b][0])[None] for b, (r, _) in moves.items()}
    shift = {b: (r @ posed.motion.shift[b][0] + s)[None] for b, (r, s) in moves.items()}
    motion = Motion(turn=turn, shift=shift)
    return Posed(body=posed.body, angles=posed.angles, motion=motion, skin=skin(posed.body, motion))
