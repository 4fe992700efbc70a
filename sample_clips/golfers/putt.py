"""Putt: the time law of one stroke, and how far each part of the body has moved at each moment of it.

A stroke has three legs: back (minimum jerk, Flash and Hogan 1985), through to the ball and on to the finish. Each leg
runs from 0 to 1 by its own law, and everything that moves is a smooth function of how far the stroke has come, so that
nothing moves before the start and everything turns round at the top. Seconds, metres, radians; studio frame of `body`
with y turned round: x toward the target, y from the golfer toward the ball, z up.
"""

from __future__ import annotations

from typing import Literal

import attrs
import numpy as np
from scipy.interpolate import PchipInterpolator

from .body import Array

Law = Literal["quarter_sine", "constant_acceleration", "minimum_jerk"]
KNOTS = (0.0, 1.0, 2.0, 3.0)
"""How far a stroke has come: start, top, impact, finish."""
SPEED_AT_IMPACT: dict[Law, float] = {
    "quarter_sine": np.pi / 2,
    "constant_acceleration": 2.0,
    "minimum_jerk": 1.875,
}
"""Speed at the end of the way through, in ways a duration."""

Triple = tuple[float, float, float]
"""At the top, at impact and at the finish; nothing at the start."""
STAYS: Triple = (0.0, 0.0, 0.0)


@attrs.frozen
class Changes:
    """How far parts of the body move besides the swing, each at top, impact and finish."""

    head_along: Triple = STAYS
    head_across: Triple = STAYS
    head_up: Triple = STAYS
    chest_along: Triple = STAYS
    chest_across: Triple = STAYS
    hips_along: Triple = STAYS
    hips_across: Triple = STAYS
    knee_lead: Triple = STAYS
    """Radians that the knee turns toward the target about the line from hip to ankle."""
    knee_trail: Triple = STAYS
    tilt: Triple = STAYS
    """Radians, + = more tilt."""
    elbow_lead: Triple = STAYS
    """Radians that the elbow turns away from the ribs about the line from shoulder to wrist."""
    elbow_trail: Triple = STAYS
    lag: Triple = STAYS
    """Radians that hands and putter turn about the sole in the plane of the swing, + = the hands toward the target."""
    hands_across: Triple = STAYS
    """Hands and putter leave the line, + = away from the golfer."""

    def shrunk(self, share: float, *names: str) -> Changes:
        """Multiply some of the changes by `share`."""
        return attrs.evolve(self, **{n: tuple(share * v for v in getattr(self, n)) for n in names})

    def at(self, come: float) -> dict[str, float]:
        """Return every change at `come`, which is 0 at the start and 1, 2, 3 at top, impact and finish."""
        names = [field.name for field in attrs.fields(Changes)]
        values = np.array([(0.0, *getattr(self, name)) for name in names])
        return dict(zip(names, PchipInterpolator(KNOTS, values, axis=1)(come).tolist(), strict=True))


@attrs.frozen
class Putt:
    """One stroke."""

    start: float
    """When the putter leaves the address."""
    kind: Literal["putt", "practice"] = "putt"
    back: float = 0.67
    """Seconds from the start until the putter stands still at the top."""
    pause: float = 0.0
    """Seconds that it stands still there."""
    through: float = 0.32
    """Seconds from the last still moment at the top to impact."""
    law: Law = "quarter_sine"
    """Of the way through."""
    swing: float = 0.20
    """Radians that the shoulders turn back."""
    contact: float = 0.006
    """Radians past the address at which the face meets the ball."""
    follow: float = 1.2
    """How much farther the shoulders turn past the ball than they turned back."""
    loss: float = 0.10
    """Share of its speed that the putter loses to the ball."""
    hold: float = 0.8
    """Seconds that the finish is held."""
    home: float = 0.9
    """Seconds to come back to address afterward."""
    plane: float = 0.35
    """Radians of the plane of the swing from the vertical."""
    ball_way: float = 0.0
    """Radians that the ball leaves away from the golfer's side of the line."""
    changes: Changes = attrs.field(factory=Changes)

    @property
    def top(self) -> float:
        """The last still moment before the putter moves back."""
        return self.start + self.back + self.pause

    @property
    def impact(self) -> float:
        """When the face meets the ball, or would."""
        return self.top + self.through

    @property
    def speed(self) -> float:
        """Radians a second just before impact."""
        return SPEED_AT_IMPACT[self.law] * (self.swing + self.contact) / self.through

    @property
    def finish(self) -> float:
        """When the putter comes to rest."""
        # a quarter of a sine that goes on with the speed that is left
        left = self.speed * (1.0 - (self.loss if self.kind == "putt" else 0.0))
        return self.impact + np.pi / 2 * self.follow * self.swing / left

    @property
    def end(self) -> float:
        """When the golfer is back at address."""
        return self.finish + self.hold + self.home

    def come_at(self, time: float) -> tuple[float, float]:
        """How far the stroke has come, 0 to 3 as `KNOTS`, and what share of it is still there while it goes home."""
        if time <= self.start or time >= self.end:
            return 0.0, 1.0
        if time < self.start + self.back:
            return minimum_jerk((time - self.start) / self.back), 1.0
        if time < self.top:
            return 1.0, 1.0
        if time < self.impact:
            return 1.0 + _through(self.law, (time - self.top) / self.through), 1.0
        if time < self.finish:
            return 2.0 + float(np.sin(np.pi / 2 * (time - self.impact) / (self.finish - self.impact))), 1.0
        return 3.0, 1.0 - minimum_jerk(max(0.0, time - self.finish - self.hold) / self.home)

    def turn_at(self, time: float) -> float:
        """Radians that the shoulders have turned, + toward the target."""
        come, share = self.come_at(time)
        return share * float(np.interp(come, KNOTS, self._turns))

    def changes_at(self, time: float) -> dict[str, float]:
        """How far everything else has moved, by the names of `Changes`."""
        come, share = self.come_at(time)
        return {name: share * value for name, value in self.changes.at(come).items()}

    @property
    def _turns(self) -> tuple[float, ...]:
        return 0.0, -self.swing, self.contact, self.contact + self.follow * self.swing


def minimum_jerk(share: float) -> float:
    """Share of the way at a share of the time (Flash and Hogan 1985)."""
    t = float(np.clip(share, 0.0, 1.0))
    return t**3 * (10 - 15 * t + 6 * t * t)


def _through(law: Law, share: float) -> float:
    if law == "quarter_sine":
        return 1.0 - float(np.cos(np.pi / 2 * share))
    if law == "constant_acceleration":
        return share * share
    # the first half of a minimum jerk twice as long: fastest at the ball
    return 2.0 * minimum_jerk(share / 2)


def sum_of(putts: tuple[Putt, ...], time: float) -> tuple[float, float, dict[str, float]]:
    """Turn, plane and changes at one moment, of the one stroke that is going on."""
    for putt in putts:
        if putt.start < time < putt.end:
            return putt.turn_at(time), putt.plane, putt.changes_at(time)
    return 0.0, putts[0].plane, Changes().at(0.0)


def roll(putt: Putt, ball: Array, time: float, *, radius: float, gain: float, brake: float) -> Array:
    """Where the ball (3,) is: at rest until impact, then rolling and slowing down.

    Parameters
    ----------
    radius : of the putter head about the axis of the swing, metres.
    gain : the ball's speed over the head's.
    brake : how fast it slows down, m/s2.
    """
    since = time - putt.impact
    if since <= 0 or putt.kind == "practice":
        return ball
    speed = gain * radius * putt.speed
    since = min(since, speed / brake)
    way = np.array([np.cos(putt.ball_way), -np.sin(putt.ball_way), 0.0])
    return np.asarray(ball + (speed * since - brake * since**2 / 2) * way)
