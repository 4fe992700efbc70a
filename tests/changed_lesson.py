"""The invented lesson with a wanted setup: ghost, curves, arcs and spec."""

import numpy as np
from attrs import evolve
from invented import make_lesson
from invented_golfer import side_joints, side_shaft

from putt_posture.club_spec import find_club_spec
from putt_posture.setup_arc import compare_arcs, find_arc
from putt_posture.values import Estimate, Lesson, Pendulum, PutterCurves, StandingFigure

HEEL = 6.0
"""How far the heel of the invented student lies behind their ankle, cm: where a figure begins to count."""


def make_figure() -> StandingFigure:
    """Return the invented student in their own setup."""
    moved = {name: (float(y) + HEEL, float(z)) for name, (y, z) in side_joints().items()}
    butt, sole = ((float(y) + HEEL, float(z)) for y, z in side_shaft())
    names = ("heel", "toe", "ankle", "knee", "hip", "shoulder", "ear", "elbow", "wrist", "hands")
    joints = {name: moved[name] for name in names} | {"eye": moved["eyes"]}
    return StandingFigure(joints=joints, butt=butt, sole=sole, ball=moved["ball"], back_rounding_deg=17.0)


def make_curves() -> PutterCurves:
    """Return straight lines that go the way that curves go."""
    inches = np.linspace(30, 37, 29)
    flat = np.zeros_like(inches)
    return PutterCurves(
        putter_length_cm=inches * 2.54, spine_tilt=36 - 4 * (inches - 33), back_rounding=20 + (inches - 33) ** 2,
        head_drop=flat, knee_flex=15 - 2 * (inches - 33), elbow_bend=flat, lie=flat + 71,
        hand_offset=2.5 * (inches - 33), elbow_depth=flat, eye_offset=flat, hand_height=flat, ball_distance=flat,
        strain=flat, suggested_cm=33 * 2.54, current_cm=36 * 2.54,
    )  # fmt: skip


def make_changed_lesson(**changes: object) -> Lesson:
    """Return the invented lesson with all that a wanted setup brings."""
    lesson = make_lesson()
    student = evolve(lesson.student, putter_length_cm=36 * 2.54)
    wanted = {
        "spine_tilt": Estimate(value=40.2, standard_uncertainty=2.0, unit="deg"),
        "hand_offset": Estimate(value=0.0, standard_uncertainty=0.5, unit="cm"),
        "knee_flex": Estimate(value=15.0, standard_uncertainty=3.0, unit="deg"),
    }
    fit = evolve(lesson.fit, setup=wanted, curves=make_curves(), figure=make_figure())
    arcs = [_arc(10.0, 1.4), _arc(0.0, 0.5)]
    made = evolve(
        lesson, student=student, fit=fit, arcs=compare_arcs(*arcs),
        spec=find_club_spec(fit, evolve(student, putter_lie_deg=71.0)),
    )  # fmt: skip
    return evolve(made, **changes)


def _arc(offset: float, sigma: float):
    def cm(value: float, sigma: float) -> Estimate:
        return Estimate(value=value, standard_uncertainty=sigma, unit="cm")

    lie = Estimate(value=70.0, standard_uncertainty=1.0, unit="deg")
    return find_arc(Pendulum(hand_offset=cm(offset, sigma), shoulder_drop=cm(56, 2), hand_height=cm(75, 1), lie=lie))
