"""Every measure of a lesson, present or absent: the one place that knows which view gives what."""

from collections.abc import Mapping
from functools import partial
from typing import Final

import numpy as np
from attrs import evolve, frozen

from putt_posture.posture import balance, limbs, putter_and_ball, trunk
from putt_posture.posture.back import BackOutline, read_back_outline
from putt_posture.posture.budget import FrameMeasure, estimate_from
from putt_posture.posture.depth import ahead_of_ankles_cm, beside_midline_cm, measured_ahead_cm
from putt_posture.posture.elbow_measures import measure_elbows
from putt_posture.posture.marks import mark_view
from putt_posture.posture.model_error import MODEL_SD
from putt_posture.posture.plane import Plane, near_side, place_in_plane, side_of
from putt_posture.values import (
    MEASURES,
    Estimate,
    MeasureName,
    Posture,
    Scene,
    Student,
    View,
    ViewResult,
    absent,
    views_of,
)

__all__ = ["measure_posture"]

NAMES: Final[Mapping[View, str]] = {"down_the_line": "down-the-line", "face_on": "face-on"}
TAPE_SD_CM: Final = 0.3
"""One sigma of a putter measured with a tape (from memory)."""


def measure_posture(views: Mapping[View, ViewResult], student: Student) -> Posture:
    """Measure everything that the views allow.

    Parameters
    ----------
    views : mapping of View to ViewResult
        One or both views of the same setup.
    student : Student

    Returns
    -------
    Posture
        One estimate for each name of `MEASURES`; absent ones say why.
    """
    planes = _planes(views, student)
    found: dict[MeasureName, Estimate] = {}
    outlines: tuple[BackOutline, ...] = ()
    if "down_the_line" in views:
        outlines = _outlines(views["down_the_line"])
        found |= _measure_side(planes["down_the_line"], views["down_the_line"].scene, student, outlines)
    if "face_on" in views:
        found |= _measure_front(planes["face_on"], views["face_on"].scene, student)
    found |= measure_elbows(views, planes, student, outlines)
    if not found.get("putter_length") and student.putter_length_cm is not None:
        found["putter_length"] = _typed_length(student.putter_length_cm)
    estimates = {name: found.get(name) or _missing_view(name, found.get(name)) for name in MEASURES}
    marks = {
        view: mark_view(
            result, planes[view], student, outlines[result.still_index] if view == "down_the_line" else None
        )
        for view, result in views.items()
    }
    return Posture(estimates=estimates, marks=marks)


def _planes(views: Mapping[View, ViewResult], student: Student) -> dict[View, Plane]:
    planes: dict[View, Plane] = {}
    ahead = ahead_of_ankles_cm(student.stature_cm)
    if "down_the_line" in views:
        side = views["down_the_line"]
        beside = beside_midline_cm(student.stature_cm, near=near_side(side.scene))
        planes["down_the_line"] = place_in_plane(side.landmarks, side.scene, toward_cm=beside)
        ahead = measured_ahead_cm(planes["down_the_line"], fallback=ahead)
    if "face_on" in views:
        front = views["face_on"]
        planes["face_on"] = place_in_plane(front.landmarks, front.scene, toward_cm=ahead)
    return planes


@frozen(kw_only=True)
class _Spec:
    """How one measure is got from one view."""

    name: MeasureName
    measure: FrameMeasure
    method: str
    unseen: str


def _measure_side(
    plane: Plane, scene: Scene, student: Student, outlines: tuple[BackOutline, ...]
) -> dict[MeasureName, Estimate]:
    near = near_side(scene)
    specs = [
        _Spec(
            name="spine_tilt",
            measure=trunk.spine_tilt,
            method="mid-hip to mid-shoulder landmarks",
            unseen="The hips or the shoulders are hidden or outside the picture.",
        ),
        _Spec(
            name="head_drop",
            measure=trunk.head_drop,
            method="mid-shoulder to mid-ear landmarks against the spine line",
            unseen="The ears, shoulders or hips are hidden or outside the picture.",
        ),
        _Spec(
            name="knee_flex",
            measure=partial(limbs.knee_flex, near=near),
            method="hip, knee and ankle landmarks of the near leg",
            unseen="The near leg is hidden or outside the picture.",
        ),
        _Spec(
            name="hand_offset",
            measure=limbs.hand_offset,
            method="wrist and knuckle landmarks of both hands against the mid-shoulder",
            unseen="The hands or the shoulders are hidden or outside the picture.",
        ),
        _Spec(
            name="hand_height",
            measure=limbs.hand_height,
            method="wrist and knuckle landmarks above the ground",
            unseen="The hands are hidden or outside the picture.",
        ),
        _Spec(
            name="balance",
            measure=partial(balance.balance, sex=student.sex),
            method="segment masses on the landmarks",
            unseen="A joint or a foot is hidden or outside the picture, so the centre of mass is not known.",
        ),
        _Spec(
            name="back_rounding",
            measure=lambda _: np.array([outline.rounding_deg() for outline in outlines]),
            method="outline of the back",
            unseen="The outline of the back could not be followed from the pelvis to the neck.",
        ),
    ]
    found = _estimates(specs, plane, scene)
    found |= _with_shaft(plane, scene, student)
    found |= _with_ball(plane, scene)
    return found


def _with_shaft(plane: Plane, scene: Scene, student: Student) -> dict[MeasureName, Estimate]:
    if scene.shaft_px is None:
        reason = "The shaft is not known in the down-the-line picture; give its ends with --shaft-at."
        return {
            "shaft_lie": _none("shaft_lie", reason, scene.view),
            "putter_length": _none("putter_length", reason, scene.view),
        }
    lie = _Spec(
        name="shaft_lie",
        measure=partial(putter_and_ball.shaft_lie, shaft_px=scene.shaft_px),
        method="the shaft as the coach drew it",
        unseen="The shaft could not be placed.",
    )
    found = _estimates([lie], plane, scene)
    if scene.scale_source == "putter" and student.putter_length_cm is not None:
        found["putter_length"] = _typed_length(student.putter_length_cm)
    else:
        length = evolve(
            lie, name="putter_length", measure=partial(putter_and_ball.putter_length, shaft_px=scene.shaft_px)
        )
        found |= _estimates([length], plane, scene)
    return found


def _with_ball(plane: Plane, scene: Scene) -> dict[MeasureName, Estimate]:
    if scene.ball_px is None:
        reason = "The ball is not known in the down-the-line picture; give its centre with --ball-at."
        return {name: _none(name, reason, scene.view) for name in ("eye_offset", "ball_distance")}
    beyond = _toe_beyond_cm(plane)
    specs = [
        _Spec(
            name="eye_offset",
            measure=partial(putter_and_ball.eye_offset, ball_px=scene.ball_px),
            method="eye landmarks against the ball as the coach marked it",
            unseen="The eyes are hidden or outside the picture.",
        ),
        _Spec(
            name="ball_distance",
            measure=partial(putter_and_ball.ball_distance, ball_px=scene.ball_px, toe_beyond_cm=beyond),
            method="toe landmarks against the ball as the coach marked it",
            unseen="The feet are hidden or outside the picture.",
        ),
    ]
    return _estimates(specs, plane, scene)


def _toe_beyond_cm(plane: Plane) -> float:
    _, tip = balance.foot_ends(plane)
    beyond = tip - plane.middle("foot_index")[:, 0]
    return float(np.nanmedian(beyond)) if np.isfinite(beyond).any() else 0.0


def _measure_front(plane: Plane, scene: Scene, student: Student) -> dict[MeasureName, Estimate]:
    lead, trail = side_of("lead", student), side_of("trail", student)
    specs = [
        _Spec(
            name="stance_width",
            measure=limbs.stance_width,
            method="ankle landmarks",
            unseen="The ankles are hidden or outside the picture.",
        ),
        _Spec(
            name="shoulder_level",
            measure=partial(trunk.shoulder_level, lead=lead, trail=trail),
            method="shoulder landmarks",
            unseen="The shoulders are hidden or outside the picture.",
        ),
        _Spec(
            name="side_bend",
            measure=trunk.side_bend,
            method="mid-hip to mid-shoulder landmarks",
            unseen="The hips or the shoulders are hidden or outside the picture.",
        ),
        _Spec(
            name="sideways_balance",
            measure=partial(balance.sideways_balance, lead=lead, trail=trail, sex=student.sex),
            method="segment masses on the landmarks",
            unseen="A joint is hidden or outside the picture, so the centre of mass is not known.",
        ),
    ]
    if scene.ball_px is not None:
        specs += [
            _Spec(
                name="ball_position",
                measure=partial(putter_and_ball.ball_position, ball_px=scene.ball_px),
                method="ankle landmarks against the ball as the coach marked it",
                unseen="The ankles are hidden or outside the picture.",
            ),
            _Spec(
                name="head_position",
                measure=partial(putter_and_ball.head_position, ball_px=scene.ball_px),
                method="eye landmarks against the ball as the coach marked it",
                unseen="The eyes are hidden or outside the picture.",
            ),
        ]
    if scene.shaft_px is not None:
        specs.append(
            _Spec(
                name="shaft_lean",
                measure=partial(putter_and_ball.shaft_lean, shaft_px=scene.shaft_px),
                method="the shaft as the coach drew it",
                unseen="The shaft could not be placed.",
            )
        )
    found = _estimates(specs, plane, scene)
    ball = "The ball is not known in the face-on picture; give its centre with --ball-at."
    shaft = "The shaft is not known in the face-on picture; give its ends with --shaft-at."
    reasons: dict[MeasureName, str] = {"ball_position": ball, "head_position": ball, "shaft_lean": shaft}
    for name, reason in reasons.items():
        found.setdefault(name, _none(name, reason, scene.view))
    return found


def _estimates(specs: list[_Spec], plane: Plane, scene: Scene) -> dict[MeasureName, Estimate]:
    return {
        spec.name: estimate_from(
            spec.measure,
            plane,
            scene,
            unit=MEASURES[spec.name][0],
            model_sd=MODEL_SD[spec.name],
            method=spec.method,
            unseen=spec.unseen,
        )
        for spec in specs
    }


def _outlines(side: ViewResult) -> tuple[BackOutline, ...]:
    return tuple(
        read_back_outline(side.landmarks, index, forward=side.scene.forward)
        for index in range(len(side.landmarks.times_s))
    )


def _typed_length(length_cm: float) -> Estimate:
    return Estimate(value=length_cm, standard_uncertainty=TAPE_SD_CM, unit="cm", frames=0, method="typed by the coach")


def _none(name: MeasureName, reason: str, view: View | None) -> Estimate:
    return absent(reason, unit=MEASURES[name][0], view=view)


def _missing_view(name: MeasureName, found: Estimate | None) -> Estimate:
    if found is not None:
        return found
    views = views_of(name)
    if len(views) == 1:
        return _none(name, f"No {NAMES[views[0]]} clip was given, and only that view shows it.", views[0])
    return _none(name, "It needs both clips, and only one was given.", None)
