"""Pose: find the joint angles at which a body stands at address in a wanted posture.

A least-squares fit over the 43 angles of `skeleton`, with the body's habits (small wrist and collar-bone angles,
square hips) as weak wishes. What comes out is close to the wish, not equal to it: `truth` measures it. Angles in
`Wish` are degrees, lengths centimetres, signs as in the measures of the program; the studio frame of `body` holds
inside.
"""

from __future__ import annotations

import functools

import attrs
import numpy as np
from scipy.optimize import least_squares

from .body import SOLE, Array, Body
from .contours import find_elbow_clearance, find_trunk_outline, measure_rounding
from .segments import centre_of_mass
from .skeleton import COLUMN, NAMES, RANGE, SIDES, Motion, Skeleton, skin

GRIP_HALF_WIDTH = 0.030
"""From the shaft's axis to the bones of either palm, metres."""
GRIP_HALF_STEP = 0.026
"""Half of the distance along the shaft between the two hands, the lead hand above, metres."""
GRIP_SLANT = 28.0
"""Angle between the shaft and the line wrist to knuckles, degrees."""

GAZE = 62.0
"""How far the face is usually turned down to the ball, degrees; the eyes do the rest."""

TOUCH = -0.004
"""Elbow clearance at which flesh touches flesh, metres."""

FLEX_RANGE = (-0.42, 0.75)
"""How far a back bends from upright standing, radians: a little flatter, much rounder."""

FLARE_RANGE = (-0.10, 0.16)
"""How far an elbow may stand outside its shoulder, metres."""

SETTLED = {"flex": 0.010, "flare": 0.002}
"""A correction smaller than this (radians, metres) is not worth another round."""

ROUNDS = 7
"""Corrections of rounding and elbow gap after the first fit."""


@attrs.frozen
class Grip:
    """How the hands hold the putter."""

    lead_above: bool = True
    half_step: float = GRIP_HALF_STEP
    """Half of the distance along the shaft between the two hands, metres."""
    trail_palm: tuple[float, float, float] = (1.0, 0.0, 0.0)
    """Where the trail palm faces, studio frame."""
    trail_slant: float = GRIP_SLANT
    """Angle between the shaft and the line from the trail wrist to the knuckles, degrees."""
    butt_above: tuple[float, float] = (0.10, 0.17)
    """How far the butt may end above the hand centre, metres."""


GRIPS: dict[str, Grip] = {
    "usual": Grip(),
    "lead_hand_low": Grip(lead_above=False),
    "claw": Grip(trail_palm=(0.3, 0.8, -0.5), trail_slant=65.0),
    "arm_lock": Grip(butt_above=(0.26, 0.32)),
    "long": Grip(half_step=0.17, butt_above=(0.22, 0.26)),
}
"""Arm-lock: the shaft runs up along the lead forearm. Long: the lead hand at the chest, the trail hand well below."""


@attrs.frozen
class Wish:
    """The posture wanted at address."""

    grip: str = "usual"

    spine_tilt: float = 35.0
    back_rounding: float = 20.0
    hand_offset: float = 3.0
    elbow_bend: float = 30.0
    elbow_gap: float = 3.0
    knee_flex: float = 15.0
    stance_width: float = 30.0
    side_bend: float = 0.0
    shoulder_level: float = 4.0
    balance: float = 50.0
    head_drop: float = 20.0
    lie: float = 71.0
    shaft_lean: float = 0.0
    foot_splay: float = 8.0


@attrs.frozen(eq=False)
class Posed:
    """A body in a pose."""

    body: Body
    angles: Array
    """(43,) see `skeleton.NAMES`."""
    motion: Motion
    skin: Array
    """(V, 3) studio frame, metres."""

    @functools.cached_property
    def joints(self) -> dict[str, Array]:
        """Joint centres (3,), studio frame; `.L` is the body's left before any mirroring."""
        return {
            bone: self.motion.carry(bone, head)[0] for bone, head in zip(self.body.bones, self.body.heads, strict=True)
        }

    def mark(self, name: str) -> Array:
        """Find a face mark of `body.marks`, studio frame."""
        return np.asarray(self.body.marks[name] @ self.skin)


def solve_address(body: Body, wish: Wish, *, start: Array | None = None) -> Posed:
    """Find the pose at address nearest to the wish.

    Parameters
    ----------
    start : angles of a pose with a wish much like this one, from which the search is short.
    """
    skeleton = Skeleton(body)
    flex = float(np.clip(np.radians(wish.back_rounding - 25.0), *FLEX_RANGE))
    flare = np.full(2, -0.01 + 0.006 * wish.elbow_gap)
    wanted = np.full(2, wish.elbow_gap / 100.0 if wish.elbow_gap > 0 else TOUCH)
    angles = _first_guess(skeleton, wish) if start is None else start
    for k in range(ROUNDS):
        angles = _fit(skeleton, wish, angles, flex=flex, flare=flare, evaluations=80 if k == 0 else 25)
        posed = place(skeleton, angles)
        got = measure_rounding(find_trunk_outline(posed.body, posed.skin, posed.joints).back)
        gap = np.array([find_elbow_clearance(body, posed.skin, posed.joints, side) for side in SIDES])
        new_flex = float(np.clip(flex + 0.8 * (np.radians(wish.back_rounding) - got), *FLEX_RANGE))
        new_flare = np.clip(flare + 0.9 * (wanted - gap), *FLARE_RANGE)
        if abs(new_flex - flex) < SETTLED["flex"] and np.abs(new_flare - flare).max() < SETTLED["flare"]:
            break
        flex, flare = new_flex, new_flare
    return posed


def place(skeleton: Skeleton, angles: Array) -> Posed:
    """Pose the whole body, fingers and face too."""
    motion = skeleton.pose(angles, fully=True)
    return Posed(body=skeleton.body, angles=angles, motion=motion, skin=skin(skeleton.body, motion))


def shaft_direction(wish: Wish) -> Array:
    """Find the unit vector down the shaft, studio frame."""
    lie, lean = np.radians(wish.lie), np.radians(wish.shaft_lean)
    direction = np.array([-np.tan(lean) * np.sin(lie), -np.cos(lie), -np.sin(lie)])
    return np.asarray(direction / np.linalg.norm(direction))


def _fit(skeleton: Skeleton, wish: Wish, start: Array, *, flex: float, flare: Array, evaluations: int) -> Array:
    step = 1e-6

    def residuals(angles: Array) -> Array:
        return _residuals(skeleton, wish, angles[None], flex=flex, flare=flare)[0]

    def jacobian(angles: Array) -> Array:
        rows = angles + step * np.vstack([np.zeros_like(angles), np.eye(len(angles))])
        values = _residuals(skeleton, wish, rows, flex=flex, flare=flare)
        return np.asarray((values[1:] - values[0]).T / step)

    return np.asarray(
        least_squares(
            residuals,
            start,
            jacobian,
            bounds=RANGE,
            method="trf",
            x_scale=_SPREAD,
            max_nfev=evaluations,
            ftol=1e-7,
            xtol=1e-7,
        ).x
    )


def _first_guess(skeleton: Skeleton, wish: Wish) -> Array:
    """Standing leaned over, arms hanging: from anywhere else a fit may end up kneeling."""
    angles = np.zeros(len(NAMES))
    tilt, knee = np.radians(wish.spine_tilt), np.radians(wish.knee_flex)
    angles[COLUMN["root.pitch"]] = tilt
    angles[COLUMN["root.y"]] = 0.10
    angles[COLUMN["root.z"]] = SOLE - 0.01
    for side in SIDES:
        sign = 1.0 if side == "L" else -1.0
        angles[COLUMN[f"hip.flex.{side}"]] = tilt + knee / 2
        angles[COLUMN[f"knee.{side}"]] = knee
        angles[COLUMN[f"ankle.flex.{side}"]] = knee / 2
        hang = np.array([-0.05 * sign, -np.sin(tilt) - 0.1, -np.cos(tilt)])
        angles[COLUMN[f"arm.a.{side}"]], angles[COLUMN[f"arm.b.{side}"]] = skeleton.swing_to(side, hang)
    return angles


def _residuals(skeleton: Skeleton, wish: Wish, angles: Array, *, flex: float, flare: Array) -> Array:
    """(N, R) residuals in units of what each is worth; studio frame, y turned so that + is toward the ball."""
    motion = skeleton.pose(angles)
    at = {name: motion.carry(bone, skeleton.joint(joint)) for name, bone, joint in _points()}
    ahead = {name: -p[:, 1] for name, p in at.items()}
    out: list[Array] = []

    def want(value: Array, target: Array | float, worth: float) -> None:
        difference = (value - target) / worth
        out.append(difference[:, None] if difference.ndim == 1 else difference)

    # feet on the ground, square, splayed
    for side, sign in (("L", 1.0), ("R", -1.0)):
        ankle = at[f"ankle.{side}"]
        want(ankle[:, 0], sign * wish.stance_width / 200, 0.001)
        want(ankle[:, 1], 0.0, 0.001)
        want(ankle[:, 2], skeleton.joint(f"foot.{side}")[2] + SOLE, 0.001)
        turn = motion.turn[f"foot.{side}"]
        want(turn[:, :2, 2], 0.0, 0.004)
        want(np.arctan2(turn[:, 1, 0], turn[:, 0, 0]), sign * np.radians(wish.foot_splay), 0.05)
        want(_bend(at[f"hip.{side}"], at[f"knee.{side}"], ankle), np.radians(wish.knee_flex), 0.01)
    # trunk
    hip, shoulder = _middle(at, "hip"), _middle(at, "shoulder")
    spine = shoulder - hip
    want(np.arctan2(-spine[:, 1], spine[:, 2]), np.radians(wish.spine_tilt), 0.003)
    want(np.arctan2(-spine[:, 0], spine[:, 2]), np.radians(wish.side_bend), 0.005)
    want(angles[:, COLUMN["spine.flex"]], flex, 0.003)
    want(ahead["hip.L"] - ahead["hip.R"], 0.0, 0.01)
    want(at["hip.L"][:, 2] - at["hip.R"][:, 2], 0.0, 0.02)
    want(ahead["shoulder.L"] - ahead["shoulder.R"], 0.0, 0.008)
    want(hip[:, 0], 0.0, 0.02)
    line = at["shoulder.L"] - at["shoulder.R"]
    want(np.arctan2(line[:, 2], line[:, 0]), np.radians(wish.shoulder_level), 0.01)
    # head
    ear = motion.carry("head", skeleton.ear)
    want(
        np.arctan2(-(ear - shoulder)[:, 1], (ear - shoulder)[:, 2]), np.radians(wish.spine_tilt + wish.head_drop), 0.01
    )
    face = motion.turn["head"]
    want(face[:, 2, 0], 0.0, 0.02)
    want(face[:, 1, 0], 0.0, 0.03)
    want(np.arctan2(-face[:, 1, 2], face[:, 2, 2]), np.radians(GAZE), 0.15)
    # hands on the grip
    down = shaft_direction(wish)
    hands = {side: (at[f"wrist.{side}"] + at[f"index.{side}"] + at[f"little.{side}"]) / 3 for side in SIDES}
    middle = (hands["L"] + hands["R"]) / 2
    want(-(middle - shoulder)[:, 1], wish.hand_offset / 100, 0.001)
    want(middle[:, 0], 0.0, 0.004)
    grip = GRIPS[wish.grip]
    apart = np.array([2 * GRIP_HALF_WIDTH, 0.0, 0.0]) - (2 if grip.lead_above else -2) * grip.half_step * down
    want(hands["L"] - hands["R"], apart, 0.002)
    bends: list[Array] = []
    for k, side in enumerate(SIDES):
        sign = 1.0 if side == "L" else -1.0
        normal = motion.turn[f"wrist.{side}"] @ skeleton.palm_normal(side)
        trail = side == SIDES[1]
        palm = np.array(grip.trail_palm) if trail else np.array([-sign, 0.0, 0.0])
        slant = np.radians(grip.trail_slant if trail else GRIP_SLANT)
        want(normal, palm / np.linalg.norm(palm), 0.25)
        knuckles = _unit((at[f"index.{side}"] + at[f"little.{side}"]) / 2 - at[f"wrist.{side}"])
        across = _unit(at[f"index.{side}"] - at[f"little.{side}"])
        want(knuckles @ down, np.cos(slant), 0.08)
        want(across @ down, np.sin(slant), 0.15)
        bends.append(_bend(at[f"shoulder.{side}"], at[f"elbow.{side}"], at[f"wrist.{side}"]))
        want(sign * (at[f"elbow.{side}"] - at[f"shoulder.{side}"])[:, 0], flare[k], 0.004)
    want((bends[0] + bends[1]) / 2, np.radians(wish.elbow_bend), 0.01)
    want(bends[0] - bends[1], 0.0, 0.15)
    # balance along the feet
    heel, toe = ahead["ankle.L"] - skeleton.heel_behind, ahead["ankle.L"] + skeleton.toe_ahead
    com = centre_of_mass(skeleton.body.sex, at)
    want((-com[:, 1] - heel) / (toe - heel), wish.balance / 100, 0.01)
    want((com - (at["ankle.L"] + at["ankle.R"]) / 2)[:, 0], 0.0, 0.03)
    out.append((angles - _USUAL)[:, _HABITS] / _SPREAD[_HABITS])
    return np.concatenate(out, axis=1)


@functools.cache
def _points() -> tuple[tuple[str, str, str], ...]:
    """Name, bone that carries it, joint whose rest place it is."""
    names = [("ankle", "foot", "foot"), ("knee", "lowerleg01", "lowerleg01"), ("hip", "upperleg01", "upperleg01")]
    names += [
        ("shoulder", "upperarm01", "upperarm01"),
        ("elbow", "lowerarm01", "lowerarm01"),
        ("wrist", "wrist", "wrist"),
    ]
    names += [("index", "wrist", "finger2-1"), ("little", "wrist", "finger5-1"), ("middle", "wrist", "finger3-1")]
    sided = [(f"{n}.{s}", f"{b}.{s}", f"{j}.{s}") for n, b, j in names for s in SIDES]
    return (*sided, ("crown", "head", "crown"))


def _middle(at: dict[str, Array], name: str) -> Array:
    return (at[f"{name}.L"] + at[f"{name}.R"]) / 2


def _unit(vectors: Array) -> Array:
    return np.asarray(vectors / np.linalg.norm(vectors, axis=-1, keepdims=True))


def _bend(start: Array, corner: Array, end: Array) -> Array:
    """180 degrees less the angle at the corner, radians."""
    cosine = np.sum(_unit(corner - start) * _unit(end - corner), axis=-1)
    return np.asarray(np.arccos(np.clip(cosine, -1 + 1e-12, 1 - 1e-12)))


def _spread() -> Array:
    """How far each angle is used to straying from rest, radians (root: metres)."""
    free, usual = (
        1.0,
        {"girdle.up": 0.06, "girdle.forward": 0.10, "arm.twist": 0.8, "forearm.twist": 0.7, "wrist.flex": 0.35},
    )
    usual |= {
        "wrist.side": 0.45,
        "hip.side": 0.35,
        "hip.twist": 0.25,
        "ankle.side": 0.4,
        "neck.flex": 0.35,
        "head.nod": 0.25,
    }
    usual |= {
        "neck.side": 0.15,
        "neck.twist": 0.15,
        "spine.side": 0.12,
        "spine.twist": 0.06,
        "root.yaw": 0.06,
        "root.roll": 0.10,
    }
    return np.array([usual.get(name.removesuffix(".L").removesuffix(".R"), free) for name in NAMES])


def _usual() -> Array:
    """Where the habits draw to: arms turned inward, so that bent elbows point aside and back."""
    turned = {"arm.twist.L": 0.6, "arm.twist.R": -0.6, "girdle.forward.L": 0.08, "girdle.forward.R": 0.08}
    return np.array([turned.get(name, 0.0) for name in NAMES])


_SPREAD = _spread()
_USUAL = _usual()
_HABITS = np.flatnonzero(_SPREAD < 1.0)
