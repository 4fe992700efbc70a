"""Points of the ground in the picture, put on the ground.

The camera is taken as level, so that the horizon is in the middle of the picture, and the ground's height under the
feet says how far below it the ground is. Its axes are cm to the side on which `Scene.forward` is positive, and cm away
from the camera.
"""

import math
from typing import Final

import numpy as np

from putt_posture.values import Floats, Scene

__all__ = ["LEVEL_SD_DEG", "put_on_ground"]

LEVEL_SD_DEG: Final = 3.0
"""How far a camera that is held level points up or down, one sigma, deg (judged)."""


def put_on_ground(
    points_px: Floats,
    scene: Scene,
    size_px: tuple[int, int],
    *,
    distance: float = 0.0,
    scale: float = 0.0,
    ground: float = 0.0,
    roll: float = 0.0,
    level: float = 0.0,
) -> Floats:
    """Return where points of the ground are, as seen from the camera.

    Parameters
    ----------
    points_px : (N, 2)
        Pixels of the full-size picture.
    scene : Scene
        Scale, distance, ground and roll.
    size_px : (int, int)
        Width and height of the picture.
    distance, scale : float
        How much larger the camera's distance and the scale are taken, as shares.
    ground : float
        How much lower the ground is taken, px.
    roll, level : float
        How much more the camera is taken as rolled and as pointing up, deg.

    Returns
    -------
    (N, 2)
        To the side and away from the camera, cm.
    """
    width, height = size_px
    around = np.array([width / 2, height / 2])
    focal_px = scene.px_per_cm.value * scene.distance_cm.value
    turn = math.radians(scene.roll.value + roll)
    offset = points_px - around
    across = offset[:, 0] * math.cos(turn) + offset[:, 1] * math.sin(turn)
    horizon = focal_px * math.tan(math.radians(level))
    below = offset[:, 1] * math.cos(turn) - offset[:, 0] * math.sin(turn) - horizon
    feet = scene.ground_v_px.value + ground - around[1] - horizon
    away = feet / below  # distance from the camera, in distances of the golfer
    far = scene.distance_cm.value * (1 + distance)
    beside = scene.forward * across * away / (scene.px_per_cm.value * (1 + scale))
    return np.stack([beside, far * away], axis=-1)
