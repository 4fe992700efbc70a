"""What changes from address to impact: tilt, rounding, elbows against the ribs, the lead wrist.

Each is measured by the functions of the setup's measures, at address and at impact, so that what is always off drops
out of the difference. Where both are known, the pictures at the events (large model, one frame each) and the smoothed
series of all frames (small model) are joined, each weighted by its noise; where they disagree by more than their noise,
the disagreement counts as uncertainty.
"""

import math
from collections.abc import Mapping
from functools import partial
from typing import Final

import numpy as np
from attrs import evolve, field, frozen

from putt_posture.measures.trunk import spine_tilt
from putt_posture.posture.back import back_rounding, read_back_outline
from putt_posture.posture.budget import FrameMeasure
from putt_posture.posture.elbows import NOMINAL_ARM, ArmPlace, elbow_gap, place_arm
from putt_posture.posture.nape import find_nape
from putt_posture.posture.plane import Plane, near_side
from putt_posture.posture.seen_setup import SeenSetup
from putt_posture.strokes.budget import missing, settle
from putt_posture.strokes.noise import measure_noise
from putt_posture.strokes.paths import MODELS_DISAGREE
from putt_posture.strokes.smoothing import smooth_series
from putt_posture.strokes.stroke_plane import reference_frames, steady
from putt_posture.values import (
    Estimate,
    Floats,
    Landmarks,
    SeenStroke,
    Side,
    StrokeEvent,
    View,
    Whose,
    medians_seen,
)

__all__ = ["ChangeSetting", "measure_changes", "wrist_bend"]

ARM_MOVES_CM: Final = 1.0
"""How far an elbow may slide along the ribs by impact where only the view face on is looked at, one sigma, cm
(judged)."""
_LEAST_SETUP_FRAMES: Final = 4
_AROUND_S: Final = 0.05
"""Frames so near to an event, real seconds, stand for it where the effect of the camera is worked out."""
_NO_NOISE: Final = {"deg": 1.5, "cm": 0.7}
"""One sigma of a frame where too little stillness was seen to measure it (judged)."""


@frozen(kw_only=True, eq=False)
class ChangeSetting:
    """One stroke of one view, for its changes.

    Attributes
    ----------
    seen : SeenStroke
    setup : SeenSetup
        The measured setup of the lesson.
    plane : Plane
        The landmarks of all frames, as `plane_of_stroke` makes it.
    joint_offset_px : (33, 2)
        From a landmark to its joint.
    events : mapping of StrokeEvent to Estimate
        Clip times.
    stretch : float
        Clip seconds in a real second.
    """

    seen: SeenStroke
    setup: SeenSetup
    plane: Plane
    joint_offset_px: Floats = field(repr=False)
    events: Mapping[StrokeEvent, Estimate]
    stretch: float

    @property
    def view(self) -> View:
        """Of the stroke."""
        return self.seen.view

    def at_event(self, name: StrokeEvent) -> int | None:
        """Return which frame of the large model shows an event; None where none does.

        Parameters
        ----------
        name : StrokeEvent
        """
        return self.seen.event_names.index(name) if name in self.seen.event_names else None

    def in_own_pictures(self) -> Landmarks | None:
        """Return the joints at the events in the pixels of their own frames; None where they were not measured."""
        at = self.seen.at_events
        return None if at is None else evolve(at, points_px=at.points_px + self.joint_offset_px)

    def event_plane(self) -> Plane | None:
        """Return the joints at the events in the golfer's plane; None where they were not measured."""
        at = self.seen.at_events
        if at is None:
            return None
        nearest = [int(np.argmin(np.abs(self.seen.times_s - time))) for time in at.times_s]
        points = steady(at.points_px, self.seen.camera_px[nearest]) + self.joint_offset_px
        return evolve(self.plane, points_px=points, seen_px=points - self.joint_offset_px,
                      setup_index=np.arange(len(points)))  # fmt: skip


def wrist_bend(plane: Plane, *, side: Side) -> Floats:
    """Return the bend of a wrist as seen face on, (T,) deg; + = bent back where it is the lead wrist.

    From the direction of the forearm to that of the hand, elbow to wrist and wrist to between the knuckles of index and
    little finger; the back of the lead hand looks toward the target.

    Parameters
    ----------
    plane : Plane
        Face on.
    side : Side
    """
    wrist = plane.at(f"{side}_wrist")
    forearm = wrist - plane.at(f"{side}_elbow")
    hand = (plane.at(f"{side}_index") + plane.at(f"{side}_pinky")) / 2 - wrist
    across = forearm[:, 0] * hand[:, 1] - forearm[:, 1] * hand[:, 0]
    return np.asarray(np.degrees(np.arctan2(across, np.sum(forearm * hand, axis=1))))


def measure_changes(setting: ChangeSetting) -> dict[str, Estimate]:
    """Return the changes that a view shows, present or absent.

    Parameters
    ----------
    setting : ChangeSetting

    Returns
    -------
    dict of str to Estimate
        By the names of the records.
    """
    if setting.view == "down_the_line":
        return {
            "tilt_change": _change(
                "tilt_change", spine_tilt, setting, method="mid-hip to mid-shoulder landmarks",
                unseen="The hips or the shoulders were not seen at address and at impact.",
            ),
            "rounding_change": _rounding_change(setting),
            **{f"elbow_slide_{whose}": _slide(setting, whose) for whose in _BOTH},
        }  # fmt: skip
    lead = setting.setup.side("lead")
    return {
        **{f"elbow_gap_change_{whose}": _gap_change(setting, whose) for whose in _BOTH},
        "wrist_change": _change(
            "wrist_change", partial(wrist_bend, side=lead), setting, method="forearm and knuckles of the lead hand",
            unseen="The lead hand was not seen at address and at impact.",
        ),
    }  # fmt: skip


_BOTH: Final[tuple[Whose, ...]] = ("lead", "trail")


def _lacking(setting: ChangeSetting) -> str | None:
    return next((setting.events[name].absent for name in ("start", "impact") if not setting.events[name]), None)


def _change(
    name: str,
    of: FrameMeasure,
    setting: ChangeSetting,
    *,
    method: str,
    unseen: str,
    other: Mapping[str, float] | None = None,
) -> Estimate:
    if (reason := _lacking(setting)) is not None:
        return missing(name, reason, view=setting.view)
    found = [each for each in (_in_pictures(of, setting), _in_series(of, setting, name)) if each is not None]
    if not found:
        return missing(name, unseen, view=setting.view)
    weights = np.array([1 / max(noise, 1e-6) ** 2 for _, noise, _ in found])
    weights /= weights.sum()
    values = np.array([value for value, _, _ in found])
    value = float(weights @ values)
    noise = math.sqrt(float(weights**2 @ np.array([noise**2 for _, noise, _ in found])))
    apart = math.sqrt(float(weights @ (values - value) ** 2))
    causes = {
        "landmark noise": noise,
        MODELS_DISAGREE: apart,
        **_camera(of, setting),
        **(other or {}),
    }
    frames = sum(frames for _, _, frames in found)
    return settle(name, value, causes, view=setting.view, frames=frames, method=method)


def _in_pictures(of: FrameMeasure, setting: ChangeSetting) -> tuple[float, float, int] | None:
    """Return the change by the pictures at the events, its noise and the frames; None where it is not known so."""
    plane, start, impact = setting.event_plane(), setting.at_event("start"), setting.at_event("impact")
    still = of(setting.setup.planes[setting.view])
    still = still[np.isfinite(still)]
    if plane is None or start is None or impact is None or len(still) < _LEAST_SETUP_FRAMES:
        return None
    values = of(plane)
    change = float(values[impact] - values[start])
    frame_sd = 1.4826 * float(np.median(np.abs(still - np.median(still))))
    frame_sd = max(frame_sd, float(np.std(np.diff(still))) / math.sqrt(2), 1e-3)
    return (change, math.sqrt(2) * frame_sd, 2) if math.isfinite(change) else None


def _series(of: FrameMeasure, setting: ChangeSetting, unit: str) -> tuple[Floats, Floats, float] | None:
    """Return a measure in all frames against address, its noise there, and the noise of the address."""
    seen, stretch = setting.seen, setting.stretch
    values = of(setting.plane)
    reference = reference_frames(seen, setting.events, stretch) & np.isfinite(values)
    if reference.sum() < 3:
        return None
    real_s = seen.times_s / stretch
    noise = measure_noise(real_s, values, still_s=(seen.address_s[0] / stretch, seen.address_s[1] / stretch))
    noise = evolve(noise, quick=np.where(np.isfinite(noise.quick), noise.quick, _NO_NOISE[unit]))
    impact = setting.events["impact"]
    smooth = smooth_series(real_s, values, noise, breaks_s=(impact.value / stretch,) if impact else ())
    worth = max(noise.independent(real_s[reference]), 1.0)
    moved = smooth.values[:, 0] - float(values[reference].mean())
    return moved, smooth.sd[:, 0], float(noise.quick[0]) / math.sqrt(worth)


def _in_series(of: FrameMeasure, setting: ChangeSetting, name: str) -> tuple[float, float, int] | None:
    """Return the change by the series of all frames, its noise and the frames; None where it is not known so."""
    found = _series(of, setting, "cm" if name.startswith("elbow") else "deg")
    if found is None:
        return None
    moved, sd, address_sd = found
    times, impact = setting.seen.times_s, setting.events["impact"].value
    before = (times <= impact) & np.isfinite(moved)
    if not before.any():
        return None
    at = int(np.flatnonzero(before)[-1])
    if impact - times[at] > _AROUND_S * setting.stretch:
        return None
    return float(moved[at]), math.hypot(sd[at], address_sd), int(before.sum())


def _camera(of: FrameMeasure, setting: ChangeSetting) -> dict[str, float]:
    """Return what one sigma of yaw and scale does to a change; the roll drops out of it."""
    scene = setting.setup.scene(setting.view)
    here = _plain(of, setting, setting.plane)
    others = {
        "camera off square": setting.plane.shifted(yaw_deg=scene.yaw.standard_uncertainty),
        "scale": setting.plane.shifted(scale=scene.px_per_cm.standard_uncertainty / scene.px_per_cm.value),
    }
    effects = {cause: _plain(of, setting, plane) - here for cause, plane in others.items()}
    return {cause: effect for cause, effect in effects.items() if math.isfinite(effect)}


def _plain(of: FrameMeasure, setting: ChangeSetting, plane: Plane) -> float:
    """Return the change by the medians of the frames at address and of those just before impact."""
    times, impact = setting.seen.times_s, setting.events["impact"].value
    near = (times <= impact) & (times >= impact - _AROUND_S * setting.stretch)
    address = reference_frames(setting.seen, setting.events, setting.stretch)
    if not near.any() or not address.any():
        return math.nan
    values = of(plane)
    return float(medians_seen(values[near]) - medians_seen(values[address]))


def _rounding_change(setting: ChangeSetting) -> Estimate:
    """Return the change of the outline of the back, from the pictures at the events."""
    name, view = "rounding_change", setting.view
    if (reason := _lacking(setting)) is not None:
        return missing(name, reason, view=view)
    seen, start, impact = setting.in_own_pictures(), setting.at_event("start"), setting.at_event("impact")
    if seen is None or start is None or impact is None or not seen.outlines.size:
        return missing(name, "The outline of the back was not looked for at address and at impact.", view=view)
    scene = setting.setup.scene(view)
    as_given = setting.seen.at_events
    assert as_given is not None  # `in_own_pictures` found it
    napes = find_nape(as_given, near=near_side(scene), forward=scene.forward, sex=setting.setup.student.sex)
    backs = [read_back_outline(seen, index, forward=scene.forward, nape_px=napes[index]) for index in (start, impact)]
    two = [start, impact]
    plane = evolve(
        setting.plane, points_px=seen.points_px[two], seen_px=as_given.points_px[two], setup_index=np.arange(2)
    )
    values = back_rounding(plane, outlines=backs)
    folds = [back.rounding_sd_deg() for back in backs]
    if not np.isfinite([*values, *folds]).all():
        return missing(name, "The outline of the back could not be followed at address and at impact.", view=view)
    setup_backs = [outline.back for outline in setting.setup.outlines]
    still = back_rounding(setting.setup.planes[view], outlines=setup_backs)
    still = still[np.isfinite(still)]
    frame_sd = float(np.std(still, ddof=1)) if len(still) >= _LEAST_SETUP_FRAMES else min(folds)
    causes = {
        "landmark noise": math.sqrt(2) * frame_sd,
        "outline of the back": abs(folds[1] - folds[0]),
    }
    return settle(name, float(values[1] - values[0]), causes, view=view, frames=2,
                  method="outline of the back in the pictures of both moments")  # fmt: skip


def _gap_change(setting: ChangeSetting, whose: Whose) -> Estimate:
    name = f"elbow_gap_change_{whose}"
    side = setting.setup.side(whose)
    arm = _one_frame(setting.setup.arms.get(side, NOMINAL_ARM))
    shape = setting.setup.trunk.beside(1)
    of = partial(elbow_gap, side=side, shape=shape, arm=arm)
    farther = partial(elbow_gap, side=side, shape=shape, arm=evolve(arm, elbow_ahead=arm.elbow_ahead + ARM_MOVES_CM))
    other = {}
    if _lacking(setting) is None:
        times, impact = setting.seen.times_s, setting.events["impact"].value
        near = (times <= impact) & (times >= impact - _AROUND_S * setting.stretch)
        moved = (
            medians_seen(farther(setting.plane)[near]) - medians_seen(of(setting.plane)[near]) if near.any() else 0.0
        )
        other["elbow along the ribs"] = float(np.nan_to_num(moved))
    return _change(
        name, of, setting, other=other, method="elbow against an elliptical trunk, face on",
        unseen="The elbow, the hips or the shoulders were not seen at address and at impact.",
    )  # fmt: skip


def _one_frame(arm: ArmPlace) -> ArmPlace:
    return ArmPlace(**{
        each: np.array([np.nanmedian(getattr(arm, each))])
        for each in ("elbow_ahead", "elbow_station", "shoulder_ahead", "shoulder_station")
    })  # fmt: skip


def _slide(setting: ChangeSetting, whose: Whose) -> Estimate:
    """Return the largest way of the near elbow along the ribs between start and impact.

    The ribs turn with the shoulders, so it is held against the shoulder of the same side.
    """
    name, view = f"elbow_slide_{whose}", setting.view
    side = setting.setup.side(whose)
    if side != near_side(setting.setup.scene(view)):
        return missing(name, "Down the line the far arm is hidden behind the near one.", view=view)
    if (reason := _lacking(setting)) is not None:
        return missing(name, reason, view=view)

    def ahead(plane: Plane) -> Floats:
        arm = place_arm(plane, side=side)
        return np.full(len(plane.points_px), np.nan) if arm is None else arm.elbow_ahead - arm.shoulder_ahead

    found = _series(ahead, setting, "cm")
    times = setting.seen.times_s
    inside = (times >= setting.events["start"].value) & (times <= setting.events["impact"].value)
    unseen = "The near elbow, the hips or the shoulders were not seen between start and impact."
    if found is None or not np.isfinite(found[0][inside]).any():
        return missing(name, unseen, view=view)
    moved, sd, address_sd = found
    index = int(np.flatnonzero(inside)[np.nanargmax(np.abs(moved[inside]))])
    noise = math.hypot(sd[index], address_sd)
    seen = float(moved[index])
    value = math.copysign(math.sqrt(max(seen**2 - noise**2, 0.0)), seen)
    scene = setting.setup.scene(view)
    causes = {
        "landmark noise": noise,
        "largest of noisy values": seen - value,
        "scale": value * scene.px_per_cm.standard_uncertainty / scene.px_per_cm.value,
    }
    return settle(name, value, causes, view=view, frames=int(inside.sum()), method="near elbow against its shoulder")
