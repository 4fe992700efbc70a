"""From a value in every frame to one estimate: the frames are combined and the uncertainties added.

Its parts, one sigma each: the scatter between frames and between setups; the known errors of the landmark model, and
its mean error on renders, which it may not have on people; the error of the measure itself (`Measure.model_sd`); the
scale; the camera's roll and yaw; the ground line. They count as independent and are added in quadrature (the law of
propagation of uncertainty, JCGM 100:2008, 5.1.2).
"""

import math
from collections.abc import Callable, Mapping
from typing import Final

import numpy as np
from numpy.typing import NDArray

from putt_posture.posture.plane import PatternKind, Plane
from putt_posture.values import Estimate, Floats, Scene, View, absent, medians_seen

__all__ = ["FrameMeasure", "estimate_from", "join_frames", "joint_effect"]

FrameMeasure = Callable[[Plane], Floats]
"""A measure as a pure function of the plane: (T,) values, NaN where it is not known.

A frame's value comes from that frame alone, so that many planes can be measured as one plane of many frames.
"""

MIN_SHARE_OF_FRAMES: Final = 0.5
"""A measure with values in a smaller share of the frames is absent."""


def join_frames(values: Floats, setup_index: NDArray[np.int64]) -> tuple[float, float, int]:
    """Combine the values of all frames.

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
        Number of frames with a value.
    """
    setups = _by_setup(values, setup_index)
    if not setups:
        return math.nan, math.nan, 0
    centres = [float(np.median(seen)) for seen in setups]
    errors = [float(np.std(seen, ddof=1)) / math.sqrt(seen.size) if seen.size > 1 else 0.0 for seen in setups]
    within = math.sqrt(sum(error**2 for error in errors)) / len(setups)
    between = float(np.std(centres, ddof=1)) / math.sqrt(len(setups)) if len(setups) > 1 else 0.0
    return float(np.mean(centres)), math.hypot(within, between), sum(seen.size for seen in setups)


def _by_setup(values: Floats, setup_index: NDArray[np.int64]) -> list[Floats]:
    """Return the values of each setup that has any."""
    seen = [values[(setup_index == setup) & np.isfinite(values)] for setup in np.unique(setup_index)]
    return [each for each in seen if each.size]


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
    other: Mapping[str, float] | None = None,
) -> Estimate:
    """Measure all frames and find the uncertainty of the result.

    Parameters
    ----------
    measure : FrameMeasure
    plane : Plane
    scene : Scene
        Gives the uncertainty of roll, yaw, scale and ground.
    unit : str
    model_sd : float
        Error of the measure itself, even with true joints, one sigma, in `unit`.
    method : str
        One short phrase.
    unseen : str
        The sentence that says why the measure is absent where too few frames have it.
    floor : float, optional
        The least value that makes sense; the value is raised to it.
    view : View, optional
        Defaults to the view of `scene`.
    other : mapping of str to float, optional
        Further causes of uncertainty, one sigma each, in `unit`.

    Returns
    -------
    Estimate
    """
    view = scene.view if view is None else view
    values = measure(plane)
    value, scatter, frames = join_frames(values, plane.setup_index)
    if frames < MIN_SHARE_OF_FRAMES * values.size or frames == 0:
        return absent(unseen, unit=unit, view=view, method=method)
    camera = _camera_effects(measure, plane, scene, value)
    budget = {
        "joints": joint_effect(measure, plane, "errors"),
        "renders are not people": joint_effect(measure, plane, "offsets"),
        "measure itself": model_sd,
        "scatter of the frames": scatter,
        **camera,
        **(other or {}),
    }
    raw, _, _ = join_frames(measure(plane.as_seen()), plane.setup_index)
    repeats = [float(np.median(seen)) for seen in _by_setup(values, plane.setup_index)]
    if floor is not None:
        value, raw = max(value, floor), max(raw, floor)
        repeats = [max(each, floor) for each in repeats]
        values = np.maximum(values, floor)
    return Estimate(
        value=value,
        standard_uncertainty=math.hypot(*budget.values()),
        unit=unit,
        view=view,
        frames=frames,
        method=method,
        floor=floor,
        raw_value=raw if math.isfinite(raw) else None,
        budget=budget,
        repeats=tuple(repeats),
        per_frame=tuple(values.tolist()),
    )


def joint_effect(measure: FrameMeasure, plane: Plane, kind: PatternKind) -> float:
    """Return the effect of a plane's joint errors on a measure, one sigma, in its unit.

    Each pattern moves the measure by half of the difference between its plus and its minus.

    Parameters
    ----------
    measure : FrameMeasure
    plane : Plane
    kind : PatternKind
        Which error patterns of the plane.
    """
    count = len(plane.patterns_px(kind))
    if not count:
        return 0.0
    values = measure(plane.misplaced_both_ways(kind)).reshape(2 * count, len(plane.setup_index))
    more, less = np.split(_middles(values, plane.setup_index), 2)
    return float(np.linalg.norm(np.nan_to_num((more - less) / 2)))


def _middles(values: Floats, setup_index: NDArray[np.int64]) -> Floats:
    """Return `join_frames` of each row of (N, T) values, (N,); NaN where a row has none."""
    total, setups = np.zeros(len(values)), np.zeros(len(values))
    known = np.where(np.isfinite(values), values, np.nan)
    for setup in np.unique(setup_index):
        median = medians_seen(known[:, setup_index == setup], axis=1)
        has_value = np.isfinite(median)
        total += np.where(has_value, median, 0.0)
        setups += has_value
    return np.asarray(np.divide(total, setups, out=np.full(len(values), np.nan), where=setups > 0))


def _camera_effects(measure: FrameMeasure, plane: Plane, scene: Scene, value: float) -> dict[str, float]:
    """Return how far one sigma of roll, scale, ground and yaw moves a measure."""
    yaw = scene.yaw.standard_uncertainty
    shifts = {
        "camera roll": (plane.shifted(roll_deg=scene.roll.standard_uncertainty),),
        "scale": (plane.shifted(scale=scene.px_per_cm.standard_uncertainty / scene.px_per_cm.value),),
        "ground": (plane.shifted(ground_px=scene.ground_v_px.standard_uncertainty),),
        "camera off square": (plane.shifted(yaw_deg=yaw), plane.shifted(yaw_deg=-yaw)),
    }
    effects = {}
    for cause, planes in shifts.items():
        moved = [abs(join_frames(measure(shifted), plane.setup_index)[0] - value) for shifted in planes]
        effects[cause] = max((effect for effect in moved if math.isfinite(effect)), default=0.0)
    return effects
