"""Stroke: how a golfer moves in time around the pose at address.

Times are seconds. A stroke is a pendulum: the shoulders rock about the spine's line through the mid-shoulder, arms
and putter going along, the head staying. Between strokes the body sways by a few millimetres about the ankles; at a
marked moment the sway is nothing, so that the pose there is the pose that the truth was measured on. Studio frame of
`body`.
"""

from __future__ import annotations

import attrs
import numpy as np

from .body import SIDES_LEAD, SIDES_TRAIL, Array
from .pose import Posed
from .putter import Putter
from .skeleton import Motion, skin

BACKSWING = 0.67
"""Seconds from the first move to the top."""
FORWARD = 0.32
"""Seconds from the top to the ball."""
FOLLOW = 1.2
"""How much farther the putter swings through than back."""

SWAY = (0.0018, 0.0011)
"""Radians of sway forward and sideways: 2 to 3 mm at the shoulders."""
SWAY_PERIODS = (2.7, 1.1, 3.4, 1.7)
STILL_FOR = 0.15
"""The sway fades away over this long round a marked moment, seconds."""

BALL_SPEED = 1.7
"""The ball's speed over the head's at impact (common practice: about 1.7)."""
BALL_BRAKE = 0.55
"""How fast a rolling ball slows down, m/s2."""

_TORSO = {"spine03": 0.15, "spine02": 0.5, "neck01": 0.45, "neck02": 0.2, "neck03": 0.1}
_RIGID = ("spine01", "clavicle", "shoulder", "upperarm", "lowerarm", "wrist", "metacarpal", "finger", "breast")
_STILL = ("foot", "toe")


@attrs.frozen
class Stroke:
    """One stroke."""

    start: float
    """When the putter leaves the address."""
    swing: float = 0.24
    """Radians that the shoulders turn back."""
    hold: float = 0.7
    """Seconds that the finish is held."""
    home: float = 0.9
    """Seconds to come back to address afterward."""

    @property
    def top(self) -> float:
        """When the putter turns round."""
        return self.start + BACKSWING

    @property
    def impact(self) -> float:
        """When the face passes the ball."""
        return self.top + FORWARD

    @property
    def finish(self) -> float:
        """When the putter comes to rest."""
        return self.impact + FOLLOW * FORWARD

    def turn_at(self, time: float) -> float:
        """Radians that the shoulders have turned, + toward the target."""
        if time <= self.start or time >= self.finish + self.hold + self.home:
            return 0.0
        if time < self.top:
            return -self.swing * (1 - np.cos(np.pi * (time - self.start) / BACKSWING)) / 2
        if time < self.impact:
            return -self.swing * np.cos(np.pi / 2 * (time - self.top) / FORWARD)
        far = FOLLOW * self.swing
        if time < self.finish:
            return far * np.sin(np.pi / 2 * (time - self.impact) / (FOLLOW * FORWARD))
        if time < self.finish + self.hold:
            return far
        return far * (1 + np.cos(np.pi * (time - self.finish - self.hold) / self.home)) / 2


def sway_at(time: float, marks: tuple[float, ...]) -> tuple[float, float]:
    """Radians of sway forward and sideways; nothing at each of `marks`."""
    a, b, c, d = (np.sin(2 * np.pi * time / period + k) for k, period in enumerate(SWAY_PERIODS))
    fade = np.prod([1 - np.exp(-(((time - mark) / STILL_FOR) ** 2)) for mark in marks]) if marks else 1.0
    return SWAY[0] * (0.7 * a + 0.3 * b) * fade, SWAY[1] * (0.7 * c + 0.3 * d) * fade


def swing(posed: Posed, putter: Putter, turn: float, sway: tuple[float, float] = (0.0, 0.0)) -> tuple[Posed, Putter]:
    """Move the golfer and the putter to one moment.

    Parameters
    ----------
    turn : radians about the spine's line, + toward the target.
    sway : radians forward and sideways about the ankles.
    """
    joints = posed.joints
    shoulder = (joints[f"upperarm01.{SIDES_LEAD}"] + joints[f"upperarm01.{SIDES_TRAIL}"]) / 2
    hip = (joints[f"upperleg01.{SIDES_LEAD}"] + joints[f"upperleg01.{SIDES_TRAIL}"]) / 2
    ankle = (joints[f"foot.{SIDES_LEAD}"] + joints[f"foot.{SIDES_TRAIL}"]) / 2
    axis = (shoulder - hip) / np.linalg.norm(shoulder - hip)
    # the putter hangs below and ahead of the axis: turning by + moves it to +x
    lean = turning(np.array([1.0, 0.0, 0.0]), sway[0]) @ turning(np.array([0.0, 1.0, 0.0]), sway[1])
    moves: dict[str, tuple[Array, Array]] = {}
    for bone in posed.body.bones:
        share = 1.0 if bone.startswith(_RIGID) else _TORSO.get(bone, 0.0)
        rock = turning(axis, share * turn)
        rotation, shift = rock, shoulder - rock @ shoulder
        if not bone.startswith(_STILL):
            rotation, shift = lean @ rotation, lean @ (shift - ankle) + ankle
        moves[bone] = rotation, shift
    rotation, shift = moves[f"wrist.{SIDES_LEAD}"]
    return _moved(posed, moves), Putter(
        butt=rotation @ putter.butt + shift, sole=rotation @ putter.sole + shift, roll=rotation @ putter.roll
    )


def place_person(posed: Posed, *, heading: float = 0.0, shift: Array) -> Posed:
    """Turn a person about the vertical by `heading` radians and move them by `shift` (3,)."""
    rotation = turning(np.array([0.0, 0.0, 1.0]), heading)
    return _moved(posed, dict.fromkeys(posed.body.bones, (rotation, shift)))


def ball_at(ball: Array, stroke: Stroke, time: float, head_radius: float) -> Array:
    """Where the ball (3,) is: at rest until impact, then rolling toward the target and slowing down."""
    since = time - stroke.impact
    if since <= 0:
        return ball
    speed = BALL_SPEED * head_radius * stroke.swing * np.pi / 2 / FORWARD
    since = min(since, speed / BALL_BRAKE)
    return np.asarray(ball + np.array([speed * since - BALL_BRAKE * since**2 / 2, 0.0, 0.0]))


def turning(axis: Array, angle: float) -> Array:
    """Rotation (3, 3) by `angle` about a unit axis."""
    k = np.array([[0.0, -axis[2], axis[1]], [axis[2], 0.0, -axis[0]], [-axis[1], axis[0], 0.0]])
    return np.asarray(np.eye(3) + np.sin(angle) * k + (1 - np.cos(angle)) * (k @ k))


def _moved(posed: Posed, moves: dict[str, tuple[Array, Array]]) -> Posed:
    turn = {b: (r @ posed.motion.turn[b][0])[None] for b, (r, _) in moves.items()}
    shift = {b: (r @ posed.motion.shift[b][0] + s)[None] for b, (r, s) in moves.items()}
    motion = Motion(turn=turn, shift=shift)
    return Posed(body=posed.body, angles=posed.angles, motion=motion, skin=skin(posed.body, motion))
