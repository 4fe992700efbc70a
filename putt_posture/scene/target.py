"""The camera's yaw from the target line that a person marked on the ground.

Two points of the ground are put into the camera's axes: how far they lie across, and how far toward the camera
(`scene/ground.py`). The target line is the axis toward the target: down the line it runs away from the
camera, face on across the picture.
"""

import math
from collections.abc import Callable
from functools import partial
from typing import Final

import numpy as np

from putt_posture.errors import UsageError
from putt_posture.scene.ground import LEVEL_SD_DEG, put_on_ground
from putt_posture.scene.scale import CLICK_SD_PX
from putt_posture.values import VIEW_TITLES, Estimate, Floats, Scene, Segment

__all__ = ["find_target_yaw", "join_yaws"]

MOST_YAW_DEG: Final = 30.0
"""A camera farther off square than this films neither view."""
_BELOW_HORIZON_SHARE: Final = 0.02
"""The least distance of a point of the ground below the middle of the picture, share of the picture's height."""


def find_target_yaw(target_px: Segment, scene: Scene, size_px: tuple[int, int]) -> Estimate:
    """Find how far the camera stood off square to the target line, deg.

    Parameters
    ----------
    target_px : Segment
        Two points of the ground on the target line or beside it, px.
    scene : Scene
        Scale, distance, ground and roll.
    size_px : (int, int)
        Width and height of the picture.

    Returns
    -------
    Estimate
        Deg, with the sign of `Scene.yaw`. Its uncertainty is that of both clicks, of distance, scale, ground and roll,
        and of a camera that is not quite level.

    Raises
    ------
    UsageError
        If a point is not on the ground, or the line cannot be the target line of this view.
    """
    view, height = scene.view, size_px[1]
    if any(v < height * (0.5 + _BELOW_HORIZON_SHARE) for _, v in target_px) or math.dist(*target_px) < CLICK_SD_PX:
        raise UsageError(
            f"{VIEW_TITLES[view]}: the target line goes from {_say(target_px[0])} to {_say(target_px[1])}; two "
            "different points of the ground were needed, in the lower half of the picture. Mark them again."
        )

    def yaw(*, clicks: tuple[float, ...] = (0.0,) * 4, **moved: float) -> float:
        points = np.array(target_px, dtype=np.float64) + np.reshape(clicks, (2, 2))
        d_across, d_away = (float(each) for each in np.diff(put_on_ground(points, scene, size_px, **moved), axis=0)[0])
        ahead, aside = (-d_away, -d_across) if view == "down_the_line" else (d_across, -d_away)
        return math.degrees(math.atan(aside / ahead)) if ahead else 90.0

    value = yaw()
    if not abs(value) <= MOST_YAW_DEG:
        raise UsageError(
            f"{VIEW_TITLES[view]}: by the target line from {_say(target_px[0])} to {_say(target_px[1])} the camera "
            f"would have been {abs(value):.0f}° off square, and at most {MOST_YAW_DEG:g}° are possible. Mark two "
            "points of the ground on the target line again."
        )
    effects = [
        *(_effect(partial(_click, yaw, each)) for each in CLICK_SD_PX * np.eye(4)),
        _effect(lambda way: yaw(distance=way * _share(scene.distance_cm))),
        _effect(lambda way: yaw(scale=way * _share(scene.px_per_cm))),
        _effect(lambda way: yaw(ground=way * scene.ground_v_px.standard_uncertainty)),
        _effect(lambda way: yaw(roll=way * scene.roll.standard_uncertainty)),
        _effect(lambda way: yaw(level=way * LEVEL_SD_DEG)),
    ]
    return Estimate(
        value=value,
        standard_uncertainty=math.hypot(*effects),
        unit="deg",
        view=view,
        frames=1,
        method="given by the target line",
    )


def join_yaws(target: Estimate, body: Estimate) -> Estimate:
    """Join the yaw by the target line with that by the body, each by its precision.

    Parameters
    ----------
    target, body : Estimate
        Deg.

    Returns
    -------
    Estimate
        The mean weighted by precision, deg; its uncertainty is that of two independent values.
    """
    weight, other = (1 / each.standard_uncertainty**2 for each in (target, body))
    return Estimate(
        value=(weight * target.value + other * body.value) / (weight + other),
        standard_uncertainty=1 / math.sqrt(weight + other),
        unit="deg",
        view=body.view,
        frames=body.frames,
        method=f"{target.method}; {body.method}",
    )


def _click(yaw: Callable[..., float], shift_px: Floats, way: float) -> float:
    return yaw(clicks=tuple(way * shift_px))


def _effect(moved: Callable[[float], float]) -> float:
    return abs(moved(1.0) - moved(-1.0)) / 2


def _share(estimate: Estimate) -> float:
    return estimate.standard_uncertainty / estimate.value


def _say(point: tuple[float, float]) -> str:
    return f"{point[0]:.0f},{point[1]:.0f}"
