"""The stroke on a page: its stills, clips, paths, times and stillness, and what each can and cannot tell, in words.

Nothing here says good or bad, and nothing that is inside the noise is said to be there.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Final

from attrs import evolve, field, frozen

from putt_posture.documents.tables import Row, rows_of_measures
from putt_posture.drawing.stroke_data import moves_with_hands, strokes_from_two_sides
from putt_posture.drawing.stroke_paths import PathsOf, draw_paths, draw_paths_from_above, say_within
from putt_posture.drawing.stroke_stillness import STILL_POINTS, draw_stillness
from putt_posture.drawing.stroke_stills import StrokeStill, draw_stroke_stills, seen_stroke_of
from putt_posture.drawing.stroke_times import KIND_WORDS, MOST_BARS, TimeBar, draw_time_bars, time_bar_of
from putt_posture.figures import count_of, format_margin, format_value
from putt_posture.measures import STROKE_MEASURES, StrokeGroup
from putt_posture.pages.setting import Fact, Plate
from putt_posture.shown import begin_upper, join_words
from putt_posture.values import (
    EVENT_TITLES,
    VIEW_TITLES,
    VIEWS,
    Findings,
    Lesson,
    MeasureName,
    Stroke,
    StrokeKind,
    Strokes,
    View,
)

__all__ = [
    "CANNOT",
    "LEAST_FOR_MEAN",
    "LEAST_FOR_SCATTER",
    "NumberGroup",
    "StrokeCard",
    "StrokePictures",
    "StrokeSection",
    "StrokeView",
    "clip_name",
    "draw_stroke",
    "write_stroke_numbers",
    "write_stroke_section",
]

LEAST_FOR_MEAN: Final = 3
LEAST_FOR_SCATTER: Final = 10
"""From how many strokes a mean is given, and how much they differ. With three the 95 % half-width of a mean is 2.5
standard deviations of one stroke; with ten the standard deviation itself is known within × 0.69 to 1.83 (normal
distribution, computed)."""
CANNOT: Final[tuple[str, ...]] = (
    "The angle of the putter face is not measured: one degree moves the edge of a face 10 cm wide by 1.7 mm, and a "
    "phone does not show that from where it stands.",
    "The hands leave a straight line by a few millimetres in many strokes. That is less than one stroke can show here, "
    "so only what is beyond the margin is said.",
    "Good players move the head too, often against the putter, and nothing shows that a still head putts better. So "
    "this page gives amounts, and no grade.",
)
"""What these clips cannot tell. The head: Lee, Ishikura, Kegel, Gonzalez and Passmore 2008 (as quoted elsewhere)."""
START_LINE: Final = (
    "The start of the ball is read over its first half metre, against the line that the coach gave. It mostly follows "
    "where the face looked at impact, and less the path of the head; which of the two it was cannot be told from it."
)
"""About 80 % and 17 %: Pelz 2000 and Karlsen, Smith and Nilsson 2008 (as quoted elsewhere)."""
_CARDS: Final = ("backswing_time", "through_time", "tempo_ratio", "hands_back", "putter_back")
_LINE: Final = (("backswing_time", "back {}"), ("through_time", "through {}"), ("tempo_ratio", "a ratio of {}"))
_GROUPS: Final[Mapping[StrokeGroup, str]] = {
    "timing": "Time", "hands": "The hands", "putter": "The putter head", "stillness": "What else moves",
    "change": "From address to impact", "ball": "The ball",
}  # fmt: skip
"""Headings of the numbers."""
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


@frozen(kw_only=True)
class StrokeCard:
    """One number at a glance."""

    title: str
    figure: str
    says: str = ""


@frozen(kw_only=True)
class StrokeView:
    """The stroke that stands for one view.

    Attributes
    ----------
    title : str
    says : str
        Which stroke of the clip it is, and why it counts as putt or practice stroke.
    plates : tuple of Plate
        Its stills in order of time.
    clip : str
        The file with the moving picture beside the page; empty where there is none.
    poster : str
        The plate that stands for the clip; empty where there is none.
    """

    title: str
    says: str
    plates: tuple[Plate, ...]
    clip: str = ""
    poster: str = ""


@frozen(kw_only=True)
class NumberGroup:
    """Numbers under one heading."""

    title: str
    rows: tuple[Row, ...]


@frozen(kw_only=True)
class StrokeSection:
    """The text about the strokes of a lesson, from top to bottom.

    Attributes
    ----------
    line : str
        One line for the first screen; empty where no stroke was measured.
    says : tuple of str
        How many strokes there are, which are shown, and what the numbers come from.
    beside : tuple of str
        What the stroke shows of the findings.
    cards : tuple of StrokeCard
    views : tuple of StrokeView
    charts : tuple of Plate
    groups : tuple of NumberGroup
        Every number of the stroke.
    absent_rows : tuple of Row
    scatter : tuple of Fact
        How much each number differs from stroke to stroke.
    doubts : tuple of str
    cannot : tuple of str
    """

    line: str
    says: tuple[str, ...]
    beside: tuple[str, ...] = ()
    cards: tuple[StrokeCard, ...] = ()
    views: tuple[StrokeView, ...] = ()
    charts: tuple[Plate, ...] = ()
    groups: tuple[NumberGroup, ...] = ()
    absent_rows: tuple[Row, ...] = ()
    scatter: tuple[Fact, ...] = ()
    doubts: tuple[str, ...] = ()
    cannot: tuple[str, ...] = ()


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
    predicted = None if lesson.arcs is None else lesson.arcs.before
    charts["stroke_from_above"] = draw_paths_from_above(
        strokes, forward=forward.get("face_on", 1), predicted=predicted, under_shoulders=offset
    )
    front = _shown(strokes, "face_on")
    with_hands = {} if front is None else {point: moves_with_hands(front, point) for point in STILL_POINTS}
    charts["stroke_stillness"] = draw_stillness(strokes.numbers, with_hands=with_hands)
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


def write_stroke_numbers(strokes: Strokes, *, findings: Findings | None = None) -> StrokeSection:
    """Return the text about strokes as far as their numbers tell it, as of a stored lesson without pictures.

    Parameters
    ----------
    strokes : Strokes
    findings : Findings, optional
        Of the same lesson; they hold what the stroke shows of them.
    """
    doubts = tuple(strokes.warnings)
    if not strokes:
        return StrokeSection(line="", says=(strokes.why_none,), doubts=doubts)
    rows = rows_of_measures(strokes.numbers)
    cannot = (*CANNOT, *([START_LINE] if strokes.numbers.get(MeasureName("start_direction")) else []))
    return StrokeSection(
        line=_say_in_a_line(strokes),
        beside=findings.stroke if findings is not None else (),
        says=tuple(_say_what_was_measured(strokes)),
        cards=tuple(_cards(strokes)),
        groups=tuple(_groups(rows)),
        absent_rows=tuple(row for row in rows if not row),
        scatter=tuple(_scatter(strokes)),
        doubts=doubts,
        cannot=cannot,
    )


def _shown(strokes: Strokes, view: View) -> Stroke | None:
    return strokes.of[view][strokes.shown[view]] if view in strokes.shown else None


def _first_view(strokes: Strokes) -> View:
    """Return the view whose times are drawn: face on where it has a stroke."""
    return "face_on" if strokes.of.get("face_on") else "down_the_line"


def _bars(lesson: Lesson, strokes: Strokes) -> list[TimeBar]:
    view = _first_view(strokes)
    result = lesson.views.get(view)
    stretch = 1.0 if result is None else result.clip.time_stretch
    return [
        time_bar_of(each, title=f"{each.number}. {begin_upper(KIND_WORDS[each.kind])}", time_stretch=stretch)
        for each in strokes.of[view]
    ]


def _say_in_a_line(strokes: Strokes) -> str:
    parts = []
    for name, said in _LINE:
        if each := strokes.numbers.get(MeasureName(name)):
            parts.append(said.format(format_value(each.value, each.unit, margin=each.margin)))
    return f"The stroke: {', '.join(parts)}." if parts else f"The stroke: {_count(strokes)}."


def _count(strokes: Strokes) -> str:
    kinds: dict[StrokeKind, int] = {}
    for each in strokes.of[_first_view(strokes)]:
        kinds[each.kind] = kinds.get(each.kind, 0) + 1
    words: dict[StrokeKind, str] = {"putt": "putt", "practice": "practice stroke", "unsure": "uncertain stroke"}
    return join_words([count_of(kinds[kind], words[kind]) for kind in words if kind in kinds])


def _say_what_was_measured(strokes: Strokes) -> Iterator[str]:
    views = [view for view in VIEWS if strokes.of.get(view)]
    where = "in both views" if len(views) == 2 else f"{VIEW_TITLES[views[0]].lower()} only"
    yield f"Measured {where}: {_count(strokes)}."
    if any(each.kind == "unsure" for view in views for each in strokes.of[view]):
        yield "A stroke is uncertain where it could not be seen whether the ball left."
    sides = strokes_from_two_sides(strokes)
    if sides is not None:
        yield (
            "Both phones filmed the same stroke, and it is shown from two sides."
            if strokes.together
            else "It is not known whether both views show the same stroke, so their pictures may be of two strokes."
        )
    noun = "putt" if any(each.kind == "putt" for view in views for each in strokes.of[view]) else "practice stroke"
    if strokes.counted < LEAST_FOR_MEAN:
        yield (
            "The numbers are those of the stroke that follows the measured setup. From three strokes on a mean is "
            "given, from ten on how much they differ: fewer say too little of it."
        )
    elif strokes.counted < LEAST_FOR_SCATTER:
        yield (
            f"The numbers are means over {count_of(strokes.counted, noun)}. How much strokes differ is given from ten "
            "on: fewer say too little of it."
        )
    else:
        yield f"The numbers are means over {count_of(strokes.counted, noun)}."


def _groups(rows: Sequence[Row]) -> Iterator[NumberGroup]:
    for group, heading in _GROUPS.items():
        found = tuple(row for row in rows if row and STROKE_MEASURES[row.name].group == group)
        if found:
            yield NumberGroup(title=heading, rows=found)


def _cards(strokes: Strokes) -> Iterator[StrokeCard]:
    for name in map(MeasureName, _CARDS):
        each = strokes.numbers.get(name)
        if each is not None and each:
            yield StrokeCard(title=STROKE_MEASURES[name].title, figure=format_margin(each))


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
                if lesson.arcs is not None and lesson.arcs.before
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
    view = _first_view(strokes)
    drawn = len(strokes.of[view])
    more = f" The first {MOST_BARS} of {drawn} strokes are drawn." if drawn > MOST_BARS else ""
    practice = " Practice strokes are hatched." if any(each.kind == "practice" for each in strokes.of[view]) else ""
    return (
        f"Back, through to impact, and on to the finish, {VIEW_TITLES[view].lower()}, in step at impact. The thin "
        f"lines below a bar are the 95 % intervals of its events.{practice}{more}"
    )


def _scatter(strokes: Strokes) -> Iterator[Fact]:
    for name, measure in STROKE_MEASURES.items():
        if (found := strokes.scatter.get(name)) is None:
            continue
        low, high = (format_value(each, found.unit) for each in (found.low, found.high))
        yield Fact(
            name=measure.title,
            says=f"{format_value(found.sd, found.unit)} one standard deviation (95 %: {low} to {high})",
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
