"""Every measure of a lesson, present or absent: the one place that knows which view gives what."""

from collections.abc import Mapping
from typing import Final

from putt_posture.posture.depth import ahead_of_ankles_cm, beside_midline_cm, measured_ahead_cm, measured_beside_cm
from putt_posture.posture.elbow_measures import measure_elbows
from putt_posture.posture.front_measures import measure_front
from putt_posture.posture.hidden_hands import hold_hands_against_others
from putt_posture.posture.marks import mark_view
from putt_posture.posture.nape import find_nape
from putt_posture.posture.plane import Plane, near_side, place_in_plane
from putt_posture.posture.side_measures import measure_side
from putt_posture.posture.side_outline import SideOutline, read_side_outline
from putt_posture.posture.spec import no_measure, typed_length
from putt_posture.values import (
    MEASURES,
    VIEW_WORDS,
    Estimate,
    MeasureName,
    Posture,
    Student,
    View,
    ViewResult,
    views_of,
)

__all__ = ["measure_posture"]

PASSES: Final = 2
"""Each view gives the other its depths this often; after that they no longer move (0.01 cm)."""


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
    seen = {view: (plane, views[view].scene) for view, plane in planes.items()}
    found: dict[MeasureName, Estimate] = {}
    outlines: tuple[SideOutline, ...] = ()
    warnings: tuple[str, ...] = ()
    if "down_the_line" in views:
        outlines = _outlines(views["down_the_line"], student)
        found |= measure_side(seen["down_the_line"], student, outlines, front=seen.get("face_on"))
        widened, warnings = hold_hands_against_others(
            found, seen["down_the_line"], seen.get("face_on"), views["down_the_line"].landmarks, student
        )
        found |= widened
    if "face_on" in views:
        found |= measure_front(seen["face_on"], student, side=seen.get("down_the_line"))
    found |= measure_elbows(views, planes, student, outlines)
    if not found.get("putter_length") and student.putter_length_cm is not None:
        found["putter_length"] = typed_length(student.putter_length_cm)
    estimates = {name: found[name] if name in found else _missing_view(name) for name in MEASURES}
    marks = {
        view: mark_view(
            result,
            planes[view],
            student,
            outline=outlines[result.still_index].back if view == "down_the_line" else None,
            estimates=estimates,
        )
        for view, result in views.items()
    }
    return Posture(estimates=estimates, marks=marks, warnings=warnings)


def _planes(views: Mapping[View, ViewResult], student: Student) -> dict[View, Plane]:
    """Return the plane of each view; what is depth in the one is measured in the other."""
    planes: dict[View, Plane] = {}
    side, front = views.get("down_the_line"), views.get("face_on")
    ahead = ahead_of_ankles_cm(student.stature_cm)
    if side is not None:
        beside = beside_midline_cm(student.stature_cm, near=near_side(side.scene))
        planes["down_the_line"] = place_in_plane(side, toward_cm=beside)
        ahead = measured_ahead_cm(planes["down_the_line"], fallback=ahead)
    if front is not None:
        planes["face_on"] = place_in_plane(front, toward_cm=ahead)
    if side is not None and front is not None:
        for _ in range(PASSES):
            beside = measured_beside_cm(planes["face_on"], fallback=beside)
            planes["down_the_line"] = place_in_plane(side, toward_cm=beside)
            ahead = measured_ahead_cm(planes["down_the_line"], fallback=ahead)
            planes["face_on"] = place_in_plane(front, toward_cm=ahead)
    return planes


def _outlines(side: ViewResult, student: Student) -> tuple[SideOutline, ...]:
    forward, px_per_cm = side.scene.forward, side.scene.px_per_cm.value
    napes = find_nape(side.landmarks, near=near_side(side.scene), forward=forward, sex=student.sex)
    return tuple(
        read_side_outline(side.joints, index, forward=forward, px_per_cm=px_per_cm, nape_px=nape)
        for index, nape in enumerate(napes)
    )


def _missing_view(name: MeasureName) -> Estimate:
    views = views_of(name)
    if len(views) == 1:
        return no_measure(name, f"No {VIEW_WORDS[views[0]]} clip was given, and only that view shows it.", views[0])
    return no_measure(name, "It needs both clips, and only one was given.", None)
