"""Elbow bends, gaps and depth, each from the views that can tell it."""

import math
from collections.abc import Mapping
from functools import partial
from typing import Final

import numpy as np

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
from putt_posture.values import Estimate, MeasureName, Student, View, ViewResult, Whose, absent, side_of

__all__ = ["measure_elbows"]

MEASURED_AHEAD_SD_CM: Final = 2.5
"""How well the landmarks tell an elbow's depth along the trunk, one sigma (accuracy study)."""
NOMINAL_STATION: Final = 0.35
FAR_ARM_EXTRA_SD_CM: Final = 1.5
"""The far arm's depth is taken from the near one."""


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
    found: dict[MeasureName, Estimate] = {}
    bends: tuple[tuple[MeasureName, Whose], ...] = (("elbow_bend_lead", "lead"), ("elbow_bend_trail", "trail"))
    gaps: tuple[tuple[MeasureName, Whose], ...] = (("elbow_gap_lead", "lead"), ("elbow_gap_trail", "trail"))
    for name, whose in bends:
        found[name] = _bend(name, whose, views, planes, student)
    for name, whose in gaps:
        found[name] = _gap(name, whose, views, planes, student, outlines)
    if "down_the_line" in views:
        found["elbow_depth"] = _depth(views["down_the_line"], planes["down_the_line"], student, outlines)
    return found


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
    outlines: tuple[BackOutline, ...],
) -> Estimate:
    if "face_on" not in views:
        return absent("Only the face-on view shows how far the elbow is beside the ribs.", unit="cm", view="face_on")
    side = side_of(whose, student.handed)
    front, plane = views["face_on"], planes["face_on"]
    ahead, ahead_sd, station, behind = NOMINAL_AHEAD_CM, NOMINAL_AHEAD_SD_CM, NOMINAL_STATION, None
    method = "elbow against an elliptical trunk from the body tables, face on alone"
    if "down_the_line" in views:
        side_view = views["down_the_line"]
        near = near_side(side_view.scene)
        place = place_elbow(planes["down_the_line"], side=near)
        if np.isfinite(place.ahead).any():
            ahead, station = float(np.nanmedian(place.ahead)), float(np.nanmedian(place.station))
            ahead_sd = MEASURED_AHEAD_SD_CM if side == near else math.hypot(MEASURED_AHEAD_SD_CM, FAR_ARM_EXTRA_SD_CM)
            behind = back_behind_cm(
                outlines[side_view.still_index], station=station, px_per_cm=side_view.scene.px_per_cm.value
            )
            method = "elbow in both views against an elliptical trunk from the body tables and the outline"
    section = trunk_section(student, behind_cm=behind)
    arm_u, trunk_u, _ = visible_window_px(front.joints, front.still_index, side=side)
    window = abs(trunk_u - arm_u) / front.scene.px_per_cm.value
    window = window if math.isfinite(window) else 0.0
    unknown = gap_sd(
        plane, side=side, section=section, ahead_cm=ahead, ahead_sd=ahead_sd, station=station, window_cm=window
    )
    return estimate_from(
        partial(elbow_gap, side=side, section=section, ahead_cm=ahead, station=station, window_cm=window),
        plane,
        front.scene,
        unit="cm",
        model_sd=MODEL_SD[name],
        other={"trunk by the body tables": unknown},
        method=method,
        unseen="The elbow, the hips or the shoulders are hidden or outside the face-on picture.",
        floor=0.0,
    )


def _depth(side_view: ViewResult, plane: Plane, student: Student, outlines: tuple[BackOutline, ...]) -> Estimate:
    near = near_side(side_view.scene)
    station = place_elbow(plane, side=near).station
    middle = float(np.nanmedian(station)) if np.isfinite(station).any() else NOMINAL_STATION
    behind = back_behind_cm(outlines[side_view.still_index], station=middle, px_per_cm=side_view.scene.px_per_cm.value)
    section = trunk_section(student, behind_cm=behind)
    return estimate_from(
        partial(elbow_depth, side=near, section=section),
        plane,
        side_view.scene,
        unit="cm",
        model_sd=MODEL_SD["elbow_depth"],
        other={"trunk by the body tables": section.depth_sd},
        method="near elbow landmark against the trunk's depth from the body tables and the outline of the back",
        unseen="The near elbow, the hips or the shoulders are hidden or outside the picture.",
    )
