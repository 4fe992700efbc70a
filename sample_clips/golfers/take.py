"""Take: one performance of the stroke study as a camera films it, with its truth for every frame.

Truth is in the golfer frame: x toward the target, y from the golfer toward the ball, z up, metres; left and right are
the person's own. Pixels are those of the picture as filmed, a shaking camera included.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import attrs
import cv2
import numpy as np

from .body import SIDES_LEAD, SIDES_TRAIL, Array
from .camera import Camera
from .contours import find_elbow_clearance
from .golfer import Golfer, own_name
from .moving import Moved, carry_cloth, head_radius, move_golfer
from .performance import ROLL_FROM, ROLL_IN
from .putt import Putt, roll, sum_of
from .putter import hand_centre
from .scene import Light, Stage, Window
from .shapes import Shape, hang_all, shape_ball, shape_person, shape_putter
from .stroke import BALL_BRAKE, BALL_SPEED, sway_at
from .stroke_cast import Plan, place_ball_at_gap
from .truth import golfer_joints

EVENTS = ("start", "top", "impact", "finish")
MOST_SMEAR = 2.0
"""Pixels that the head may move while the shutter is open before a frame is drawn more than once."""
MOST_PARTS = 3
NEAREST = 0.3
"""What is nearer to the camera is not in the picture, metres."""


@attrs.frozen
class Hand:
    """How a camera shakes that is held by hand; a standing one has nothing."""

    shift: float = 0.0
    """Standard deviation along either side of the picture, pixels."""
    turn: float = 0.0
    """Standard deviation, radians."""
    seed: int = 0

    def shake_at(self, time: float, camera: Camera) -> Array:
        """Affine map (2, 3) from the steady picture to the shaken one."""
        if not self.shift and not self.turn:
            return np.eye(2, 3)
        rng = np.random.default_rng(self.seed)
        periods, phases = rng.uniform(0.35, 2.6, (3, 5)), rng.uniform(0, 2 * np.pi, (3, 5))
        u, v, turn = np.sin(2 * np.pi * time / periods + phases).sum(axis=1) / np.sqrt(2.5)
        c, s = np.cos(self.turn * turn), np.sin(self.turn * turn)
        rotation = np.array([[c, -s], [s, c]])
        middle = np.array([camera.width, camera.height]) / 2
        moved = middle - rotation @ middle + self.shift * np.array([u, v])
        return np.concatenate([rotation, moved[:, None]], axis=1)


class Take:
    """One performance."""

    def __init__(self, golfer: Golfer, plan: Plan, *, strays: list[Array] | None = None) -> None:
        self.golfer, self.plan = golfer, plan
        self._ball = place_ball_at_gap(golfer, plan.gap)
        self._hung = hang_all(golfer.posed, golfer.dressed)
        self._strays = strays or []

    def golfer_at(self, time: float) -> Moved:
        """Golfer and putter at one moment, seconds of the performance."""
        turn, plane, changes = sum_of(self.plan.putts, time)
        return move_golfer(
            self.golfer.posed,
            self.golfer.putter,
            turn=turn,
            plane=plane,
            changes=changes,
            sway=sway_at(time, self.plan.marks),
            shift=self._shift_at(time),
        )

    def ball_at(self, time: float) -> Array:
        """Centre (3,) of the ball that is next to be putted or was putted last; NaN while there is none."""
        return self._balls_at(time)[-1]

    def shapes_at(self, time: float) -> list[Shape]:
        """Everything to draw at one moment."""
        golfer, moved = self.golfer, self.golfer_at(time)
        hung = [
            carry_cloth(golfer.posed.body, garment, at_address, moved.moves)
            for garment, at_address in zip(golfer.dressed.garments, self._hung, strict=True)
        ]
        shoes, gear = golfer.student.outfit.shoes, golfer.gear
        shapes = shape_person(moved.posed, golfer.dressed, shoes=shoes, mirror=golfer.mirror, hung=hung)
        shapes += shape_putter(moved.putter, mirror=golfer.mirror, shaft=gear.shaft)
        balls = [*self._balls_at(time), *self._strays]
        return shapes + [shape_ball(ball, mirror=golfer.mirror, colour=gear.ball) for ball in balls]

    def window(self, camera: Camera, light: Light, *, margin: int) -> Window:
        """Return the part of the picture that golfer, putter, balls and their shadows stay in."""
        golfer, points = self.golfer, []
        for putt in self.plan.putts:
            for moment in (putt.start, putt.top, putt.impact, putt.finish):
                moved = self.golfer_at(moment)
                points += [moved.posed.skin, moved.putter.sole[None], moved.putter.butt[None]]
        bodies = np.concatenate(points)
        shift = self._shift_at(0.0)
        bodies = np.concatenate([bodies, bodies + shift])
        moments = np.arange(0.0, self.plan.duration, 0.02)
        balls = [np.concatenate([self._balls_at(float(moment)) for moment in moments]).reshape(-1, 3)]
        balls += [stray[None] for stray in self._strays]
        points = np.concatenate([bodies, *balls]) * [golfer.mirror, 1, 1]
        shadows = points - points[:, 2:] / light.direction[2] * light.direction
        pixels, depth = camera.see(np.concatenate([points, shadows]))
        return Window.around(pixels[depth > NEAREST], camera, margin=margin)

    def film(self, stage: Stage, camera: Camera, times: Array, *, hand: Hand, shutter: float) -> Iterator[Array]:
        """Draw the frames (height, width, 3) at `times` of the performance; `shutter` is open so many seconds."""
        for time in times:
            parts = self._parts(camera, float(time), shutter)
            moments = time + (np.arange(parts) - (parts - 1) / 2) * shutter / parts
            drawn = [stage.draw(self.shapes_at(float(moment)))[0] for moment in moments]
            picture = drawn[0] if parts == 1 else np.mean(drawn, axis=0).round().astype(np.uint8)
            if hand.shift or hand.turn:
                way = hand.shake_at(float(time), camera)
                size = (camera.width, camera.height)
                picture = cv2.warpAffine(picture, way, size, flags=cv2.INTER_CUBIC, borderMode=cv2.BORDER_REFLECT)
            yield picture

    def tell_frames(self, camera: Camera, times: Array, *, hand: Hand) -> dict[str, Array]:
        """Truth of every frame: `names` (J,), `place_m` (N, J, 3), `place_px` (N, J, 2), `turn_rad` (N,)."""
        told = [self._points_at(float(time)) for time in times]
        names = sorted(told[0])
        place = np.stack([[points[name] for name in names] for points in told])
        pixels, _ = camera.see(place * [self.golfer.mirror, -1, 1])
        ways = np.stack([hand.shake_at(float(time), camera) for time in times])
        return {
            "names": np.array([own_name(name, self.golfer.mirror) for name in names]),
            "place_m": place,
            "place_px": np.einsum("nij,nkj->nki", ways[:, :, :2], pixels) + ways[:, None, :, 2],
            "shake_px": ways,
            "turn_rad": np.array([sum_of(self.plan.putts, float(time))[0] for time in times]),
        }

    def tell_strokes(self) -> list[dict[str, Any]]:
        """Truth of each stroke: events, seconds of the performance, and places at the events, metres."""
        return [self._tell_stroke(putt) for putt in self.plan.putts]

    def _tell_stroke(self, putt: Putt) -> dict[str, Any]:
        radius = head_radius(self.golfer.posed, self.golfer.putter, putt.plane)
        moments = {name: float(getattr(putt, name)) for name in EVENTS}
        at_events = {}
        for name, moment in moments.items():
            points = self._points_at(moment)
            posed = self.golfer_at(moment).posed
            at_events[name] = {
                "place_m": {own_name(n, self.golfer.mirror): np.round(p, 5).tolist() for n, p in points.items()},
                "elbow_clearance_cm": {
                    word: round(100 * find_elbow_clearance(posed.body, posed.skin, posed.joints, side), 3)
                    for word, side in (("lead", SIDES_LEAD), ("trail", SIDES_TRAIL))
                },
            }
        return {
            "kind": putt.kind,
            **{f"{name}_s": round(moment, 5) for name, moment in moments.items()},
            "reaches_top_s": round(putt.start + putt.back, 5),
            "ratio": round((putt.top - putt.start) / putt.through, 4),
            "law": putt.law,
            "head_radius_m": round(radius, 4),
            "head_speed_m_s": round(radius * putt.speed, 4),
            "start_direction_deg": round(float(np.degrees(putt.ball_way)), 3) if putt.kind == "putt" else None,
            "asked": attrs.asdict(putt),
            "at_events": at_events,
        }

    def _points_at(self, time: float) -> dict[str, Array]:
        moved = self.golfer_at(time)
        turned = np.array([1.0, -1.0, 1.0])
        return golfer_joints(moved.posed) | {
            "hand_centre": hand_centre(moved.posed) * turned,
            "putter_sole": moved.putter.sole * turned,
            "putter_butt": moved.putter.butt * turned,
            "ball": self.ball_at(time) * turned,
        }

    def _parts(self, camera: Camera, time: float, shutter: float) -> int:
        if not shutter:
            return 1
        ends = [self.golfer_at(time + k * shutter / 2).putter.sole * [self.golfer.mirror, 1, 1] for k in (-1, 1)]
        pixels, _ = camera.see(np.array(ends))
        return int(np.clip(np.ceil(np.linalg.norm(pixels[1] - pixels[0]) / MOST_SMEAR), 1, MOST_PARTS))

    def _shift_at(self, time: float) -> Array:
        step = self.plan.step_up
        if step is None or time >= step.end:
            return np.zeros(3)
        share = np.clip((time - step.start) / (step.end - step.start), 0, 1)
        return np.array([0.0, step.back * (1 - share * share * (3 - 2 * share)), 0.0])

    def _balls_at(self, time: float) -> list[Array]:
        balls: list[Array] = []
        putts = [putt for putt in self.plan.putts if putt.kind == "putt"]
        for k, putt in enumerate(putts):
            ready = putts[k - 1].finish + 0.2 if k else -np.inf
            if time < ready:
                continue
            radius = head_radius(self.golfer.posed, self.golfer.putter, putt.plane)
            ball = roll(putt, self._ball, time, radius=radius, gain=BALL_SPEED, brake=BALL_BRAKE)
            if time < ready + ROLL_IN:
                ball = ball + ROLL_FROM * (1 - (time - ready) / ROLL_IN) ** 2
            balls.append(ball)
        return balls
