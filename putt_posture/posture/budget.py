"""From a number in every frame to one estimate: the frames joined, the uncertainties added up.

What goes in, one sigma each: the scatter between frames and between setups; what the landmark model is known
to miss (`model_error`); the scale; the camera's roll and yaw; the ground line. They are taken as independent
and added in quadrature (the law of propagation of uncertainty, JCGM 100:2008, 5.1.2).
"""

import math
from collections.abc import Callable
from typing import Final

import numpy as np
from numpy.typing import NDArray

from putt_posture.posture.plane import Floats, Plane
from putt_posture.values import Estimate, Scene, View, absent

__all__ = ["FrameMeasure", "estimate_from", "join_frames"]

FrameMeasure = Callable[[Plane], Floats]
"""A measure as a pure function of the plane: (T,) values, NaN where it cannot be read."""

MIN_SHARE_OF_FRAMES: Final = 0.5
"""A measure that fewer frames than this share can tell is absent."""


def join_frames(values: Floats, setup_index: NDArray[np.int64]) -> tuple[float, float, int]:
    """Join the values of all frames.

    Parameters
    ----------
    values : (T,)
        NaN where unseen.
    setup_index : (T,)
        Which setup each frame belongs to.

    Returns
    -------
    value : float
        The mean over the setups of each setup's median.
    standard_uncertainty : float
        Of that mean: scatter within the setups and, where there are several, between them.
    frames : int
        How many frames told something.
    """
    centres, errors, frames = [], [], 0
    for setup in np.unique(setup_index):
        seen = values[(setup_index == setup) & np.isfinite(values)]
        if seen.size == 0:
            continue
        frames += seen.size
        centres.append(float(np.median(seen)))
        errors.append(float(np.std(seen, ddof=1)) / math.sqrt(seen.size) if seen.size > 1 else 0.0)
    if not centres:
        return math.nan, math.nan, 0
    setups = len(centres)
    within = math.sqrt(sum(error**2 for error in errors)) / setups
    between = float(np.std(centres, ddof=1)) / math.sqrt(setups) if setups > 1 else 0.0
    return float(np.mean(centres)), math.hypot(within, between), frames


def estimate_from(
    measure: FrameMeasure,
    plane: Plane,
    scene: Scene,
    *,
    unit: str,
    model_sd: float,
    method: str,
    unseen: str,
    floor: float | None = None,
    view: View | None = None,
) -> Estimate:
    """Measure all frames and say how sure the result is.

    Parameters
    ----------
    measure : FrameMeasure
    plane : Plane
    scene : Scene
        Gives the uncertainty of roll, yaw, scale and ground.
    unit : str
    model_sd : float
        One sigma of what the landmark model misses, in `unit`.
    method : str
        One short phrase.
    unseen : str
        The sentence that says why the measure is absent where too few frames tell it.
    floor : float, optional
        The least value that makes sense; the value is raised to it.
    view : View, optional
        Defaults to the view of `scene`.

    Returns
    -------
    Estimate
    """
    view = scene.view if view is None else view
    values = measure(plane)
    value, scatter, frames = join_frames(values, plane.setup_index)
    if frames < MIN_SHARE_OF_FRAMES * values.size or frames == 0:
        return absent(unseen, unit=unit, view=view, method=method)
    shifts = (
        plane.shifted(roll_deg=scene.roll.standard_uncertainty),
        plane.shifted(scale=scene.px_per_cm.standard_uncertainty / scene.px_per_cm.value),
        plane.shifted(ground_px=scene.ground_v_px.standard_uncertainty),
        plane.shifted(yaw_deg=scene.yaw_sd_deg),
        plane.shifted(yaw_deg=-scene.yaw_sd_deg),
    )
    effects = [join_frames(measure(shifted), plane.setup_index)[0] - value for shifted in shifts]
    camera = [*effects[:3], max(effects[3:], key=abs)]
    total = math.sqrt(scatter**2 + model_sd**2 + sum(effect**2 for effect in camera if math.isfinite(effect)))
    if floor is not None:
        value = max(value, floor)
    return Estimate(
        value=value,
        standard_uncertainty=total,
        unit=unit,
        view=view,
        frames=frames,
        method=method,
        floor=floor,
    )
