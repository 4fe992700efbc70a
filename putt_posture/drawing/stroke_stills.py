"""Four stills of a stroke in a row: address, top, impact and finish, with the same lines, cut alike and to one scale.

The landmarks of the large model at an event are moved by what the error model moved those of the setup's still by, so
that the lines at address are those of the setup. White dashes are the lines at address.
"""

from collections.abc import Mapping
from typing import Final

import numpy as np
from attrs import evolve, field, frozen

from putt_posture.drawing.placing import Crop
from putt_posture.drawing.sheet import Sheet
from putt_posture.drawing.sketches import Pen
from putt_posture.drawing.stills import find_still_crop
from putt_posture.measures import Part
from putt_posture.measures.sketch import Dot, Drawn, Mark, Polyline, Ring, Trace
from putt_posture.posture.plane import near_side
from putt_posture.values import (
    EVENT_TITLES,
    VIEW_TITLES,
    Estimate,
    Floats,
    Frame,
    Handed,
    Landmarks,
    Lesson,
    Picture,
    Point,
    SeenStroke,
    Stroke,
    StrokeEvent,
    View,
    ViewResult,
    side_of,
)

__all__ = [
    "StrokeStill",
    "draw_lines_of_body",
    "draw_stroke_stills",
    "find_stroke_crop",
    "frames_of_stroke",
    "marks_at_event",
    "seen_stroke_of",
]

STROKE_SHORT_SIDE: Final = 640
"""Pixels: four side by side on a wide screen, two on a phone."""
_SPINE: Final = (Mark("spine", 0), Mark("spine", 1))
_SHAFT: Final = (Mark("shaft", 0), Mark("shaft", 1))
_SHARED: Final[tuple[tuple[Part, Drawn], ...]] = (
    ("club", Polyline(_SHAFT, width=0.2)),
    ("club", Ring(Mark("ball"), radius=0.6)),
    ("trunk", Polyline(_SPINE, width=0.3)),
    ("trunk", Dot(_SPINE[0], radius=0.26)),
    ("trunk", Dot(_SPINE[1], radius=0.26)),
)
_LINES: Final[Mapping[View, tuple[tuple[Part, Drawn], ...]]] = {
    "down_the_line": (
        ("legs", Trace("near_leg", width=0.16)),
        *_SHARED,
        ("head", Trace("head", width=0.2)),
        ("head", Dot(Mark("head", 1), radius=0.22)),
        ("arms", Trace("near_arm", width=0.2)),
        ("arms", Dot(Mark("near_arm", 1), radius=0.24)),
        ("arms", Dot(Mark("hands"), radius=0.3)),
    ),
    "face_on": (
        *_SHARED,
        ("trunk", Trace("shoulders", width=0.24)),
        ("head", Dot(Mark("eyes"), radius=0.22)),
        ("arms", Trace("lead_arm", width=0.2)),
        ("arms", Trace("trail_arm", width=0.2)),
        ("arms", Dot(Mark("lead_arm", 1), radius=0.24)),
        ("arms", Dot(Mark("trail_arm", 1), radius=0.24)),
        ("arms", Dot(Mark("hands"), radius=0.3)),
    ),
}
"""What is drawn in each view, the most important last."""
_AT_ADDRESS: Final[tuple[Drawn, ...]] = (
    Polyline(_SPINE, width=0.13, dashed=True, reference=True),
    Polyline(_SHAFT, width=0.11, dashed=True, reference=True),
)


@frozen(kw_only=True, eq=False)
class StrokeStill:
    """The still of one event.

    Attributes
    ----------
    view : View
    event : StrokeEvent
    time : Estimate
        Clip time of the event, s; it may be absent though a frame near it was kept.
    plain, picture : (H, W, 3) uint8
        RGB, the same part of the picture without and with the lines.
    says : str
        What it shows, in one sentence, for people who cannot see it.
    """

    view: View
    event: StrokeEvent
    time: Estimate
    plain: Picture = field(repr=False)
    picture: Picture = field(repr=False)
    says: str


def draw_stroke_stills(lesson: Lesson, view: View) -> tuple[StrokeStill, ...]:
    """Draw the stills of the stroke that stands for the lesson in a view, in order of time; empty where none was kept.

    Parameters
    ----------
    lesson : Lesson
    view : View
    """
    found, crop = seen_stroke_of(lesson, view), find_stroke_crop(lesson, view)
    if found is None or crop is None:
        return ()
    stroke, seen = found
    result = lesson.views[view]
    marks = {event: marks_at_event(result, seen, event, handed=lesson.student.handed) for event in seen.event_names}
    first = marks.get("start", {})
    stills = []
    for event, frame in frames_of_stroke(lesson, view).items():
        plain = crop.cut_frame(frame)
        sheet = Sheet(plain, crop=crop, roll_deg=_roll(result))
        draw_lines_of_body(sheet, result, marks[event], address=first if event != "start" else {})
        picture, _ = sheet.finish()
        says = f"{VIEW_TITLES[view]}, {EVENT_TITLES[event].lower()}, with lines through spine, arms, hands and putter."
        stills.append(
            StrokeStill(view=view, event=event, time=stroke.events[event], plain=plain, picture=picture, says=says)
        )  # fmt: skip
    return tuple(stills)


def frames_of_stroke(lesson: Lesson, view: View) -> dict[StrokeEvent, Frame]:
    """Return the frames of the stroke that stands for the lesson in a view, by event, as far as they were kept.

    Parameters
    ----------
    lesson : Lesson
    view : View
    """
    found = seen_stroke_of(lesson, view)
    if found is None or not found[1].stills:
        return {}
    frames = zip(found[1].event_names, found[1].stills, strict=True)
    return {event: frame for event, frame in frames if not frame.erased}


def find_stroke_crop(lesson: Lesson, view: View) -> Crop | None:
    """Find the part of the picture that every still of a stroke shows; None where no still was kept.

    Parameters
    ----------
    lesson : Lesson
    view : View
    """
    found = seen_stroke_of(lesson, view)
    if found is None or not found[1].stills:
        return None
    seen, setup = found[1], find_still_crop(lesson, view)
    points = [point for head in seen.putter_head_px for point in [head] if np.isfinite(head).all()]
    if seen.at_events is not None:
        points += [point for row in seen.at_events.points_px for point in row if np.isfinite(point).all()]
    frame = seen.stills[0]
    high, wide = (each / frame.scale for each in frame.picture.shape[:2])
    u0, v0, u1, v1 = (float(each) for each in setup.box_px)
    if points:
        us, vs = np.transpose(points)
        room = 0.03 * (v1 - v0)
        u0, u1 = min(u0, float(us.min()) - room), max(u1, float(us.max()) + room)
        v0, v1 = min(v0, float(vs.min()) - room), max(v1, float(vs.max()) + room)
    left, top = max(int(u0), 0), max(int(v0), 0)
    right, bottom = min(int(np.ceil(u1)), int(wide)), min(int(np.ceil(v1)), int(high))
    scale = STROKE_SHORT_SIDE / min(right - left, bottom - top)
    return Crop(box_px=(left, top, right, bottom), size=(round((right - left) * scale), round((bottom - top) * scale)))


def seen_stroke_of(lesson: Lesson, view: View) -> tuple[Stroke, SeenStroke] | None:
    """Return the stroke that stands for the lesson in a view, as measured and as seen; None where there is none.

    Parameters
    ----------
    lesson : Lesson
    view : View
    """
    strokes, result = lesson.strokes, lesson.views.get(view)
    if strokes is None or result is None or result.strokes is None or view not in strokes.shown:
        return None
    at = strokes.shown[view]
    if not (at < len(strokes.of[view]) and at < len(result.strokes.strokes)):
        return None
    return strokes.of[view][at], result.strokes.strokes[at]


def marks_at_event(
    result: ViewResult, seen: SeenStroke, event: StrokeEvent, *, handed: Handed
) -> dict[str, tuple[Point, ...]]:
    """Return the points of body, putter and ball at an event, by the names of `Posture.marks`, pixels of its own frame.

    Parameters
    ----------
    result : ViewResult
        The same view; its joints say by how much landmarks are moved.
    seen : SeenStroke
    event : StrokeEvent
        One of its `event_names`; others have no marks.
    handed : {"right", "left"}
    """
    if seen.at_events is None or event not in seen.event_names:
        return {}
    row = seen.event_names.index(event)
    joints = _moved_like_setup(seen.at_events, result, row)
    marks: dict[str, tuple[Point, ...]] = {
        "spine": _points(joints.middle("hip")[0], joints.middle("shoulder")[0]),
        "hands": _points(joints.hand_centre()[0]),
        "eyes": _points(joints.middle("eye")[0]),
        "head": _points(joints.middle("shoulder")[0], joints.middle("ear")[0]),
    }
    lead, trail = side_of("lead", handed), side_of("trail", handed)
    marks["shoulders"] = _points(joints.point(f"{trail}_shoulder")[0], joints.point(f"{lead}_shoulder")[0])
    for name, side in (("lead", lead), ("trail", trail), ("near", near_side(result.scene))):
        marks[f"{name}_arm"] = _points(*(joints.point(f"{side}_{part}")[0] for part in ("shoulder", "elbow", "wrist")))
        marks[f"{name}_leg"] = _points(*(joints.point(f"{side}_{part}")[0] for part in ("hip", "knee", "ankle")))
    at = int(np.argmin(np.abs(seen.times_s - seen.at_events.times_s[row])))
    marks["shaft"] = _points(*seen.shaft_px[at])
    marks["ball"] = _points(seen.ball_px[at])
    return {name: points for name, points in marks.items() if np.isfinite(points).all()}


def draw_lines_of_body(
    sheet: Sheet,
    result: ViewResult,
    marks: Mapping[str, tuple[Point, ...]],
    *,
    address: Mapping[str, tuple[Point, ...]] | None = None,
) -> None:
    """Draw the lines of a view through the points of one frame.

    Parameters
    ----------
    sheet : Sheet
    result : ViewResult
        Of the view.
    marks : mapping of mark name to points
        Pixels of the whole picture; lines with a missing point are left out.
    address : mapping of mark name to points, optional
        The same at address, drawn in white dashes.
    """
    forward = result.scene.forward
    before = Pen(sheet=sheet, marks=address or {}, forward=forward)
    for stroke in _AT_ADDRESS:
        if before.knows(stroke):
            before.draw(stroke, part="trunk")
    pen = Pen(sheet=sheet, marks=marks, forward=forward)
    for part, stroke in _LINES[result.clip.view]:
        if pen.knows(stroke):
            pen.draw(stroke, part=part)


def _moved_like_setup(at_events: Landmarks, result: ViewResult, row: int) -> Landmarks:
    """Return the landmarks of one event as joints, in one frame."""
    moved = result.joints.points_px[result.still_index] - result.landmarks.points_px[result.still_index]
    points = at_events.points_px[row] + np.where(np.isfinite(moved), moved, 0.0)
    return evolve(
        at_events, times_s=at_events.times_s[row : row + 1], setup_index=at_events.setup_index[row : row + 1],
        points_px=points[None], visibility=at_events.visibility[row : row + 1], depth=at_events.depth[row : row + 1],
    )  # fmt: skip


def _roll(result: ViewResult) -> float:
    return result.scene.roll.value if result.scene.roll else 0.0


def _points(*points: Floats) -> tuple[Point, ...]:
    return tuple((float(point[0]), float(point[1])) for point in points)
