"""The strokes of a lesson as far as their numbers tell them: what was measured, of how many, and what it cannot tell.

Nothing here says good or bad.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from attrs import frozen

from putt_posture.documents.tables import Row, rows_of_measures
from putt_posture.drawing.stroke_data import strokes_from_two_sides
from putt_posture.figures import count_of, format_margin, format_value
from putt_posture.measures import STROKE_MEASURES, StrokeGroup
from putt_posture.pages.setting import Fact, Plate
from putt_posture.shown import join_words
from putt_posture.strokes.several import LEAST_FOR_MEAN, LEAST_FOR_SCATTER
from putt_posture.values import VIEW_TITLES, VIEWS, Findings, MeasureName, StrokeKind, Strokes, View, WithHands

__all__ = [
    "CANNOT",
    "NumberGroup",
    "StrokeCard",
    "StrokeSection",
    "StrokeView",
    "first_view",
    "say_with_hands",
    "write_stroke_numbers",
]

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


def first_view(strokes: Strokes) -> View:
    """Return the view whose times are drawn: face on where it has a stroke.

    Parameters
    ----------
    strokes : Strokes
    """
    return "face_on" if strokes.of.get("face_on") else "down_the_line"


def say_with_hands(strokes: Strokes) -> str:
    """Return a sentence on what goes along the line with the hands or against them; empty where nothing clearly does.

    Parameters
    ----------
    strokes : Strokes
    """
    ways: tuple[WithHands, ...] = ("with", "against")
    with_them, against = ([point for point, each in strokes.with_hands.items() if each == way] for way in ways)
    parts = [f"{_go(with_them)} with the hands"] if with_them else []
    if against:
        parts.append(f"{_go(against)} against {'them' if with_them else 'the hands'}")
    return f"Up to impact, along the line, {' and '.join(parts)}." if parts else ""


def _go(points: Sequence[str]) -> str:
    one = len(points) == 1 and not points[0].endswith("s")
    return f"{join_words([f'the {point}' for point in points])} {'goes' if one else 'go'}"


def _say_in_a_line(strokes: Strokes) -> str:
    parts = []
    for name, said in _LINE:
        if each := strokes.numbers.get(MeasureName(name)):
            parts.append(said.format(format_value(each.value, each.unit, margin=each.margin)))
    return f"The stroke: {', '.join(parts)}." if parts else f"The stroke: {_count(strokes)}."


def _count(strokes: Strokes) -> str:
    kinds: dict[StrokeKind, int] = {}
    for each in strokes.of[first_view(strokes)]:
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
    if said := say_with_hands(strokes):
        yield said


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


def _scatter(strokes: Strokes) -> Iterator[Fact]:
    for name, measure in STROKE_MEASURES.items():
        if (found := strokes.scatter.get(name)) is None:
            continue
        low, high = (format_value(each, found.unit) for each in (found.low, found.high))
        yield Fact(
            name=measure.title,
            says=f"{format_value(found.sd, found.unit)} one standard deviation (95 %: {low} to {high})",
        )
