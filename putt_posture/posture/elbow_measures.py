"""Elbow bends, gaps and depth, each from the views that can tell it."""

import math
from collections.abc import Mapping
from functools import partial
from typing import Final

import numpy as np
from attrs import field, frozen

from putt_posture.posture import limbs
from putt_posture.posture.budget import estimate_from, joint_effect
from putt_posture.posture.elbows import NOMINAL_ARM, ArmPlace, elbow_depth, elbow_depth_sd, elbow_gap, gap_sd, place_arm
from putt_posture.posture.model_error import MODEL_SD
from putt_posture.posture.plane import Plane, near_side
from putt_posture.posture.side_outline import SideOutline
from putt_posture.posture.trunk_shape import TrunkShape, shape_trunk
from putt_posture.values import Estimate, MeasureName, Scene, Side, Student, View, ViewResult, Whose, absent, side_of

__all__ = ["measure_elbows"]

MEASURED_AHEAD_SD_CM: Final = 2.5
"""How well the landmarks tell an elbow's depth along the trunk, one sigma (accuracy study)."""
NOMINAL_AHEAD_SD_CM: Final = 5.0
"""The same where no side view tells it."""
FAR_ARM_EXTRA_SD_CM: Final = 1.5
"""Down the line the far arm is half hidden."""

_SIDES: Final[tuple[Side, ...]] = ("left", "right")


@frozen(kw_only=True)
class _Trunk:
    """The trunk, and where the arms lie along it.

    Attributes
    ----------
    shape : TrunkShape
    arms : mapping of Side to ArmPlace
        Those that a side view tells, in the frames that go with those of the face-on view.
    near : Side or None
        The side toward the camera of the side view; None without one.
    """

    shape: TrunkShape
    arms: Mapping[Side, ArmPlace] = field(factory=dict)
    near: Side | None = None


def measure_elbows(
    views: Mapping[View, ViewResult],
    planes: Mapping[View, Plane],
    student: Student,
    outlines: tuple[SideOutline, ...],
) -> dict[MeasureName, Estimate]:
    """Measure both elbows' bend and gap and the near elbow's depth.

    Parameters
    ----------
    views, planes : mapping of View
        One or both views.
    student : Student
    outlines : tuple of SideOutline
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
        found["elbow_depth"] = _depth(views["down_the_line"].scene, planes["down_the_line"], trunk.shape)
    return found


def _see_trunk(
    views: Mapping[View, ViewResult],
    planes: Mapping[View, Plane],
    student: Student,
    outlines: tuple[SideOutline, ...],
) -> _Trunk:
    if "down_the_line" not in views:
        return _Trunk(shape=shape_trunk(student))
    scene, plane = views["down_the_line"].scene, planes["down_the_line"]
    front = planes.get("face_on", plane)
    arms = {side: place_arm(plane.beside(front), side=side) for side in _SIDES}
    return _Trunk(
        shape=shape_trunk(student, outlines, px_per_cm=scene.px_per_cm.value),
        arms={side: arm for side, arm in arms.items() if arm is not None},
        near=near_side(scene),
    )


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
        front = planes["face_on"]
        beside = planes["down_the_line"].beside(front)
        other = joint_effect(
            lambda plane: limbs.elbow_bend_in_space(front, side_view=plane, side=side),
            beside,
            np.concatenate([beside.errors_px, beside.offsets_px]),
        )
        return estimate_from(
            partial(limbs.elbow_bend_in_space, side_view=beside, side=side),
            front,
            views["face_on"].scene,
            unit="deg",
            model_sd=MODEL_SD[name],
            other={"joints in the other view": other},
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
    arm = trunk.arms.get(side, NOMINAL_ARM)
    if side not in trunk.arms:
        ahead_sd = NOMINAL_AHEAD_SD_CM
        method = "elbow against an elliptical trunk from the body tables, face on alone"
    else:
        ahead_sd = math.hypot(MEASURED_AHEAD_SD_CM, 0.0 if side == trunk.near else FAR_ARM_EXTRA_SD_CM)
        method = "elbow in both views against an elliptical trunk from the body tables and the outline"
    gap, shape = partial(elbow_gap, side=side), trunk.shape.beside(len(plane.points_px))
    return estimate_from(
        partial(gap, shape=shape, arm=arm),
        plane,
        front.scene,
        unit="cm",
        model_sd=MODEL_SD[name],
        other={"trunk and depth of the arm": gap_sd(partial(gap, plane), shape=shape, arm=arm, ahead_sd=ahead_sd)},
        method=method,
        unseen="The elbow, the hips or the shoulders are hidden or outside the face-on picture.",
        floor=0.0,
    )


def _depth(scene: Scene, plane: Plane, shape: TrunkShape) -> Estimate:
    near = near_side(scene)
    return estimate_from(
        partial(elbow_depth, side=near, shape=shape),
        plane,
        scene,
        unit="cm",
        model_sd=MODEL_SD["elbow_depth"],
        other={"depth of the trunk": elbow_depth_sd(plane, side=near, shape=shape)},
        method="near elbow landmark against the outline of chest and belly",
        unseen="The near elbow, the hips or the shoulders are hidden or outside the picture.",
    )
