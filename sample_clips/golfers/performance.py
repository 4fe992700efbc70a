"""Performance: who and what is where at each moment of a clip.

A golfer may walk in, stand off the ball for a practice stroke and step up to it, putt more than once with a ball
rolled in between, while another person walks past behind. Times in seconds from the start of the clip; studio frame of
`body`.
"""

from __future__ import annotations

import attrs
import numpy as np

from .body import Array, Body
from .camera import View
from .golfer import Golfer
from .outfit import Outfit
from .pose import Posed
from .putter import Putter
from .shapes import Shape, shape_ball, shape_person, shape_putter
from .skeleton import Skeleton
from .stroke import Stroke, ball_at, place_person, sway_at, swing
from .walk import STRIDE, blend, stand_on_ground, walk_past, walking_angles
from .wardrobe import Dressed

CARRY = 0.20
"""Radians that the lead elbow bends to carry the putter."""
ROLL_IN = 1.3
"""Seconds that a new ball takes to roll to its place."""
ROLL_FROM = np.array([0.5, -1.9, 0.0])
"""Where a new ball comes from, as seen from its place, metres."""
WALK_SPEED = 1.05
SETTLE = 1.3
"""Seconds from the last step to the pose at address."""


@attrs.frozen
class StepUp:
    """A practice stroke off the ball, then a step up to it."""

    back: float = 0.16
    """How far behind the address the golfer stands before, metres."""
    start: float = 0.0
    end: float = 1.0


@attrs.frozen
class WalkIn:
    """Walking in from behind before the address."""

    arrive: float = 2.4
    """When the feet are at their place; the pose at address is taken `SETTLE` later."""
    start_behind: float = 1.7
    """How far behind the address the walk starts, metres."""


@attrs.frozen(eq=False)
class Passer:
    """A person who walks past behind the golfer."""

    body: Body
    dressed: Dressed
    outfit: Outfit
    ways: dict[View, tuple[Array, Array]]
    """Start and end (2,) of the way for each view, studio frame."""
    start: float = 0.0
    speed: float = 1.15


@attrs.frozen(eq=False)
class Performance:
    """One clip's events."""

    golfer: Golfer
    duration: float
    marks: tuple[float, ...]
    """When the golfer stands exactly as the truth says."""
    strokes: tuple[Stroke, ...]
    practice: tuple[bool, ...]
    """Which of the strokes meet no ball."""
    step_up: StepUp | None = None
    walk_in: WalkIn | None = None
    passer: Passer | None = None

    def shapes_at(self, time: float, view: View) -> list[Shape]:
        """Everything to draw at one moment."""
        golfer = self.golfer
        posed, putter = self._golfer_at(time)
        shapes = shape_person(posed, golfer.dressed, shoes=golfer.student.outfit.shoes, mirror=golfer.mirror)
        shapes += shape_putter(putter, mirror=golfer.mirror)
        shapes += [shape_ball(ball, mirror=golfer.mirror) for ball in self._balls_at(time)]
        if self.passer is not None and time >= self.passer.start:
            way = self.passer.ways[view]
            walker = walk_past(
                Skeleton(self.passer.body),
                start=way[0],
                end=way[1],
                speed=self.passer.speed,
                time=time - self.passer.start,
            )
            shapes += shape_person(walker, self.passer.dressed, shoes=self.passer.outfit.shoes, mirror=golfer.mirror)
        return shapes

    def _golfer_at(self, time: float) -> tuple[Posed, Putter]:
        golfer = self.golfer
        if self.walk_in is not None and time < self.walk_in.arrive + SETTLE:
            return self._walking(time, self.walk_in)
        turn = sum(stroke.turn_at(time) for stroke in self.strokes)
        posed, putter = swing(golfer.posed, golfer.putter, turn, sway_at(time, self.marks))
        if self.step_up is not None and time < self.step_up.end:
            share = np.clip((time - self.step_up.start) / (self.step_up.end - self.step_up.start), 0, 1)
            shift = np.array([0.0, self.step_up.back * (1 - share * share * (3 - 2 * share)), 0.0])
            posed = place_person(posed, shift=shift)
            putter = attrs.evolve(putter, butt=putter.butt + shift, sole=putter.sole + shift)
        return posed, putter

    def _walking(self, time: float, walk: WalkIn) -> tuple[Posed, Putter]:
        golfer = self.golfer
        skeleton = Skeleton(golfer.posed.body)
        begin = walk.arrive - walk.start_behind / WALK_SPEED
        gone = np.clip((time - begin) * WALK_SPEED, 0, walk.start_behind)
        last = np.clip((time - walk.arrive) / SETTLE, 0, 1)
        vigour = float(np.clip((walk.arrive - time) / 0.35, 0, 1) * np.clip((time - begin) / 0.3, 0, 1))
        angles = walking_angles(skeleton, 2 * np.pi * gone / STRIDE, carry=CARRY, vigour=vigour)
        posed = stand_on_ground(
            skeleton, blend(angles, golfer.posed.angles, float(last)), at=np.array([0.0, walk.start_behind - gone])
        )
        return posed, _carried(golfer, posed)

    def _balls_at(self, time: float) -> list[Array]:
        golfer = self.golfer
        radius = float(np.linalg.norm(np.cross(_spine_axis(golfer.posed), golfer.ball - _mid_shoulder(golfer.posed))))
        balls = []
        putts = [stroke for stroke, idle in zip(self.strokes, self.practice, strict=True) if not idle]
        for k, stroke in enumerate(putts):
            ready = putts[k - 1].finish + putts[k - 1].hold if k else -np.inf
            if time < ready:
                continue
            ball = ball_at(golfer.ball, stroke, time, radius)
            if time < ready + ROLL_IN:
                left = 1 - (time - ready) / ROLL_IN
                ball = ball + ROLL_FROM * left**2
            balls.append(ball)
        return balls


def _carried(golfer: Golfer, posed: Posed) -> Putter:
    """Move the putter with the lead hand as at address."""
    before, after = golfer.posed.motion, posed.motion
    turn = after.turn["wrist.L"][0] @ before.turn["wrist.L"][0].T
    shift = after.shift["wrist.L"][0] - turn @ before.shift["wrist.L"][0]
    return Putter(butt=turn @ golfer.putter.butt + shift, sole=turn @ golfer.putter.sole + shift, roll=turn)


def _mid_shoulder(posed: Posed) -> Array:
    return np.asarray((posed.joints["upperarm01.L"] + posed.joints["upperarm01.R"]) / 2)


def _spine_axis(posed: Posed) -> Array:
    spine = _mid_shoulder(posed) - (posed.joints["upperleg01.L"] + posed.joints["upperleg01.R"]) / 2
    return np.asarray(spine / np.linalg.norm(spine))
