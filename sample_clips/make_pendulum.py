"""Film a pendulum whose period is known: `python make_pendulum.py OUT.mp4`.

A ball on a rod hangs still, is drawn back as in a minimum jerk movement, held, and let go: it swings freely. From the
release to the lowest point is a quarter of its period, and another quarter to where it turns. For the tests of what
finds the turning points of a stroke.
"""

from __future__ import annotations

import argparse
from pathlib import Path

import attrs
import numpy as np
from golfers.body import Array
from golfers.camera import stand_camera
from golfers.film import Stock, write_clip
from golfers.putt import minimum_jerk
from golfers.putter import Putter
from golfers.room import Room, draw_room
from golfers.scene import Light, Stage
from golfers.shapes import Shape, shape_ball, shape_putter
from golfers.stroke import turning
from scipy.integrate import solve_ivp

LENGTH = 0.60
"""From the pivot to the middle of the ball, metres; the rod weighs nothing."""
GRAVITY = 9.81
ANGLE = 0.35
"""How far it is drawn back, radians."""
STILL_S, BACK_S, HELD_S, FREE_S = 0.9, 0.7, 0.15, 1.6
PIVOT = np.array([0.0, 0.0, 1.0])
SIZE = (300, 400)
RATE = 60
RED = (0.85, 0.15, 0.10)


def main() -> None:
    """Read the command line and film."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("out", type=Path)
    options = parser.parse_args()
    camera = stand_camera(
        view="face_on", mirror=1, aim=PIVOT - [0, 0, 0.4], distance=2.2, height=0.7, yaw=0.0, roll=0.0, equivalent=50,
        size=SIZE,
    )  # fmt: skip
    stage = Stage(camera, draw_room(camera, Room(), aim=np.zeros(3)), Light())
    times = np.arange(int((STILL_S + BACK_S + HELD_S + FREE_S) * RATE)) / RATE
    frames = ((float(t), stage.draw(shapes_at(angle))[0]) for t, angle in zip(times, swing_angles(times), strict=True))
    write_clip(options.out, frames, size=SIZE, rate=RATE, stock=Stock(quality=23))


def swing_angles(times: Array) -> Array:
    """Angle from the vertical at each time (N,), radians, + toward the target."""
    release = STILL_S + BACK_S + HELD_S
    free = solve_ivp(
        lambda _, state: [state[1], -GRAVITY / LENGTH * np.sin(state[0])],
        (0, FREE_S),
        [-ANGLE, 0.0],
        dense_output=True,
        rtol=1e-9,
        atol=1e-12,
    )
    drawn = np.array([-ANGLE * minimum_jerk((float(t) - STILL_S) / BACK_S) for t in times])
    return np.where(times < release, drawn, free.sol(np.clip(times - release, 0, FREE_S))[0])


def shapes_at(angle: float) -> list[Shape]:
    """Everything to draw; a putter without its head is the rod."""
    hang = turning(np.array([0.0, -1.0, 0.0]), angle) @ np.array([0.0, 0.0, -LENGTH])
    rod = Putter(butt=PIVOT, sole=PIVOT + hang)
    ball = shape_ball(np.zeros(3), mirror=1, colour=RED)
    weight = attrs.evolve(ball, vertices=1.6 * ball.vertices + PIVOT + hang)
    return [*shape_putter(rod, mirror=1)[:2], weight]


if __name__ == "__main__":
    main()
