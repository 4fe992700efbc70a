"""The stroke on a page: its stills, clips, paths, times and stillness, and what each can and cannot tell, in words.

Nothing that is inside the noise is said to be there.
"""

from collections.abc import Collection, Iterator, Mapping
from typing import Final

from attrs import evolve, field, frozen

from putt_posture.drawing.stroke_from_above import draw_paths_from_above
from putt_posture.drawing.stroke_panels import PathsOf
from putt_posture.drawing.stroke_paths import draw_paths, say_within
from putt_posture.drawing.stroke_stillness import draw_stillness
from putt_posture.drawing.stroke_stills import StrokeStill, draw_stroke_stills, seen_stroke_of
from putt_posture.drawing.stroke_times import KIND_WORDS, MOST_BARS, TimeBar, draw_time_bars, time_bar_of
from putt_posture.figures import format_margin
from putt_posture.pages.setting import Plate
from putt_posture.pages.stroke_numbers import StrokeSection, StrokeView, first_view, write_stroke_numbers
from putt_posture.setup_arc import find_arc, read_pendulum
from putt_posture.shown import begin_upper
from putt_posture.values import EVENT_TITLES, VIEW_TITLES, Arc, Lesson, MeasureName, Stroke, Strokes, View

__all__ = ["StrokePictures", "clip_name", "draw_stroke", "write_stroke_section"]

_PATHS: Final[Mapping[View, str]] = {"face_on": "stroke_from_front", "down_the_line": "stroke_from_behind"}
_CHARTS: Final[Mapping[str, str]] = {
    "stroke_times": "Times",
    "stroke_from_front": "From the front",
    "stroke_from_behind": "From behind",
    "stroke_from_above": "From above",
    "stroke_stillness": "What else moves",
}
"""Title of each picture by its file, in the order of the page."""


@frozen(kw_only=True, eq=False)
class StrokePictures:
    """What is drawn of the strokes of a lesson.

    Attributes
    ----------
    stills : mapping of file name without ending to StrokeStill
    charts : mapping of file name without ending to str
        SVG.
    """

    stills: Mapping[str, StrokeStill] = field(repr=False)
    charts: Mapping[str, str] = field(repr=False)


def clip_name(view: View) -> str:
    """Return the name of the file of the overlay clip of a view, in the folder of a lesson.

    Parameters
    ----------
    view : View
    """
    return f"stroke_{view}.mp4"


def draw_stroke(lesson: Lesson) -> StrokePictures | None:
    """Draw the strokes of a lesson; None where none was measured.

    Parameters
    ----------
    lesson : Lesson
    """
    strokes = lesson.strokes
    if strokes is None or not strokes:
        return None
    stills = {
        f"stroke_{view}_{still.event}": still
        for view in lesson.views
        if not lesson.views[view].still.erased
        for still in draw_stroke_stills(lesson, view)
    }
    forward = {view: result.scene.forward for view, result in lesson.views.items()}
    offset = lesson.posture.estimates.get(MeasureName("hand_offset"))
    charts: dict[str, str | None] = {"stroke_times": draw_time_bars(_bars(lesson, strokes))}
    for view, name in _PATHS.items():
        if (stroke := _shown(strokes, view)) is not None:
            charts[name] = draw_paths(
                [PathsOf(stroke=stroke)], view=view, forward=forward.get(view, 1), under_shoulders=offset
            )
    charts["stroke_from_above"] = draw_paths_from_above(
        strokes, forward=forward.get("face_on", 1), predicted=_arc_of_setup(lesson), under_shoulders=offset
    )
    charts["stroke_stillness"] = draw_stillness(strokes.numbers, with_hands=strokes.with_hands)
    return StrokePictures(stills=stills, charts={name: chart for name, chart in charts.items() if chart is not None})


def write_stroke_section(
    lesson: Lesson, *, pictures: StrokePictures | None, clips: Collection[View] = ()
) -> StrokeSection | None:
    """Return the text about the strokes of a lesson; None where none was looked for.

    Parameters
    ----------
    lesson : Lesson
    pictures : StrokePictures or None
        As `draw_stroke` drew them.
    clips : collection of View
        Of which there is an overlay clip beside the page, named as `clip_name` says.
    """
    strokes = lesson.strokes
    if strokes is None:
        return None
    numbers = write_stroke_numbers(strokes, findings=lesson.findings)
    doubts = tuple(dict.fromkeys(_doubts(lesson, strokes)))
    if not strokes:
        return evolve(numbers, doubts=doubts)
    return evolve(
        numbers,
        views=tuple(_views(lesson, strokes, pictures, clips)),
        charts=tuple(_plates(lesson, strokes, pictures)),
        doubts=doubts,
    )


def _arc_of_setup(lesson: Lesson) -> Arc:
    """Return the arc that the setup as filmed tends to give, also of a lesson that was measured quickly."""
    return find_arc(read_pendulum(lesson.posture, lesson.student))


def _shown(strokes: Strokes, view: View) -> Stroke | None:
    return strokes.of[view][strokes.shown[view]] if view in strokes.shown else None


def _bars(lesson: Lesson, strokes: Strokes) -> list[TimeBar]:
    view = first_view(strokes)
    result = lesson.views.get(view)
    stretch = 1.0 if result is None else result.clip.time_stretch
    return [
        time_bar_of(each, title=f"{each.number}. {begin_upper(KIND_WORDS[each.kind])}", time_stretch=stretch)
        for each in strokes.of[view]
    ]


def _views(
    lesson: Lesson, strokes: Strokes, pictures: StrokePictures | None, clips: Collection[View]
) -> Iterator[StrokeView]:
    for view in lesson.views:
        stroke = _shown(strokes, view)
        if stroke is None:
            continue
        stills = {} if pictures is None else pictures.stills
        plates = tuple(
            _still_plate(name, each, others=stills) for name, each in stills.items() if each.view == view
        )  # fmt: skip
        total = len(strokes.of[view])
        which = f"Stroke {stroke.number} of {total} in the clip" if total > 1 else "The only stroke in the clip"
        clip = clip_name(view) if view in clips else ""
        poster = f"stroke_{view}_impact"
        if poster not in stills:
            poster = plates[0].file if plates else ""
        yield StrokeView(
            title=VIEW_TITLES[view],
            says=f"{which}: {KIND_WORDS[stroke.kind]}. {stroke.why}",
            plates=plates,
            clip=clip,
            poster=poster if clip else "",
        )


def _still_plate(name: str, still: StrokeStill, *, others: Mapping[str, StrokeStill]) -> Plate:
    high, wide = still.picture.shape[:2]
    heading = EVENT_TITLES[still.event]
    time = f"at {format_margin(still.time)}" if still.time else still.time.absent or ""
    return Plate(file=name, aspect=wide / high, title=heading, caption=time, says=still.says)


def _plates(lesson: Lesson, strokes: Strokes, pictures: StrokePictures | None) -> Iterator[Plate]:
    charts = {} if pictures is None else pictures.charts
    for name, heading in _CHARTS.items():
        if name in charts:
            says = _describe(name, lesson, strokes)
            yield Plate(file=name, aspect=1.0, title=heading, caption=says, says=says)


def _describe(name: str, lesson: Lesson, strokes: Strokes) -> str:
    match name:
        case "stroke_times":
            return _describe_times(strokes)
        case "stroke_from_front" | "stroke_from_behind":
            view: View = "face_on" if name == "stroke_from_front" else "down_the_line"
            stroke = _shown(strokes, view)
            within = "" if stroke is None else say_within(stroke, view=view)
            seen = "the front" if view == "face_on" else "behind"
            shadow = " The dashed line is the place under the shoulders." if view == "down_the_line" else ""
            return (
                f"The way of hands and putter head from {seen}, to scale, from where each was at address. The band is "
                f"the 95 % interval; grey is {_inside()}.{shadow} {within}"
            ).strip()
        case "stroke_from_above":
            both = (
                "One stroke from two sides, put together in step by its events."
                if strokes.together
                else "A stroke of each view, put together in step by its events. Whether both are one is not known."
            )
            predicted = (
                " The dashed arc is what the setup as filmed tends to give, by the hand offset alone."
                if _arc_of_setup(lesson)
                else ""
            )
            return f"{both} The golfer stands at the top. Grey is {_inside()}.{predicted}"
    return (
        "The largest movement of head, sternum, hips and knees from address to impact, with its 95 % interval. Good "
        "players move too, so this shows amounts and no grade."
    )


def _inside() -> str:
    return "within what can be measured"


def _describe_times(strokes: Strokes) -> str:
    view = first_view(strokes)
    drawn = len(strokes.of[view])
    more = f" The first {MOST_BARS} of {drawn} strokes are drawn." if drawn > MOST_BARS else ""
    practice = " Practice strokes are hatched." if any(each.kind == "practice" for each in strokes.of[view]) else ""
    return (
        f"Back, through to impact, and on to the finish, {VIEW_TITLES[view].lower()}, in step at impact. The thin "
        f"lines below a bar are the 95 % intervals of its events.{practice}{more}"
    )


def _doubts(lesson: Lesson, strokes: Strokes) -> Iterator[str]:
    yield from strokes.warnings
    for view in lesson.views:
        stroke, seen = _shown(strokes, view), lesson.views[view].strokes
        if seen is not None:
            yield from seen.notes
            if not seen.strokes and seen.why_none and strokes:
                yield f"{VIEW_TITLES[view]}: {seen.why_none}"
        if stroke is not None:
            yield from stroke.doubts
            yield from _absent_events(view, stroke)
        if (found := seen_stroke_of(lesson, view)) is not None:
            yield from found[1].notes


def _absent_events(view: View, stroke: Stroke) -> Iterator[str]:
    for name, event in stroke.events.items():
        if not event and event.absent:
            yield f"{VIEW_TITLES[view]}, {EVENT_TITLES[name].lower()}: {event.absent}"
