"""What the page of the stroke is sent: strokes, their events and numbers, as JSON. It works out nothing of it itself.

Times are clip time in seconds.
"""

from collections.abc import Callable, Collection, Iterator
from typing import Any, Final

import numpy as np
from attrs import evolve

from putt_posture.documents.json_values import as_json
from putt_posture.drawing.overlay_clip import FilmedStroke, plan_overlay
from putt_posture.drawing.stroke_times import KIND_WORDS
from putt_posture.errors import UsageError
from putt_posture.figures import format_margin, format_time
from putt_posture.measures.registry import STROKE_MEASURES
from putt_posture.pages.stroke_section import draw_stroke
from putt_posture.services.correcting import CorrectedLesson
from putt_posture.shown import begin_upper
from putt_posture.shown_units import in_shown_unit, texts_in_shown_unit
from putt_posture.values import (
    EVENT_TITLES,
    STROKE_EVENTS,
    VIEW_TITLES,
    Estimate,
    Given,
    Lesson,
    SeenStroke,
    Stroke,
    View,
    ViewResult,
)

__all__ = ["describe_strokes", "draw_stroke_charts"]

_Translate = Callable[[str], str]
CHARTS: Final = ("stroke_times", "stroke_from_front", "stroke_from_behind", "stroke_from_above")


def describe_strokes(
    opened: CorrectedLesson, lesson: Lesson, *, moving: Collection[View], address: str, _: _Translate
) -> dict[str, Any]:
    """Describe the strokes of a lesson as they are measured now, and as they were found.

    Parameters
    ----------
    opened : CorrectedLesson
    lesson : Lesson
        The same lesson with what is given by hand now.
    moving : collection of View
        The views of which overlay clips can be shown.
    address : str
        Of the page, to which the names of its clips are added.
    _ : callable
        Puts a text into the language of the page.
    """
    strokes = lesson.strokes
    described = {
        "views": {
            view: {
                "title": _(VIEW_TITLES[view]),
                "shown": 0 if strokes is None else strokes.shown.get(view, 0),
                "strokes": list(_strokes(opened, lesson, view, moving=moving, address=address, _=_)),
            }
            for view in lesson.views
        },
        "rows": list(_rows(opened.found, lesson, _=_)),
        "given": {view: as_json(result.given) for view, result in lesson.views.items()},
        "nothing": as_json(Given()),
        "faces_hidden": opened.faces_hidden,
        "why_none": "" if strokes is None else strokes.why_none,
        "warnings": [] if strokes is None else list(strokes.warnings),
    }
    shown: dict[str, Any] = texts_in_shown_unit(described)
    return shown


def draw_stroke_charts(lesson: Lesson, *, number: int | None = None) -> dict[str, str]:
    """Draw the times and paths of a stroke, SVG by name.

    Parameters
    ----------
    lesson : Lesson
    number : int, optional
        Which stroke is shown in each view that has it, from 1; the one that stands for the lesson by default.
    """
    strokes = lesson.strokes
    if strokes is None or not strokes:
        return {}
    if number is not None:
        shown = {
            view: next((row for row, each in enumerate(strokes.of[view]) if each.number == number), row_now)
            for view, row_now in strokes.shown.items()
        }
        lesson = evolve(lesson, strokes=evolve(strokes, shown=shown))
    without_stills = {
        view: evolve(result, still=evolve(result.still, erased=True)) for view, result in lesson.views.items()
    }
    drawn = draw_stroke(evolve(lesson, views=without_stills))
    return {} if drawn is None else {name: drawn.charts[name] for name in CHARTS if name in drawn.charts}


def _strokes(
    opened: CorrectedLesson, lesson: Lesson, view: View, *, moving: Collection[View], address: str, _: _Translate
) -> Iterator[dict[str, Any]]:
    result = lesson.views[view]
    seen = () if result.strokes is None else result.strokes.strokes
    measured = () if lesson.strokes is None else lesson.strokes.of.get(view, ())
    by_hand = {(each.stroke, each.event) for each in result.given.event_times}
    for stroke in measured:
        if stroke.number > len(seen):
            continue
        shown = seen[stroke.number - 1]
        yield {
            "number": stroke.number,
            "kind": stroke.kind,
            "says": f"{_('Stroke')} {stroke.number}: {begin_upper(_(KIND_WORDS[stroke.kind]))}",
            "why": stroke.why,
            "times_s": [round(float(time), 5) for time in shown.times_s],
            "stretch": result.clip.time_stretch,
            "events": {
                name: _event(stroke.events[name], title=_(EVENT_TITLES[name]), by_hand=(stroke.number, name) in by_hand)
                for name in STROKE_EVENTS
            },
            "clip": _clip(result, stroke, shown, address=address) if view in moving else None,
            "still": None if opened.faces_hidden or view not in moving else f"{address}/frames/{view}/{stroke.number}",
            "doubts": list(stroke.doubts),
        }


def _event(estimate: Estimate, *, title: str, by_hand: bool) -> dict[str, Any]:
    return {
        "title": title,
        "time_s": float(estimate.value) if estimate else None,
        "margin_s": float(estimate.margin) if estimate else None,
        "says": format_time(float(estimate.value)) if estimate else estimate.absent or "",
        "by_hand": by_hand,
    }


def _clip(result: ViewResult, stroke: Stroke, seen: SeenStroke, *, address: str) -> dict[str, Any] | None:
    """Describe the overlay clip of a stroke: where it is, and when it shows what."""
    try:
        overlay = plan_overlay(FilmedStroke(clip=result.clip, stroke=stroke, seen=seen))
    except UsageError:
        return None
    placed = [f"{each.event}:{each.time_s:g}" for each in result.given.event_times if each.stroke == stroke.number]
    query = f"?by-hand={','.join(placed)}" if placed else ""
    return {
        "url": f"{address}/clips/{stroke.view}/{stroke.number}.mp4{query}",
        "start_s": overlay.start_s,
        "end_s": overlay.end_s,
        "slower": overlay.time_stretch * overlay.speed,
        "size": list(overlay.size_px),
    }


def _rows(found: Lesson, now: Lesson, *, _: _Translate) -> Iterator[dict[str, Any]]:
    if now.strokes is None:
        return
    was = {} if found.strokes is None else found.strokes.numbers
    for name, measure in STROKE_MEASURES.items():
        estimate = now.strokes.numbers.get(name)
        if estimate is None:
            continue
        before = was.get(name, estimate)
        says, said = (_say(each, signed=measure.signed) for each in (estimate, before))
        yield {"name": str(name), "title": _(measure.title), "now": says, "found": said, "other": says != said}


def _say(estimate: Estimate, *, signed: bool) -> str:
    if not estimate or not np.isfinite(estimate.value):
        return estimate.absent or ""
    return format_margin(in_shown_unit(estimate), signed=signed)
