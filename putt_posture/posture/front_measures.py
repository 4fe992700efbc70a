"""What the face-on view measures, elbows apart."""

from functools import partial

from putt_posture.posture import balance, finding, limbs, putter_and_ball, trunk
from putt_posture.posture.plane import Plane
from putt_posture.posture.spec import Spec, estimates_of, no_measure
from putt_posture.posture.things_in_space import ball_seen_from_front, shaft_seen_from_front
from putt_posture.values import Estimate, MeasureName, Scene, Student, side_of

__all__ = ["measure_front"]


def measure_front(
    seen: tuple[Plane, Scene], student: Student, *, side: tuple[Plane, Scene] | None
) -> dict[MeasureName, Estimate]:
    """Measure one face-on view.

    Parameters
    ----------
    seen : (Plane, Scene)
        The face-on view.
    student : Student
    side : (Plane, Scene) or None
        The down-the-line view, which tells how far shaft and ball lie toward the camera.
    """
    plane, scene = seen
    lead, trail = side_of("lead", student.handed), side_of("trail", student.handed)
    specs = [
        Spec(
            name="stance_width",
            measure=limbs.stance_width,
            method="ankle landmarks",
            unseen="The ankles are hidden or outside the picture.",
        ),
        Spec(
            name="shoulder_level",
            measure=partial(trunk.shoulder_level, lead=lead, trail=trail),
            method="shoulder landmarks",
            unseen="The shoulders are hidden or outside the picture.",
        ),
        Spec(
            name="side_bend",
            measure=trunk.side_bend,
            method="mid-hip to mid-shoulder landmarks",
            unseen="The hips or the shoulders are hidden or outside the picture.",
        ),
        Spec(
            name="sideways_balance",
            measure=partial(balance.sideways_balance, lead=lead, trail=trail, sex=student.sex),
            method="segment masses on the landmarks",
            unseen="A joint is hidden or outside the picture, so the centre of mass is not known.",
        ),
    ]
    if scene.ball_px is not None:
        ball = ball_seen_from_front(scene.ball_px, side=side, stature_cm=student.stature_cm)
        specs += [
            Spec(
                name="ball_position",
                measure=partial(putter_and_ball.ball_position, ball=ball),
                method=f"ankle landmarks against {finding.ball_as(scene)}",
                unseen="The ankles are hidden or outside the picture.",
                other=finding.ball_uncertainty(scene, "ball_position"),
            ),
            Spec(
                name="head_position",
                measure=partial(putter_and_ball.head_position, ball=ball),
                method=f"eye landmarks against {finding.ball_as(scene)}",
                unseen="The eyes are hidden or outside the picture.",
                other=finding.ball_uncertainty(scene, "head_position"),
            ),
        ]
    if scene.shaft_px is not None:
        shaft = shaft_seen_from_front(scene.shaft_px, side=side, stature_cm=student.stature_cm)
        specs.append(
            Spec(
                name="shaft_lean",
                measure=partial(putter_and_ball.shaft_lean, shaft=shaft),
                method=finding.shaft_as(scene),
                unseen="The shaft could not be placed.",
                other=finding.shaft_uncertainty(scene, "shaft_lean"),
            )
        )
    found = estimates_of(specs, plane, scene)
    found["sideways_balance"] = balance.keep_if_telling(found["sideways_balance"])
    no_ball, no_shaft = finding.no_ball(scene), finding.no_shaft(scene)
    reasons: dict[MeasureName, str] = {"ball_position": no_ball, "head_position": no_ball, "shaft_lean": no_shaft}
    for name, reason in reasons.items():
        found.setdefault(name, no_measure(name, reason, scene.view))
    return found
