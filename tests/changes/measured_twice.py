"""Lessons made of a few numbers."""

from datetime import date

from attrs import evolve

from putt_posture.measures import MEASURES
from putt_posture.values import Estimate, LessonRecord, Measured, Student, ViewRecord, absent

STUDENT = Student(stature_cm=173.0, handed="right", name="Ada Invented", sex="female")
MODEL = "pose_large 0123456789ab"


def number(name, value, u=1.0, *, budget=None, repeats=(), view="down_the_line"):
    """Return one measure; its uncertainty follows from the budget where there is one."""
    if budget:
        u = sum(each**2 for each in budget.values()) ** 0.5
    return Estimate(
        value=value, standard_uncertainty=u, unit=MEASURES[name].unit, view=view, budget=budget or {}, repeats=repeats
    )


def measured(student=STUDENT, scale="stature", model=MODEL, **measures):
    """Return the measures of a lesson filmed down the line."""
    return Measured(
        measures=measures,
        scale_sources={"down_the_line": scale},
        landmark_models={"down_the_line": model},
        student=student,
    )


def view_record(view="down_the_line", **changes):
    """Return a view filmed square from four metres."""

    def reading(value, sd, unit="deg"):
        return Estimate(value=value, standard_uncertainty=sd, unit=unit, view=view)

    usual = ViewRecord(
        view=view, file=f"{view}.mov", sha256="ab" * 32, kind="video", size_px=(1080, 1920), setups=3,
        px_per_cm=reading(5.0, 0.1, "px/cm"), scale_source="stature", roll=reading(0.0, 0.25), yaw=reading(1.0, 2.0),
        distance_cm=reading(400.0, 20.0, "cm"), forward=1, ground_v_px=1500.0, still_index=0,
        still_box_px=(0, 0, 1080, 1920), still_size=(1080, 1920), landmark_model=MODEL,
    )  # fmt: skip
    return evolve(usual, **changes)


def record(**changes):
    """Return a lesson of both views with three setups each and no measures."""
    views = {"down_the_line": view_record(), "face_on": view_record("face_on", sha256="cd" * 32)}
    none = absent("Nothing was measured.", unit="cm")
    usual = LessonRecord(
        made_on=date(2026, 5, 17), student=STUDENT, measures={}, putter_length=none, lie=none, stock_length_in=None,
        views=views, versions={"putt_posture": "0.1.0"},
    )  # fmt: skip
    return evolve(usual, **changes)
