"""Charts of each measure over a student's visits, with 95 % intervals: one panel for each measure."""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any, Final

from attrs import field, frozen
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from putt_posture.drawing.charts import (
    AFTER,
    BEFORE,
    CHECK,
    INK,
    PAPER,
    RULE,
    SOFT,
    ChartPoint,
    TimeAxis,
    as_svg,
    lay_out,
    new_chart,
    place_of,
    styled,
    tick_in_shown_unit,
    title,
)
from putt_posture.drawing.colours import PART_TITLES
from putt_posture.figures import count_of, format_day, format_length, format_margin
from putt_posture.history import STROKE_IN_SHORT, Course, PutterChange
from putt_posture.measures import MEASURES, RECORDS
from putt_posture.shown import begin_upper
from putt_posture.values import History, MeasureName, Moment

__all__ = [
    "MOMENT_WORDS",
    "HistoryChart",
    "draw_history_charts",
    "draw_stroke_history_charts",
    "write_putter_change",
]

MOMENT_WORDS: Final[Mapping[Moment, str]] = {"before": "as it was", "after": "rebuilt", "check": "later look"}
_MARKS: Final[Mapping[Moment, tuple[str, str]]] = {
    "before": ("s", BEFORE), "after": ("o", AFTER), "check": ("^", CHECK),
}  # fmt: skip
"""Shape and colour of each moment."""
_MOST_PANELS: Final = 4
_PANEL_HEIGHT: Final = 128
_HEAD_HEIGHT: Final = 76
_KEY_LINE_HEIGHT: Final = 17
_MOST_KEYED: Final = 4
_REAL: Final[dict[str, Any]] = {"color": INK, "linewidth": 2.2}
_NOISE: Final[dict[str, Any]] = {"color": SOFT, "linewidth": 1.2, "linestyle": (0, (1, 2))}
"""Style of the line between two visits."""
_LEAST_SPAN: Final = {"deg": 8.0, "cm": 6.0, "%": 20.0, "s": 0.3, "ratio": 1.0}
"""The least range of a panel, so that a steady measure looks steady."""
_WHOLE: Final = frozenset({"deg", "cm", "%"})
"""Units whose ticks are whole numbers where there is room."""
_STROKE_CHARTS: Final = (
    ("stroke_1", "Tempo and length", STROKE_IN_SHORT[:4]),
    ("stroke_2", "Path and stillness", STROKE_IN_SHORT[4:]),
)
"""File, heading and numbers of the charts of the stroke."""
_MANY: Final = 15
"""From this many visits on the marks are smaller."""


@frozen(kw_only=True)
class HistoryChart:
    """One picture.

    Attributes
    ----------
    file : str
        Its name without an ending.
    title : str
    svg : str
    names : tuple of MeasureName
        From top to bottom.
    says : str
        The picture in words.
    points : tuple of ChartPoint
        Every number in it, panel by panel and visit by visit.
    """

    file: str
    title: str
    svg: str = field(repr=False)
    names: tuple[MeasureName, ...]
    says: str
    points: tuple[ChartPoint, ...] = field(default=(), repr=False)


def draw_history_charts(
    history: History, courses: Mapping[MeasureName, Course], *, putters: Sequence[PutterChange] = ()
) -> tuple[HistoryChart, ...]:
    """Draw every measure that any visit has.

    Between two visits the line is solid where a measure changed for real, and dotted where the change may be noise. A
    cross marks a visit without a number.

    Parameters
    ----------
    history : History
    courses : Mapping[MeasureName, Course]
        By measure.
    putters : Sequence[PutterChange]
    """
    return tuple(_draw_groups(history, courses, _groups(history), putters))


def draw_stroke_history_charts(
    history: History, courses: Mapping[MeasureName, Course], *, putters: Sequence[PutterChange] = ()
) -> tuple[HistoryChart, ...]:
    """Draw `STROKE_IN_SHORT` over the visits, as far as any visit has them, as `draw_history_charts` does.

    Parameters
    ----------
    history : History
    courses : mapping of MeasureName to Course
        Of the stroke; empty where no visit has one.
    putters : sequence of PutterChange
    """
    groups = (
        (file, heading, tuple(name for name in names if _is_seen(history, name)))
        for file, heading, names in _STROKE_CHARTS
        if courses
    )
    return tuple(_draw_groups(history, courses, (each for each in groups if each[2]), putters))


def _draw_groups(
    history: History,
    courses: Mapping[MeasureName, Course],
    groups: Iterable[tuple[str, str, tuple[MeasureName, ...]]],
    putters: Sequence[PutterChange],
) -> Iterator[HistoryChart]:
    for file, heading, names in groups:
        changes = sum(any(step.change.real for step in courses[name].steps) for name in names)
        svg, points = _draw(history, courses, names, putters)
        yield HistoryChart(
            file=file,
            title=heading,
            svg=svg,
            points=points,
            names=names,
            says=f"{', '.join(RECORDS[name].title for name in names)} over "
            f"{count_of(len(history.visits), 'visit')}, each with its 95 % intervals; {changes or 'none'} of "
            f"{len(names)} changed for real from one visit to the next at least once.",
        )


def _is_seen(history: History, name: MeasureName) -> bool:
    return any(visit.measured.measures.get(name) for visit in history.visits)


def write_putter_change(change: PutterChange) -> str:
    """Write what changed, in both units.

    Parameters
    ----------
    change : PutterChange
    """
    name = "putter in use" if change.kind == "in_use" else "suggested length"
    return f"{name} {format_length(change.before_cm)} → {format_length(change.after_cm)}"


def _groups(history: History) -> Iterator[tuple[str, str, tuple[MeasureName, ...]]]:
    """Yield the measures of each part in charts of at most four panels, as even as can be."""
    for part, part_title in PART_TITLES.items():
        names = [name for name in MEASURES if MEASURES[name].part == part and _is_seen(history, name)]
        charts = math.ceil(len(names) / _MOST_PANELS)
        for number in range(charts):
            some = tuple(names[len(names) * number // charts : len(names) * (number + 1) // charts])
            heading = begin_upper(part_title)
            yield (part, heading, some) if charts == 1 else (f"{part}_{number + 1}", f"{heading}, {number + 1}", some)


def _draw(
    history: History,
    courses: Mapping[MeasureName, Course],
    names: Sequence[MeasureName],
    putters: Sequence[PutterChange],
) -> tuple[str, tuple[ChartPoint, ...]]:
    axis = TimeAxis([visit.day for visit in history.visits])
    by_visit: dict[int, list[PutterChange]] = {}
    for change in putters:
        by_visit.setdefault(change.visit, []).append(change)
    key = _key_of(by_visit)
    with styled():
        height = _HEAD_HEIGHT + _PANEL_HEIGHT * len(names) + _KEY_LINE_HEIGHT * len(key)
        figure, panels = new_chart(rows=len(names), height=height)
        for panel, name in zip(panels, names, strict=True):
            _fill(panel, history, courses[name], axis)
            _mark_putters(panel, by_visit, axis)
        axis.dress(panels[-1])
        _dress_figure(figure, history, names, key)
        lay_out(figure)
        return as_svg(figure), tuple(_read_off(history, names, panels, axis))


def _read_off(
    history: History, names: Sequence[MeasureName], panels: Sequence[Axes], axis: TimeAxis
) -> Iterator[ChartPoint]:
    for panel, name in zip(panels, names, strict=True):
        measure = RECORDS[name]
        for at, visit in zip(axis.places, history.visits, strict=True):
            if estimate := visit.measured.measures.get(name):
                x, y = place_of(panel, at, estimate.value)
                number = format_margin(estimate, signed=measure.signed)
                says = f"{measure.title}, {format_day(visit.day)}, {MOMENT_WORDS[visit.moment]}: {number}"
                yield ChartPoint(x=x, y=y, says=says)


def _fill(panel: Axes, history: History, course: Course, axis: TimeAxis) -> None:
    size = 8.0 if len(history.visits) < _MANY else 5.5
    looks = [
        (at, visit.moment, visit.measured.measures.get(course.name))
        for at, visit in zip(axis.places, history.visits, strict=True)
    ]
    missing = [at for at, _moment, estimate in looks if not estimate]
    if missing:
        panel.plot(
            missing, [0.03] * len(missing), marker="x", markersize=size - 1, markeredgewidth=1.6, color=SOFT,
            linestyle="none", transform=panel.get_xaxis_transform(), zorder=3, clip_on=False,
        )  # fmt: skip
    low, high = math.inf, -math.inf
    for moment, (shape, colour) in _MARKS.items():
        found = [(at, estimate) for at, each, estimate in looks if each == moment and estimate]
        if not found:
            continue
        ats, values = [at for at, _ in found], [estimate.value for _, estimate in found]
        lows, highs = [min(each.low, each.value) for _, each in found], [each.high for _, each in found]
        panel.vlines(ats, lows, highs, color=colour, linewidth=1.6, zorder=3)
        panel.plot(
            ats, values, marker=shape, markersize=size, color=colour, markeredgecolor=PAPER, linestyle="none", zorder=4
        )
        low, high = min([low, *lows]), max([high, *highs])
    for real, look in ((True, _REAL), (False, _NOISE)):
        lines = [
            [(axis.places[step.start], step.change.before.value), (axis.places[step.end], step.change.after.value)]
            for step in course.steps
            if step.change.real == real
        ]
        panel.add_collection(LineCollection(lines, zorder=2, **look), autolim=False)
    unit = RECORDS[course.name].unit
    room = max(_LEAST_SPAN[unit] - (high - low), 0.0) / 2 + 0.1 * max(high - low, _LEAST_SPAN[unit])
    panel.set_ylim(low - 1.3 * room, high + 2.0 * room)
    shown = tick_in_shown_unit(panel.yaxis, unit=unit, most=4, integer=unit in _WHOLE)
    panel.grid(axis="y", color=RULE, linewidth=0.6)
    heading = RECORDS[course.name].title
    title(panel, heading if unit == "ratio" else f"{heading}, {shown}")


def _mark_putters(panel: Axes, by_visit: Mapping[int, list[PutterChange]], axis: TimeAxis) -> None:
    for number, visit in enumerate(by_visit, 1):
        at = axis.places[visit] - axis.gap / 2
        panel.axvline(at, color=INK, linewidth=1.1, linestyle=(0, (5, 2, 1, 2)), zorder=1)
        panel.text(
            at, 0.99, str(number), transform=panel.get_xaxis_transform(), ha="center", va="top", fontsize=10,
            color=INK, bbox={"boxstyle": "circle,pad=0.15", "facecolor": PAPER, "edgecolor": INK, "linewidth": 0.9},
            zorder=5,
        )  # fmt: skip


def _key_of(by_visit: Mapping[int, list[PutterChange]]) -> list[str]:
    """Return one line of text for each line on the axis, or one for all where they are many."""
    if len(by_visit) > _MOST_KEYED:
        return [f"1 to {len(by_visit)}: the putter changed, see the list on the page"]
    return [
        f"{number}: {write_putter_change(change)}"
        for number, changes in enumerate(by_visit.values(), 1)
        for change in changes
    ]


def _dress_figure(figure: Figure, history: History, names: Sequence[MeasureName], key: list[str]) -> None:
    seen = {visit.moment for visit in history.visits}
    handles = [
        Line2D([], [], marker=shape, markersize=8, color=colour, markeredgecolor=PAPER, label=MOMENT_WORDS[moment])
        for moment, (shape, colour) in _MARKS.items()
        if moment in seen
    ]
    if len(history.visits) > 1:
        handles += [
            Line2D([], [], **_REAL, label="real change"),
            Line2D([], [], **_NOISE, label="within the noise"),
        ]
    if not all(visit.measured.measures.get(name) for visit in history.visits for name in names):
        handles.append(
        Line2D([], [], marker="x", markersize=7, markeredgewidth=1.6, color=SOFT, linestyle="none",
               label="not measured")
    )  # fmt: skip
    figure.legend(handles=handles, loc="outside upper left", ncols=3, columnspacing=1.2, handletextpad=0.5)
    if key:
        figure.legend(
            handles=[Line2D([], [], linestyle="none", label=line) for line in key], loc="outside lower left",
            handlelength=0, handletextpad=0,
        )  # fmt: skip
