"""Where the ground is in the picture beside and in front of the feet.

The camera is assumed level, so that the horizon is in the picture's middle.
"""

import math

from putt_posture.values import Scene

__all__ = ["camera_drop", "ground_v_at"]


def camera_drop(scene: Scene, size_px: tuple[int, int]) -> float:
    """Return how steeply the camera looks down on the ground at the feet: camera height over distance.

    Parameters
    ----------
    scene : Scene
    size_px : (int, int)
        Width and height of the picture.
    """
    below = scene.ground_v_px.value - size_px[1] / 2
    return max(below, 0.0) / (scene.px_per_cm.value * scene.distance_cm.value)


def ground_v_at(u: float, scene: Scene, size_px: tuple[int, int], *, ahead_cm: float = 0.0) -> float:
    """Return the v of the ground at a place, px.

    Parameters
    ----------
    u : float
        Across the picture, px; a rolled camera tilts the ground about the picture's middle.
    scene : Scene
    size_px : (int, int)
        Width and height of the picture.
    ahead_cm : float
        How much nearer to the camera than the feet.
    """
    middle = size_px[1] / 2
    below = scene.ground_v_px.value - middle
    nearer = scene.distance_cm.value / (scene.distance_cm.value - ahead_cm)
    return middle + below * nearer + (u - size_px[0] / 2) * math.tan(math.radians(scene.roll.value))
