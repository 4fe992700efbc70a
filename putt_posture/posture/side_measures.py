"""What the down-the-line view measures, elbows apart."""

from functools import partial

import numpy as np

from putt_posture.posture import balance, finding, limbs, putter_and_ball, trunk
from putt_posture.posture.plane import Plane, near_side
from putt_posture.posture.rounding import back_rounding
from putt_posture.posture.side_outline import SideOutline
from putt_posture.posture.spec import Spec, estimates_of, no_measure, typed_length
from putt_posture.posture.things_in_space import ball_seen_from_side, shaft_seen_from_side
from putt_posture.values import Estimate, MeasureName, Scene, Student, median_seen

__all__ = ["measure_side"]


def measure_side(
    seen: tuple[Plane, Scene],
    student: Student,
    outlines: tuple[SideOutline, ...],
    *,
    front: tuple[Plane, Scene] | None,
) -> dict[MeasureName, Estimate]:
    """Measure one down-the-line view.

    Parameters
    ----------
    seen : (Plane, Scene)
        The down-the-line view.
    student : Student
    outlines : tuple of SideOutline
        Of each frame.
    front : (Plane, Scene) or None
        The face-on view, which tells how far shaft and ball lie toward the target.
    """
    plane, scene = seen
    near = near_side(scene)
    folds = np.array([outline.back.rounding_sd_deg() for outline in outlines])
    specs = [
        Spec(
            name="spine_tilt",
            measure=trunk.spine_tilt,
            method="mid-hip to mid-shoulder landmarks",
            unseen="The hips or the shoulders are hidden or outside the picture.",
        ),
        Spec(
            name="head_drop",
            measure=trunk.head_drop,
            method="mid-shoulder to mid-ear landmarks against the spine line",
            unseen="The ears, shoulders or hips are hidden or outside the picture.",
        ),
        Spec(
            name="knee_flex",
            measure=partial(limbs.knee_flex, near=near),
            method="hip, knee and ankle landmarks of the near leg",
            unseen="The near leg is hidden or outside the picture.",
        ),
        Spec(
            name="hand_offset",
            measure=limbs.hand_offset,
            method="wrist and knuckle landmarks of both hands against the mid-shoulder",
            unseen="The hands or the shoulders are hidden or outside the picture.",
        ),
        Spec(
            name="hand_height",
            measure=limbs.hand_height,
            method="wrist and knuckle landmarks above the ground",
            unseen="The hands are hidden or outside the picture.",
        ),
        Spec(
            name="balance",
            measure=partial(balance.balance, sex=student.sex, stature_cm=student.stature_cm),
            method="segment masses on the landmarks",
            unseen="A joint or a foot is hidden or outside the picture, so the centre of mass is not known.",
        ),
        Spec(
            name="back_rounding",
            measure=partial(back_rounding, outlines=[outline.back for outline in outlines]),
            method="outline of the back about the mid-hip to mid-shoulder line",
            unseen="The outline of the back could not be followed from the pelvis to the neck.",
            other={"outline of the back": float(np.nan_to_num(median_seen(folds)))},
        ),
    ]
    found = estimates_of(specs, plane, scene)
    if scene.ground_v_px.frames == 0:
        reason = "The feet are hidden or outside the picture, so the ground is not known."
        found["hand_height"] = no_measure("hand_height", reason, scene.view)
    found["balance"] = balance.keep_if_telling(found["balance"])
    found |= _with_shaft(plane, scene, student, front)
    found |= _with_ball(plane, scene, front)
    return found


def _with_shaft(
    plane: Plane, scene: Scene, student: Student, front: tuple[Plane, Scene] | None
) -> dict[MeasureName, Estimate]:
    if scene.shaft_px is None:
        names: tuple[MeasureName, ...] = ("shaft_lie", "putter_length")
        return {name: no_measure(name, finding.no_shaft(scene), scene.view) for name in names}
    shaft, unseen = shaft_seen_from_side(scene.shaft_px, plane=plane, front=front), "The shaft could not be placed."
    lie = Spec(
        name="shaft_lie",
        measure=partial(putter_and_ball.shaft_lie, shaft=shaft),
        method=finding.shaft_as(scene),
        unseen=unseen,
        other=finding.shaft_uncertainty(scene, "shaft_lie"),
    )
    length = Spec(
        name="putter_length",
        measure=partial(putter_and_ball.putter_length, shaft=shaft),
        method=finding.putter_ends_as(scene),
        unseen=unseen,
        other=finding.putter_uncertainty(scene),
    )
    if scene.scale_source == "putter" and student.putter_length_cm is not None:
        return {**estimates_of([lie], plane, scene), "putter_length": typed_length(student.putter_length_cm)}
    return estimates_of([lie, length], plane, scene)


def _with_ball(plane: Plane, scene: Scene, front: tuple[Plane, Scene] | None) -> dict[MeasureName, Estimate]:
    if scene.ball_px is None:
        names: tuple[MeasureName, ...] = ("eye_offset", "ball_distance")
        return {name: no_measure(name, finding.no_ball(scene), scene.view) for name in names}
    ball = ball_seen_from_side(scene.ball_px, plane=plane, front=front)
    specs = [
        Spec(
            name="eye_offset",
            measure=partial(putter_and_ball.eye_offset, ball=ball),
            method=f"eye landmarks against {finding.ball_as(scene)}",
            unseen="The eyes are hidden or outside the picture.",
            other=finding.ball_uncertainty(scene, "eye_offset"),
        ),
        Spec(
            name="ball_distance",
            measure=partial(putter_and_ball.ball_distance, ball=ball),
            method=f"toe landmarks against {finding.ball_as(scene)}",
            unseen="The feet are hidden or outside the picture.",
            other=finding.ball_uncertainty(scene, "ball_distance"),
        ),
    ]
    return estimates_of(specs, plane, scene)
