"""Cameras: where one stands for each view, and where a point of the studio lands in the picture.

World frame: the studio frame of `body`, mirrored in x for a left-hander. Picture: pixels, origin at the top left
corner of the first pixel, u right, v down. A camera without lens distortion; its optical axis meets the middle of the
picture.
"""

from __future__ import annotations

from typing import Literal

import attrs
import numpy as np

from .body import Array

View = Literal["down_the_line", "face_on"]

PHONE_DIAGONAL = 36.0
"""Long side of the film that "equivalent" focal lengths are quoted for, millimetres."""


@attrs.frozen(eq=False)
class Camera:
    """One camera in the world."""

    view: View
    width: int
    height: int
    focal: float
    """Focal length, pixels."""
    position: Array
    """(3,) world, metres."""
    axes: Array
    """(3, 3) rows: right, down, forward in the world."""
    yaw: float
    """Degrees that the optical axis is turned off square to the golfer (+ = camera stands nearer to the ball's
    side down the line, nearer
    to the target face on)."""
    pitch: float
    """Degrees that the optical axis points down."""
    roll: float
    """Degrees that the camera is turned clockwise about its axis (the picture's content turns counter-clockwise)."""
    distance: float
    """From the camera to the aim point on the ground plan, metres."""

    def see(self, points: Array) -> tuple[Array, Array]:
        """Pixels (..., 2) and depth along the axis (...,), metres, of world points (..., 3)."""
        rays = (np.asarray(points) - self.position) @ self.axes.T
        depth = rays[..., 2]
        centre = np.array([self.width, self.height]) / 2
        return centre + self.focal * rays[..., :2] / depth[..., None], depth


def stand_camera(
    *,
    view: View,
    mirror: int,
    aim: Array,
    distance: float,
    height: float,
    yaw: float,
    roll: float,
    equivalent: float,
    size: tuple[int, int],
) -> Camera:
    """Stand a camera for one view.

    Parameters
    ----------
    view : `down_the_line` stands behind the trail side and looks toward the target; `face_on` faces the chest.
    mirror : 1 for a right-hander, -1 for a left-hander's mirrored world.
    aim : (3,) point that the optical axis passes through, right-handed studio frame, metres.
    distance : along the ground from the aim point, metres.
    height : of the lens above the ground, metres.
    yaw, roll : degrees, see `Camera`.
    equivalent : focal length for a 36 mm long side, millimetres.
    size : width, height in pixels.
    """
    aim = aim * np.array([mirror, 1, 1])
    turn = np.radians(yaw)
    if view == "down_the_line":
        away = np.array([-np.cos(turn) * mirror, -np.sin(turn), 0.0])
    else:
        away = np.array([np.sin(turn) * mirror, -np.cos(turn), 0.0])
    position = aim + distance * away
    position[2] = height
    forward = (aim - position) / np.linalg.norm(aim - position)
    level = np.cross(forward, [0.0, 0.0, 1.0])
    level /= np.linalg.norm(level)
    below = np.cross(forward, level)
    tip = np.radians(roll)
    right = np.cos(tip) * level + np.sin(tip) * below
    return Camera(
        view=view,
        width=size[0],
        height=size[1],
        focal=equivalent / PHONE_DIAGONAL * max(size),
        position=position,
        axes=np.stack([right, np.cross(forward, right), forward]),
        yaw=yaw,
        pitch=float(np.degrees(np.arcsin(-forward[2]))),
        roll=roll,
        distance=distance,
    )
