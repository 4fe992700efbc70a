"""Where the measures can be drawn in the still of each view; see `Posture.marks`."""

import math

import numpy as np

from putt_posture.posture import balance
from putt_posture.posture.back import BackOutline
from putt_posture.posture.elbows import visible_window_px
from putt_posture.posture.plane import Floats, Plane, near_side, side_of
from putt_posture.values import Landmarks, Point, Student, ViewResult

__all__ = ["mark_view"]

Marks = dict[str, tuple[Point, ...]]


def mark_view(result: ViewResult, plane: Plane, student: Student, outline: BackOutline | None) -> Marks:
    """Return the marks of one view's still, pixels; those that were not found are left out.

    Parameters
    ----------
    result : ViewResult
    plane : Plane
        Of the same view.
    student : Student
    outline : BackOutline or None
        Of the still, down the line.
    """
    index, landmarks = result.still_index, result.landmarks
    marks: Marks = {
        "spine": _points(landmarks.middle("hip")[index], landmarks.middle("shoulder")[index]),
        "hands": _points(_hand_centre(landmarks, index)),
        "eyes": _points(landmarks.middle("eye")[index]),
        "ground": (plane.to_px(np.array([-60.0, 0.0])), plane.to_px(np.array([90.0, 0.0]))),
        "balance": _balance(plane, index, student),
    }
    if result.scene.shaft_px is not None:
        marks["shaft"] = result.scene.shaft_px
    if result.scene.ball_px is not None:
        marks["ball"] = (result.scene.ball_px,)
    if result.clip.view == "down_the_line":
        marks |= _side_marks(result, plane, outline)
    else:
        marks |= _front_marks(result, student)
    return {name: points for name, points in marks.items() if points and np.isfinite(points).all()}


def _side_marks(result: ViewResult, plane: Plane, outline: BackOutline | None) -> Marks:
    index, landmarks = result.still_index, result.landmarks
    near = near_side(result.scene)
    heel, toe = balance.foot_ends(plane)
    marks: Marks = {
        "head": _points(landmarks.middle("shoulder")[index], landmarks.middle("ear")[index]),
        "near_leg": _chain(landmarks, index, near, ("hip", "knee", "ankle")),
        "near_arm": _chain(landmarks, index, near, ("shoulder", "elbow", "wrist")),
        "foot": (plane.to_px(np.array([heel[index], 0.0])), plane.to_px(np.array([toe[index], 0.0]))),
    }
    if outline is not None:
        marks["back"] = outline.polyline()
        marks["back_tangents"] = outline.tangents()
    return marks


def _front_marks(result: ViewResult, student: Student) -> Marks:
    index, landmarks = result.still_index, result.landmarks
    lead, trail = side_of("lead", student), side_of("trail", student)
    marks: Marks = {
        f"{part}s": _points(landmarks.point(f"{trail}_{part}")[index], landmarks.point(f"{lead}_{part}")[index])
        for part in ("shoulder", "hip", "ankle")
    }
    for whose, side in (("lead", lead), ("trail", trail)):
        marks[f"{whose}_arm"] = _chain(landmarks, index, side, ("shoulder", "elbow", "wrist"))
        marks[f"{whose}_leg"] = _chain(landmarks, index, side, ("hip", "knee", "ankle"))
        arm_u, trunk_u, row = visible_window_px(landmarks, index, side=side)
        marks[f"elbow_gap_{whose}"] = ((arm_u, row), (trunk_u, row))
    return marks


def _hand_centre(landmarks: Landmarks, index: int) -> Floats:
    names = [f"{side}_{joint}" for side in ("left", "right") for joint in ("wrist", "index", "pinky")]
    return np.asarray(np.mean([landmarks.point(name)[index] for name in names], axis=0))


def _balance(plane: Plane, index: int, student: Student) -> tuple[Point, ...]:
    centre = balance.body_centre(plane, sex=student.sex)[index]
    if not math.isfinite(float(centre.sum())):
        return ()
    return plane.to_px(centre), plane.to_px(np.array([centre[0], 0.0]))


def _chain(landmarks: Landmarks, index: int, side: str, parts: tuple[str, ...]) -> tuple[Point, ...]:
    return _points(*(landmarks.point(f"{side}_{part}")[index] for part in parts))


def _points(*points: Floats) -> tuple[Point, ...]:
    return tuple((float(point[0]), float(point[1])) for point in points)
