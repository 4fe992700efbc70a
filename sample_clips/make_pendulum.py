"""Film a pendulum whose period is known: `python make_pendulum.py OUT.mp4 [--putter]`.

It hangs still, is drawn back as in a minimum jerk movement, held there or not, and let go: it swings freely. From the
release to the lowest point is a quarter of its period, and another quarter to where it turns. For the tests of what
finds the turning points of a stroke. Without `--putter` it is a red ball on a rod. With it, it is a putter that hangs
as if from shoulders, its whole weight in the grip, and OUT.json says where the putter is in the picture at rest.
"""

from __future__ import annotations

import argparse
import json
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

GRAVITY = 9.81
STILL_S, BACK_S = 0.9, 0.7
RATE = 60
RED = (0.85, 0.15, 0.10)


@attrs.frozen(eq=False)
class Pendulum:
    """What swings, and how it is filmed.

    Attributes
    ----------
    length : float
        From the pivot to where all its weight is, metres.
    reach : float
        From the pivot to its end, metres.
    angle : float
        How far it is drawn back, radians.
    putter : float
        Length of the putter that ends there; 0 for a ball on a rod.
    held_s, free_s : float, float
        How long it is held there, and how long it is filmed after it was let go.
    size : (int, int)
        Width and height of the picture.
    distance, equivalent : float, float
        Of the camera, metres; its focal length for a 36 mm long side, millimetres.
    """

    length: float
    reach: float
    angle: float
    putter: float
    held_s: float
    free_s: float
    size: tuple[int, int]
    distance: float
    equivalent: float

    @property
    def pivot(self) -> Array:
        """Where it hangs from; a putter's sole is then on the ground."""
        return np.array([0.0, 0.0, self.reach if self.putter else 1.0])


BALL = Pendulum(
    length=0.60, reach=0.60, angle=0.35, putter=0.0, held_s=0.15, free_s=1.6,
    size=(300, 400), distance=2.2, equivalent=50,
)  # fmt: skip
PUTTER = Pendulum(
    length=0.60, reach=1.40, angle=0.16, putter=0.90, held_s=0.0, free_s=1.2,
    size=(720, 640), distance=4.0, equivalent=84,
)  # fmt: skip


def main() -> None:
    """Read the command line and film."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("out", type=Path)
    parser.add_argument("--putter", action="store_true")
    options = parser.parse_args()
    of = PUTTER if options.putter else BALL
    camera = stand_camera(
        view="face_on", mirror=1, aim=of.pivot - [0, 0, of.reach * 2 / 3], distance=of.distance,
        height=0.7, yaw=0.0, roll=0.0, equivalent=of.equivalent, size=of.size,
    )  # fmt: skip
    stage = Stage(camera, draw_room(camera, Room(), aim=np.zeros(3)), Light())
    times = np.arange(int((STILL_S + BACK_S + of.held_s + of.free_s) * RATE)) / RATE
    angles = swing_angles(of, times)
    frames = ((float(t), stage.draw(shapes_at(of, angle))[0]) for t, angle in zip(times, angles, strict=True))
    write_clip(options.out, frames, size=of.size, rate=RATE, stock=Stock(quality=23))
    if of.putter:
        rod = hang(of, 0.0)
        seen, _ = camera.see(np.array([of.pivot, rod.butt, rod.sole, rod.sole + [0.01, 0.0, 0.0]]))
        pivot, butt, sole, beside = seen.round(3).tolist()
        about = {"pivot_px": pivot, "butt_px": butt, "sole_px": sole, "px_per_cm": abs(beside[0] - sole[0])}
        options.out.with_suffix(".json").write_text(json.dumps(about, indent=1) + "\n", encoding="utf-8")


def swing_angles(of: Pendulum, times: Array) -> Array:
    """Angle from the vertical at each time (N,), radians, + toward the target."""
    release = STILL_S + BACK_S + of.held_s
    free = solve_ivp(
        lambda _, state: [state[1], -GRAVITY / of.length * np.sin(state[0])],
        (0, of.free_s),
        [-of.angle, 0.0],
        dense_output=True,
        rtol=1e-9,
        atol=1e-12,
    )
    drawn = np.array([-of.angle * minimum_jerk((float(t) - STILL_S) / BACK_S) for t in times])
    return np.where(times < release, drawn, free.sol(np.clip(times - release, 0, of.free_s))[0])


def hang(of: Pendulum, angle: float) -> Putter:
    """Return the putter at an angle, or else the rod as a putter whose head is not drawn."""
    turned = turning(np.array([0.0, -1.0, 0.0]), angle)
    down = turned @ np.array([0.0, 0.0, -1.0])
    sole = of.pivot + of.reach * down
    return Putter(butt=sole - of.putter * down if of.putter else of.pivot, sole=sole, roll=turned)


def shapes_at(of: Pendulum, angle: float) -> list[Shape]:
    """Everything to draw."""
    rod = hang(of, angle)
    if of.putter:
        return shape_putter(rod, mirror=1)
    ball = shape_ball(np.zeros(3), mirror=1, colour=RED)
    weight = attrs.evolve(ball, vertices=1.6 * ball.vertices + rod.sole)
    return [*shape_putter(rod, mirror=1)[:2], weight]


if __name__ == "__main__":
    main()
