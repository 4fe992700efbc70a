"""Elbow bends, gaps and depth, each from the views that can tell it."""

import math
from collections.abc import Mapping
from functools import partial
from typing import Final

from attrs import frozen

from putt_posture.posture import limbs
from putt_posture.posture.back import BackOutline
from putt_posture.posture.budget import estimate_from
from putt_posture.posture.elbows import (
    NOMINAL_AHEAD_CM,
    NOMINAL_AHEAD_SD_CM,
    back_behind_cm,
    elbow_depth,
    elbow_gap,
    gap_sd,
    place_elbow,
    trunk_section,
    visible_window_px,
)
from putt_posture.posture.model_error import MODEL_SD
from putt_posture.posture.plane import Plane, near_side
from putt_posture.posture.ribs import TrunkSection
from putt_posture.values import (
    Estimate,
    MeasureName,
    Scene,
    Side,
    Student,
    View,
    ViewResult,
    Whose,
    absent,
    median_seen,
    side_of,
)

__all__ = ["measure_elbows"]

MEASURED_AHEAD_SD_CM: Final = 2.5
"""How well the landmarks tell an elbow's depth along the trunk, one sigma (accuracy study)."""
NOMINAL_STATION: Final = 0.35
FAR_ARM_EXTRA_SD_CM: Final = 1.5
"""The far arm's depth is taken from the near one."""


@frozen(kw_only=True)
class _Trunk:
    """The trunk at the elbows, and where the near elbow sits along it.

    Attributes
    ----------
    section : TrunkSection
    ahead, station : float
        Of the near elbow, as `place_elbow` gives them; nominal where no side view tells them.
    near : Side or None
        Whose elbow that is; None without a side view that shows it.
    """

    section: TrunkSection
    ahead: float = NOMINAL_AHEAD_CM
    station: float = NOMINAL_STATION
    near: Side | None = None


def measure_elbows(
    views: Mapping[View, ViewResult],
    planes: Mapping[View, Plane],
    student: Student,
    outlines: tuple[BackOutline, ...],
) -> dict[MeasureName, Estimate]:
    """Measure both elbows' bend and gap and the near elbow's depth.

    Parameters
    ----------
    views, planes : mapping of View
        One or both views.
    student : Student
    outlines : tuple of BackOutline
        Of the down-the-line frames; empty without that view.
    """
    trunk = _see_trunk(views, planes, student, outlines)
    found: dict[MeasureName, Estimate] = {
        "elbow_bend_lead": _bend("elbow_bend_lead", "lead", views, planes, student),
        "elbow_bend_trail": _bend("elbow_bend_trail", "trail", views, planes, student),
        "elbow_gap_lead": _gap("elbow_gap_lead", "lead", views, planes, student, trunk),
        "elbow_gap_trail": _gap("elbow_gap_trail", "trail", views, planes, student, trunk),
    }
    if "down_the_line" in views:
        found["elbow_depth"] = _depth(views["down_the_line"].scene, planes["down_the_line"], trunk.section)
    return found


def _see_trunk(
    views: Mapping[View, ViewResult],
    planes: Mapping[View, Plane],
    student: Student,
    outlines: tuple[BackOutline, ...],
) -> _Trunk:
    if "down_the_line" not in views:
        return _Trunk(section=trunk_section(student, behind_cm=None))
    side_view = views["down_the_line"]
    near = near_side(side_view.scene)
    place = place_elbow(planes["down_the_line"], side=near)
    ahead, station = median_seen(place.ahead), median_seen(place.station)
    if not math.isfinite(ahead):
        return _Trunk(section=trunk_section(student, behind_cm=None))
    behind = back_behind_cm(outlines[side_view.still_index], station=station, px_per_cm=side_view.scene.px_per_cm.value)
    return _Trunk(section=trunk_section(student, behind_cm=behind), ahead=ahead, station=station, near=near)


def _bend(
    name: MeasureName,
    whose: Whose,
    views: Mapping[View, ViewResult],
    planes: Mapping[View, Plane],
    student: Student,
) -> Estimate:
    side = side_of(whose, student.handed)
    unseen = "The arm is hidden or outside the picture."
    if "face_on" in views and "down_the_line" in views:
        return estimate_from(
            partial(limbs.elbow_bend_in_space, side_view=planes["down_the_line"], side=side),
            planes["face_on"],
            views["face_on"].scene,
            unit="deg",
            model_sd=MODEL_SD[name],
            method="shoulder, elbow and wrist landmarks of both views joined",
            unseen=unseen,
        )
    if "face_on" in views:
        reason = "Face on the arm bends toward the camera; film down the line as well."
        return absent(reason, unit="deg", view="face_on")
    if side != near_side(views["down_the_line"].scene):
        reason = "Down the line the far arm is hidden behind the near one; film face on as well."
        return absent(reason, unit="deg", view="down_the_line")
    return estimate_from(
        partial(limbs.elbow_bend, side=side),
        planes["down_the_line"],
        views["down_the_line"].scene,
        unit="deg",
        model_sd=MODEL_SD[name],
        method="shoulder, elbow and wrist landmarks of the near arm",
        unseen=unseen,
    )


def _gap(
    name: MeasureName,
    whose: Whose,
    views: Mapping[View, ViewResult],
    planes: Mapping[View, Plane],
    student: Student,
    trunk: _Trunk,
) -> Estimate:
    if "face_on" not in views:
        return absent("Only the face-on view shows how far the elbow is beside the ribs.", unit="cm", view="face_on")
    side = side_of(whose, student.handed)
    front, plane = views["face_on"], planes["face_on"]
    if trunk.near is None:
        ahead_sd = NOMINAL_AHEAD_SD_CM
        method = "elbow against an elliptical trunk from the body tables, face on alone"
    else:
        ahead_sd = math.hypot(MEASURED_AHEAD_SD_CM, 0.0 if side == trunk.near else FAR_ARM_EXTRA_SD_CM)
        method = "elbow in both views against an elliptical trunk from the body tables and the outline"
    arm_u, trunk_u, _ = visible_window_px(front.joints, front.still_index, side=side)
    window = abs(trunk_u - arm_u) / front.scene.px_per_cm.value
    gap = partial(elbow_gap, side=side, station=trunk.station, window_cm=window if math.isfinite(window) else 0.0)
    return estimate_from(
        partial(gap, section=trunk.section, ahead_cm=trunk.ahead),
        plane,
        front.scene,
        unit="cm",
        model_sd=MODEL_SD[name],
        other={
            "trunk by the body tables": gap_sd(
                partial(gap, plane), section=trunk.section, ahead_cm=trunk.ahead, ahead_sd=ahead_sd
            )
        },
        method=method,
        unseen="The elbow, the hips or the shoulders are hidden or outside the face-on picture.",
        floor=0.0,
    )


def _depth(scene: Scene, plane: Plane, section: TrunkSection) -> Estimate:
    return estimate_from(
        partial(elbow_depth, side=near_side(scene), section=section),
        plane,
        scene,
        unit="cm",
        model_sd=MODEL_SD["elbow_depth"],
        other={"trunk by the body tables": section.depth_sd},
        method="near elbow landmark against the trunk's depth from the body tables and the outline of the back",
        unseen="The near elbow, the hips or the shoulders are hidden or outside the picture.",
    )
