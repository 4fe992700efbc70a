"""How far off square the camera down the line stood, from the body at address and from the direction of the swing.

The landmarks of the body tell it to some 5° where the coach gives no target line, and 5° turn 10 cm along the line into
0.9 cm across it. Golfers swing the hands along the line to within a few degrees, so the swing itself tells more. Where
the coach's line tells it better than that, the swing adds next to nothing.
"""

import math
from collections.abc import Mapping
from typing import Final

import numpy as np
from attrs import evolve

from putt_posture.posture.plane import Plane
from putt_posture.strokes.depth_way import DepthWay
from putt_posture.strokes.paths import BODY_POINTS
from putt_posture.strokes.stroke_plane import reference_frames
from putt_posture.values import LANDMARK_INDEX, Estimate, Floats, Scene, SeenStroke, StrokeEvent, median_seen

__all__ = ["SWING_SD_DEG", "find_yaw"]

SWING_SD_DEG: Final = 3.0
"""How far the direction of the hands' swing is from the target line, one sigma, deg (judged; no published scatter of it
within amateurs was found)."""
_FEWEST: Final = 8
_LEAST_WAY_CM: Final = 4.0


def find_yaw(
    seen: SeenStroke,
    plane: Plane,
    scene: Scene,
    events: Mapping[StrokeEvent, Estimate],
    way: DepthWay | None,
    *,
    stretch: float,
) -> Estimate:
    """Find the camera's yaw from its estimate at address and from the swing of the hands.

    Parameters
    ----------
    seen : SeenStroke
        Down the line.
    plane : Plane
        As `plane_of_stroke` makes it.
    scene : Scene
    events : mapping of StrokeEvent to Estimate
        Clip times.
    way : DepthWay or None
        Of the hands.
    stretch : float
        Clip seconds in a real second.

    Returns
    -------
    Estimate
        Deg; that of the scene where the swing does not tell. Where the two disagree by more than their uncertainties,
        the result is less certain by as much.
    """
    start, finish = events["start"], events["finish"]
    if way is None or not start or not finish:
        return scene.yaw
    along = -way.toward_cm
    inside = (seen.times_s >= start.value) & (seen.times_s <= finish.value)
    reference = reference_frames(seen, events, stretch)
    indices = [LANDMARK_INDEX[name] for name in BODY_POINTS["hands"]]

    def slope(yaw_deg: float) -> float:
        places = evolve(plane, yaw_deg=yaw_deg).to_cm(
            plane.points_px[:, indices], toward_cm=plane.toward_cm[indices] + way.toward_cm[:, None]
        )[..., 0]
        if not np.isfinite(places[reference]).any():
            return math.nan
        across = _mean_seen(places - np.array([median_seen(each) for each in places[reference].T]))
        known = inside & np.isfinite(across)
        if known.sum() < _FEWEST or np.ptp(along[known]) < _LEAST_WAY_CM:
            return math.nan
        return float(np.polyfit(along[known], across[known], 1)[0])

    here = slope(scene.yaw.value)
    by_degree = slope(scene.yaw.value + 1.0) - here
    if not math.isfinite(here + by_degree) or abs(by_degree) < 1e-3:
        return scene.yaw
    own = scene.yaw.standard_uncertainty
    share = own**2 / (own**2 + SWING_SD_DEG**2)
    off = abs(here / by_degree) / math.hypot(own, SWING_SD_DEG)
    return evolve(
        scene.yaw,
        value=scene.yaw.value - share * here / by_degree,
        standard_uncertainty=max(off, 1.0) * SWING_SD_DEG * math.sqrt(share),
        method=f"{scene.yaw.method}; direction of the swing",
        budget={},
    )


def _mean_seen(values: Floats) -> Floats:
    """Return the mean over columns of what is seen, (N,); NaN where nothing is."""
    seen = np.isfinite(values)
    total = np.where(seen, values, 0.0).sum(axis=1)
    return np.where(seen.any(axis=1), total / np.maximum(seen.sum(axis=1), 1), np.nan)
