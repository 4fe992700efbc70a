"""Points of body, shaft, ball and ground in the still of each view; see `Posture.marks`."""

import math
from collections.abc import Mapping

import numpy as np

from putt_posture.posture import balance
from putt_posture.posture.back import BackOutline
from putt_posture.posture.plane import Plane, near_side
from putt_posture.posture.seen_setup import SeenSetup
from putt_posture.values import (
    Floats,
    Landmarks,
    Point,
    Side,
    Student,
    View,
    ViewResult,
    Whose,
    side_of,
)

__all__ = ["Marks", "keep_known", "mark_view"]

Marks = Mapping[str, tuple[Point, ...]]


def mark_view(seen: SeenSetup, view: View) -> Marks:
    """Return the marks of one view's still that several measures share, pixels; what was not found is left out.

    Parameters
    ----------
    seen : SeenSetup
    view : View
        One of its views.
    """
    result, plane, student = seen.results[view], seen.planes[view], seen.student
    index, landmarks = result.still_index, result.joints
    marks: dict[str, tuple[Point, ...]] = {
        "spine": _points(landmarks.middle("hip")[index], landmarks.middle("shoulder")[index]),
        "hands": _points(landmarks.hand_centre()[index]),
        "eyes": _points(landmarks.middle("eye")[index]),
        "ground": (plane.to_px(np.array([-60.0, 0.0])), plane.to_px(np.array([90.0, 0.0]))),
        "balance": _balance(plane, index, student),
    }
    if result.scene.shaft_px is not None:
        marks["shaft"] = result.scene.shaft_px
    if result.scene.ball_px is not None:
        marks["ball"] = (result.scene.ball_px,)
    if view == "down_the_line":
        marks |= _side_marks(result, plane, seen.outlines[index].back)
    else:
        marks |= _front_marks(result, student)
    return keep_known(marks)


def keep_known(marks: Marks) -> Marks:
    """Return the marks of which all points are known.

    Parameters
    ----------
    marks : Marks
    """
    return {name: points for name, points in marks.items() if points and np.isfinite(points).all()}


def _side_marks(result: ViewResult, plane: Plane, back: BackOutline) -> Marks:
    index, landmarks = result.still_index, result.joints
    near = near_side(result.scene)
    heel, toe = balance.foot_ends(plane)
    marks: dict[str, tuple[Point, ...]] = {
        "head": _points(landmarks.middle("shoulder")[index], landmarks.middle("ear")[index]),
        "near_leg": _chain(landmarks, index, near, ("hip", "knee", "ankle")),
        "near_arm": _chain(landmarks, index, near, ("shoulder", "elbow", "wrist")),
        "foot": (plane.to_px(np.array([heel[index], 0.0])), plane.to_px(np.array([toe[index], 0.0]))),
    }
    marks["back"] = back.polyline()
    marks["back_tangents"] = back.tangents()
    return marks


def _front_marks(result: ViewResult, student: Student) -> Marks:
    index, landmarks = result.still_index, result.joints
    lead, trail = side_of("lead", student.handed), side_of("trail", student.handed)
    marks: dict[str, tuple[Point, ...]] = {
        f"{part}s": _points(landmarks.point(f"{trail}_{part}")[index], landmarks.point(f"{lead}_{part}")[index])
        for part in ("shoulder", "hip", "ankle")
    }
    sides: tuple[tuple[Whose, Side], ...] = (("lead", lead), ("trail", trail))
    for whose, side in sides:
        marks[f"{whose}_arm"] = _chain(landmarks, index, side, ("shoulder", "elbow", "wrist"))
        marks[f"{whose}_leg"] = _chain(landmarks, index, side, ("hip", "knee", "ankle"))
    return marks


def _balance(plane: Plane, index: int, student: Student) -> tuple[Point, ...]:
    centre = balance.body_centre(plane, sex=student.sex)[index]
    if not math.isfinite(float(centre.sum())):
        return ()
    return plane.to_px(centre), plane.to_px(np.array([centre[0], 0.0]))


def _chain(landmarks: Landmarks, index: int, side: str, parts: tuple[str, ...]) -> tuple[Point, ...]:
    return _points(*(landmarks.point(f"{side}_{part}")[index] for part in parts))


def _points(*points: Floats) -> tuple[Point, ...]:
    return tuple((float(point[0]), float(point[1])) for point in points)
