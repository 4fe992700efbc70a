"""A putter that swings and a ball that rolls, drawn frame by frame; what is drawn is known exactly."""

import math
from collections.abc import Iterator, Sequence
from typing import Any

import cv2
import numpy as np
from attrs import evolve, field, frozen

from putt_posture.scene.following import ClubFollower, FollowedClub
from putt_posture.values import HAND_POINTS, LANDMARK_INDEX, Estimate, Floats, Frame, Picture, Scene

SIZE = (700, 400)
SCALE = 3.0
PIVOT, REST = np.array([300.0, -60.0]), np.array([309.0, 372.0])
"""The shoulders, and where the ball lies."""
START_S, TOP_S, IMPACT_S, FINISH_S = 0.3, 0.97, 1.29, 1.67
LENGTH_PX, HANDS_PX = 435.0, 190.0
"""From the pivot to the sole and to the hands."""
BACK_RAD, BRAKE_CM_S2 = 0.16, 55.0
RADIUS_PX = 0.5 * 4.267 * SCALE
WHITE, GREEN = (238, 238, 230), (72, 118, 66)
SHIFT = 4
"""Bits of a pixel's share with which OpenCV draws."""


@frozen(kw_only=True, eq=False)
class DrawnStroke:
    """One stroke face on, of a right-hander."""

    rate_hz: float = 60.0
    speed_cm_s: float | None = 200.0
    """None where no ball is hit."""
    impact_s: float = IMPACT_S
    balls: Sequence[tuple[float, float]] = field(default=(tuple(REST),))
    """Balls that lie there; the first is the one that is putted."""
    rolled_in_s: float | None = None
    start_s: float = 0.1
    stop_s: float = 1.8
    seed: int = 1
    foot_from_s: float | None = None
    """When a foot comes to stand over the ball's place."""
    shake_px: float = 0.0

    @property
    def times_s(self) -> Floats:
        offset = np.random.default_rng(self.seed).uniform(0, 1 / self.rate_hz)
        return np.arange(self.start_s + offset, self.stop_s, 1 / self.rate_hz)

    def angle(self, time_s: float) -> float:
        """Radians from the vertical, + toward the target."""
        if time_s <= START_S:
            return 0.0
        if time_s < TOP_S:
            return -BACK_RAD * (1 - math.cos(math.pi * (time_s - START_S) / (TOP_S - START_S))) / 2
        if time_s < self.impact_s:
            return -BACK_RAD * math.cos(math.pi / 2 * (time_s - TOP_S) / (self.impact_s - TOP_S))
        share = min((time_s - self.impact_s) / (FINISH_S - IMPACT_S), 1.0)
        return 1.2 * BACK_RAD * math.sin(math.pi / 2 * share)

    def down(self, time_s: float, length_px: float) -> Floats:
        turn = self.angle(time_s)
        return PIVOT + length_px * np.array([math.sin(turn), math.cos(turn)])

    def ball(self, time_s: float) -> Floats:
        if self.speed_cm_s is None:
            return REST
        since = min(max(time_s - self.impact_s, 0.0), self.speed_cm_s / BRAKE_CM_S2)
        return REST + np.array([SCALE * (self.speed_cm_s * since - BRAKE_CM_S2 * since**2 / 2), 0.0])

    def frames(self) -> Iterator[Frame]:
        rng = np.random.default_rng(self.seed)
        floor = _floor(rng)
        noise = np.rint(rng.normal(0.0, 2.0, floor.shape)).astype(np.int16)
        for time in self.times_s:
            picture = floor.copy()
            for other in self.balls[1:]:
                _disc(picture, np.array(other), RADIUS_PX)
            if self.balls:
                _disc(picture, self.ball(time), RADIUS_PX)
            if self.rolled_in_s is not None and time > self.rolled_in_s:
                left = max(0.0, 1 - (time - self.rolled_in_s) / 0.25)
                _disc(picture, REST + np.array([-120.0, 45.0]) * left**2, RADIUS_PX)
            _putter(picture, self.down(time, HANDS_PX - 45), self.down(time, LENGTH_PX))
            if self.foot_from_s is not None and time > self.foot_from_s:
                cv2.ellipse(picture, (round(REST[0]), round(REST[1])), (40, 22), 0, 0, 360, (30, 30, 40), -1)
            shift = rng.integers(0, SIZE[1], 2)
            noisy = cv2.add(picture, np.roll(noise, shift, axis=(0, 1)), dtype=cv2.CV_8U)
            yield Frame(time_s=float(time), picture=noisy)

    def scene(self, **changed: Any) -> Scene:
        def known(value: float, sd: float, unit: str) -> Estimate:
            return Estimate(value=value, standard_uncertainty=sd, unit=unit, view="face_on", frames=1)

        values: dict[str, Any] = {
            "view": "face_on",
            "px_per_cm": known(SCALE, 0.05, "px/cm"),
            "scale_source": "stature",
            "roll": known(0.0, 0.3, "deg"),
            "yaw": known(0.0, 4.0, "deg"),
            "forward": 1,
            "ground_v_px": known(380.0, 2.0, "px"),
            # So far away that the ball is not nearer than the feet.
            "distance_cm": known(1e6, 1e5, "cm"),
            "shaft_px": (tuple(self.down(0.0, HANDS_PX - 45)), tuple(self.down(0.0, LENGTH_PX))),
            "shaft_source": "found",
            "ball_px": tuple(REST),
            "ball_source": "found",
        }
        return Scene(**(values | changed))

    def follow(self, **changed: Any) -> FollowedClub:
        """Return what is followed of it, the hands being seen with 1 cm of noise."""
        rng = np.random.default_rng(self.seed)
        still = next(evolve(self, start_s=0.0, foot_from_s=None).frames())
        follower = ClubFollower(self.scene(**changed), still.picture, hands_px=self.down(0.0, HANDS_PX))
        for frame in self.frames():
            hands = self.down(frame.time_s, HANDS_PX)
            shift = np.round(rng.normal(0.0, self.shake_px, 2)) if self.shake_px else np.zeros(2)
            moved = Frame(time_s=frame.time_s, picture=np.roll(frame.picture, shift.astype(int)[::-1], axis=(0, 1)))
            camera = np.column_stack([np.eye(2), -shift])
            follower.push(moved, _points(hands + shift + rng.normal(0.0, SCALE, 2)), camera if self.shake_px else None)
        return follower.finish()


def _points(hands_px: Floats) -> Floats:
    points = np.full((len(LANDMARK_INDEX), 2), np.nan)
    for side in ("left", "right"):
        for part in HAND_POINTS:
            points[LANDMARK_INDEX[f"{side}_{part}"]] = hands_px
    return points


def _floor(rng: np.random.Generator) -> Picture:
    texture = cv2.GaussianBlur(rng.normal(0.0, 1.0, (SIZE[1], SIZE[0])), (0, 0), 3.0)
    floor = np.array(GREEN) + 60.0 * texture[..., None] * np.array([0.8, 1.0, 0.7])
    return np.clip(floor, 0, 255).astype(np.uint8)


def _disc(picture: Picture, centre: Floats, radius: float) -> None:
    at = np.round((centre - 0.5) * 2**SHIFT).astype(int)
    cv2.circle(picture, tuple(at.tolist()), round(radius * 2**SHIFT), WHITE, -1, cv2.LINE_AA, SHIFT)


def _putter(picture: Picture, butt: Floats, sole: Floats) -> None:
    along = (sole - butt) / np.linalg.norm(sole - butt)
    across = np.array([along[1], -along[0]])
    ends = [np.round((each - 0.5) * 2**SHIFT).astype(int).tolist() for each in (butt, sole)]
    cv2.line(picture, tuple(ends[0]), tuple(ends[1]), (196, 198, 205), 4, cv2.LINE_AA, SHIFT)
    grip = np.round((butt + 80 * along - 0.5) * 2**SHIFT).astype(int).tolist()
    cv2.line(picture, tuple(ends[0]), tuple(grip), (25, 25, 28), 8, cv2.LINE_AA, SHIFT)
    corners = [sole + up * along + side * across for up, side in ((-10, -6), (-10, 6), (0, 6), (0, -6))]
    cv2.fillConvexPoly(
        picture, np.round((np.array(corners) - 0.5) * 2**SHIFT).astype(int), (28, 28, 34), cv2.LINE_AA, SHIFT
    )
