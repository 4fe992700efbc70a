"""Lengths, rises, sideways motion, low point and straightness of the paths of hands and putter head."""

import math
from collections.abc import Mapping
from typing import Final

import numpy as np
from attrs import frozen

from putt_posture.strokes.budget import missing, settle
from putt_posture.strokes.paths import HANDS_HOLD, PointPath
from putt_posture.values import Estimate, Floats, StrokeEvent, View

__all__ = ["PathSetting", "measure_paths"]

_METHOD: Final = {"hands": "landmarks of both hands, each frame", "putter_head": "putter head, each frame"}
_BY_SHAFT: Final = "the shaft where the hands hold it, each frame"
_Leg = tuple[str, StrokeEvent, StrokeEvent]
_FEWEST_FOR_A_BOW: Final = 8
_SHARE_OF_WAY: Final = 0.7
"""The lowest point is looked for in this share of the way to either side."""
_RADII_CM: Final = (15.0, 400.0)
"""A path that is more curved or flatter than this has no lowest point that a clip shows."""


@frozen(kw_only=True, eq=False)
class PathSetting:
    """What the numbers of one stroke's paths need besides the paths.

    Attributes
    ----------
    view : View
    events : mapping of StrokeEvent to Estimate
        Clip times.
    why_no_putter : str
        The reason where the putter head was not followed.
    why_no_ball : str
        The reason where it is not known where the ball lies.
    ball_along_cm : float
        In the plane; NaN where it is not known.
    roll_sd_deg : float
        One sigma of the camera's roll.
    hands_place_sd_cm : float
        One sigma of where the hands are against the ball at address, cm.
    along_line_cm : (N,) or None
        Down the line: how far the hands are along the target line in each frame, by the view face on or as usual.
    """

    view: View
    events: Mapping[StrokeEvent, Estimate]
    why_no_putter: str
    why_no_ball: str
    ball_along_cm: float
    roll_sd_deg: float
    hands_place_sd_cm: float
    along_line_cm: Floats | None


def measure_paths(paths: Mapping[str, PointPath], setting: PathSetting) -> dict[str, Estimate]:
    """Return the numbers of the paths that a view shows, present or absent.

    Parameters
    ----------
    paths : mapping of str to PointPath
    setting : PathSetting

    Returns
    -------
    dict of str to Estimate
        By the names of the records.
    """
    numbers: dict[str, Estimate] = {}
    for point, name in (("hands", "hands"), ("putter_head", "putter")):
        path = paths.get(point)
        unseen = "The hands were not seen through the stroke." if point == "hands" else setting.why_no_putter
        if setting.view == "face_on":
            numbers[f"{name}_back"] = _between(f"{name}_back", path, setting, "start", "top", 0, unseen)
            numbers[f"{name}_through"] = _between(f"{name}_through", path, setting, "impact", "finish", 0, unseen)
            rises: tuple[_Leg, ...] = (
                (f"{name}_rise_back", "start", "top"),
                (f"{name}_rise_through", "impact", "finish"),
            )
            for rise, first, last in rises:
                numbers[rise] = _between(rise, path, setting, first, last, 1, unseen)
        else:
            sides: tuple[_Leg, ...] = (
                (f"{name}_sideways_back", "start", "top"),
                (f"{name}_sideways_through", "start", "finish"),
            )
            for side, first, last in sides:
                numbers[side] = _between(side, path, setting, first, last, 0, unseen)
    hands = paths.get("hands")
    if setting.view == "face_on":
        numbers["hands_low_point"] = _low_point(hands, setting)
    else:
        numbers["hands_straightness"] = _straightness(hands, setting)
    return numbers


def _lacking(setting: PathSetting, *names: StrokeEvent) -> str | None:
    """Return the reason of the first event that is absent; None where all are known."""
    return next((setting.events[name].absent for name in names if not setting.events[name]), None)


def _between(
    name: str,
    path: PointPath | None,
    setting: PathSetting,
    first: StrokeEvent,
    last: StrokeEvent,
    axis: int,
    unseen: str,
) -> Estimate:
    """Return how far a path goes along one axis from one event to another; a length back counts as positive."""
    if path is None:
        return missing(name, unseen, view=setting.view)
    if (reason := _lacking(setting, first, last)) is not None:
        return missing(name, reason, view=setting.view)
    begin, end = setting.events[first], setting.events[last]
    one, two = path.index_at(begin.value), path.index_at(end.value)
    start, stop = path.at(begin.value), path.at(end.value)
    if stop is None or two is None:
        return missing(name, unseen, view=setting.view)
    times = [(end, two)]
    if first == "start":  # the place at address is where all displacements begin
        value, noise = stop[axis], math.hypot(path.noise_cm[two, axis], path.address_sd_cm[axis])
        effects = {cause: float(effect[two, axis]) for cause, effect in path.effects_cm.items()}
    else:
        if start is None or one is None:
            return missing(name, unseen, view=setting.view)
        value, noise = stop[axis] - start[axis], math.hypot(path.noise_cm[one, axis], path.noise_cm[two, axis])
        effects = {c: float(effect[two, axis] - effect[one, axis]) for c, effect in path.effects_cm.items()}
        if "motion of the camera" in effects:
            effects["motion of the camera"] = float(path.effects_cm["motion of the camera"][two, axis])
        times.append((begin, one))
    moved = [path.rate_cm_s[at, axis] * event.standard_uncertainty / path.stretch for event, at in times]
    causes = {"landmark noise": noise, "event times": math.hypot(*moved), **effects}
    size = -value if name.endswith("_back") and axis == 0 and setting.view == "face_on" else value
    frames = int(np.sum((path.times_s >= begin.value) & (path.times_s <= end.value)))
    method = _BY_SHAFT if axis == 0 and HANDS_HOLD in path.effects_cm else _METHOD[path.point]
    return settle(name, float(size), causes, view=setting.view, frames=frames, method=method)


def _low_point(path: PointPath | None, setting: PathSetting) -> Estimate:
    """Return where the bow of the hands is lowest, from a parabola through its frames, against the ball."""
    name = "hands_low_point"
    if path is None:
        return missing(name, "The hands were not seen through the stroke.", view=setting.view)
    if (reason := _lacking(setting, "top", "finish")) is not None:
        return missing(name, reason, view=setting.view)
    if not math.isfinite(setting.ball_along_cm):
        return missing(name, setting.why_no_ball, view=setting.view)
    top, finish = setting.events["top"].value, setting.events["finish"].value
    inside = (path.times_s >= top) & (path.times_s <= finish) & np.isfinite(path.raw_cm).all(axis=1)
    x, z = path.raw_cm[inside].T
    if inside.any():
        near = (x >= _SHARE_OF_WAY * x.min()) & (x <= _SHARE_OF_WAY * x.max())
        x, z = x[near], z[near]
    if len(x) < _FEWEST_FOR_A_BOW:
        return missing(name, "Too few frames show the hands near the ball.", view=setting.view)
    design = np.stack([np.ones_like(x), x, x**2], axis=1)
    found, *_ = np.linalg.lstsq(design, z, rcond=None)
    rest = z - design @ found
    scatter = max(float(np.sqrt(np.sum(rest**2) / max(len(x) - 3, 1))), float(path.frame_noise_cm[1]))
    covariance = scatter**2 / path.independent * np.linalg.inv(design.T @ design)
    bend = found[2]
    if not 1 / (2 * _RADII_CM[1]) <= bend <= 1 / (2 * _RADII_CM[0]):
        return missing(
            name, "The path of the hands is too flat to have a lowest point that the clip shows.", view=setting.view
        )
    lowest = -found[1] / (2 * bend)
    slope = np.array([0.0, -1 / (2 * bend), found[1] / (2 * bend**2)])
    noise = float(np.sqrt(slope @ covariance @ slope))
    if not x.min() <= lowest <= x.max() or noise > np.ptp(x):
        return missing(name, "The lowest point of the hands lies outside of what the stroke shows.", view=setting.view)
    causes = {
        "landmark noise": noise,
        "camera roll": math.radians(setting.roll_sd_deg)
        / (2 * float(bend)),  # a bow that is turned is lowest elsewhere
        "place of hands and ball": setting.hands_place_sd_cm,
    }
    value = float(path.place_cm[0] + lowest - setting.ball_along_cm)
    return settle(name, value, causes, view=setting.view, frames=len(x), method="parabola through the hands' path")


def _straightness(path: PointPath | None, setting: PathSetting) -> Estimate:
    """Return the root mean square distance of the hands from a straight line, without what noise adds."""
    name = "hands_straightness"
    if path is None:
        return missing(name, "The hands were not seen through the stroke.", view=setting.view)
    if (reason := _lacking(setting, "start", "finish")) is not None:
        return missing(name, reason, view=setting.view)
    if setting.along_line_cm is None:
        return missing(name, "The way of the hands along the line is not known.", view=setting.view)
    start, finish = setting.events["start"].value, setting.events["finish"].value
    inside = (path.times_s >= start) & (path.times_s <= finish) & np.isfinite(path.moved_cm).all(axis=1)
    if inside.sum() < _FEWEST_FOR_A_BOW:
        return missing(name, "Too few frames show the hands between start and finish.", view=setting.view)
    line = np.stack([np.ones(inside.sum()), setting.along_line_cm[inside]], axis=1)
    off = np.eye(len(line)) - line @ np.linalg.pinv(line)

    def mean_square(across: Floats) -> float:
        return float(np.mean((off @ across) ** 2))

    across = path.moved_cm[inside, 0]
    noise = float(np.mean(path.noise_cm[inside, 0] ** 2)) * (1 - 2 / len(line))
    square = mean_square(across)
    value = math.sqrt(max(square - noise, 0.0))
    seconds = (finish - start) / path.stretch
    free = max(6.0 * seconds * 2, 2.0)  # independent values of a series that is smoothed at about 6 Hz
    square_sd = math.hypot(noise * math.sqrt(2 / free), 2 * math.sqrt(max(square, 0.0) * noise / free))
    floor_sd = math.sqrt(max(square_sd, 1e-12))
    causes = {"landmark noise": min(square_sd / (2 * value), floor_sd) if value > 0 else floor_sd}
    for cause, effect in path.effects_cm.items():
        if cause != "motion of the camera":
            causes[cause] = math.sqrt(mean_square(across + effect[inside, 0])) - math.sqrt(square)
    if "motion of the camera" in path.effects_cm:
        causes["motion of the camera"] = float(path.effects_cm["motion of the camera"][0, 0]) / math.sqrt(free)
    return settle(name, value, causes, view=setting.view, frames=int(inside.sum()), method=_METHOD["hands"])
