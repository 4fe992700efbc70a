"""Depth of each landmark from the golfer's mid-plane, for perspective and yaw.

Things nearer to the camera look larger, and a camera off square turns depth into width. Both corrections need the depth
only roughly: these are depths of a usual putting setup as shares of stature, replaced by the other view where there is
one. Shares from Drillis and Contini 1966 (segment lengths, as printed in Winter 2009, fig. 4.1) and ANSUR II 2012
(breadths: biacromial 0.24, hip 0.20 of stature), posed at 35° of trunk tilt.
"""

from collections.abc import Mapping
from typing import Final

import numpy as np

from putt_posture.posture.plane import Plane
from putt_posture.values import LANDMARK_NAMES, Side, median_seen

__all__ = ["ahead_of_ankles_cm", "beside_midline_cm", "measured_ahead_cm", "measured_beside_cm"]

_BESIDE: Final = {
    "eye_inner": 0.010, "eye": 0.018, "eye_outer": 0.026, "ear": 0.042, "shoulder": 0.103, "elbow": 0.122,
    "wrist": 0.020, "pinky": 0.015, "index": 0.010, "thumb": 0.010, "hip": 0.050, "knee": 0.065,
    "ankle": 0.075, "heel": 0.075, "foot_index": 0.085,
}  # fmt: skip
_AHEAD: Final = {
    "nose": 0.27, "eye_inner": 0.25, "eye": 0.25, "eye_outer": 0.24, "ear": 0.20, "mouth": 0.25,
    "shoulder": 0.13, "elbow": 0.11, "wrist": 0.15, "pinky": 0.17, "index": 0.18, "thumb": 0.17,
    "hip": -0.04, "knee": 0.04, "ankle": 0.0, "heel": -0.03, "foot_index": 0.09,
}  # fmt: skip


def beside_midline_cm(stature_cm: float, *, near: Side) -> dict[str, float]:
    """Return the depth toward a down-the-line camera of each landmark, cm: + on the near side, − on the far.

    Parameters
    ----------
    stature_cm : float
    near : Side
        The student's side that is toward the camera.
    """
    depths = {}
    for name in LANDMARK_NAMES:
        side, part = _split(name)
        sign = 0 if side is None else (1 if side == near else -1)
        depths[name] = sign * _BESIDE.get(part, 0.0) * stature_cm
    return depths


def ahead_of_ankles_cm(stature_cm: float) -> dict[str, float]:
    """Return the depth toward a face-on camera of each landmark in a usual setup, cm ahead of the ankles.

    Parameters
    ----------
    stature_cm : float
        Barefoot height, cm.
    """
    return {name: _AHEAD[_split(name)[1]] * stature_cm for name in LANDMARK_NAMES}


def measured_ahead_cm(side_view: Plane, *, fallback: Mapping[str, float]) -> dict[str, float]:
    """Return what `ahead_of_ankles_cm` does, as measured in the down-the-line view.

    Both sides get the mean of left and right: down the line the far side is not reliable.

    Parameters
    ----------
    side_view : Plane
        Down the line.
    fallback : mapping of landmark name to cm
        Used for landmarks unseen there.
    """
    depths = dict(fallback)
    if not np.isfinite(side_view.middle("ankle")).any():
        return depths  # the place of the ankles is not known
    along = {name: median_seen(side_view.at(name)[:, 0]) for name in LANDMARK_NAMES}
    for name, value in along.items():
        side, _ = _split(name)
        other = name if side is None else _other(name, side)
        mean = (value + along[other]) / 2
        if np.isfinite(mean):
            depths[name] = mean
    return depths


def measured_beside_cm(front: Plane, *, fallback: Mapping[str, float]) -> dict[str, float]:
    """Return what `beside_midline_cm` does, as measured in the face-on view.

    Parameters
    ----------
    front : Plane
        Face on.
    fallback : mapping of landmark name to cm
        Used for landmarks unseen there.
    """
    if not np.isfinite(front.middle("ankle")).any():
        return dict(fallback)  # the place of the mid-line is not known
    along = {name: median_seen(front.at(name)[:, 0]) for name in LANDMARK_NAMES}
    return dict(fallback) | {name: -value for name, value in along.items() if np.isfinite(value)}


def _split(name: str) -> tuple[Side | None, str]:
    for side in ("left", "right"):
        if name.startswith(f"{side}_"):
            return side, name.removeprefix(f"{side}_")
        if name.endswith(f"_{side}"):
            return side, name.removesuffix(f"_{side}")
    return None, name


def _other(name: str, side: Side) -> str:
    return name.replace(side, "right" if side == "left" else "left")
