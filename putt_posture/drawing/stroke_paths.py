"""Paths of hands and putter head, drawn to scale with their noise bands: from behind, from the front and from above.

A path is drawn in grey where it cannot be told from the place that it had at address: what is inside the noise looks
inside the noise. The band is the 95 % interval at each place.
"""

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Any, Final

import cv2
import numpy as np
from attrs import field, frozen
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, PathPatch
from matplotlib.path import Path

from putt_posture.drawing.charts import (
    AFTER,
    BEFORE,
    INK,
    LETTERS,
    RULE,
    SOFT,
    WIDTH,
    as_svg,
    styled,
    tick_in_shown_unit,
)
from putt_posture.drawing.stroke_data import (
    PathFromAbove,
    cut_path,
    find_path_from_above,
    is_within_noise,
    strokes_from_two_sides,
)
from putt_posture.shown import join_words
from putt_posture.values import NORMAL_95, Arc, Estimate, Floats, Stroke, StrokeEvent, Strokes, View

__all__ = ["POINT_TITLES", "WITHIN", "PathsOf", "draw_paths", "draw_paths_from_above", "say_within"]

POINT_TITLES: Final[Mapping[str, str]] = {"hands": "Hands", "putter_head": "Putter head"}
WITHIN: Final = "within what can be measured"
"""Words for what is inside the noise."""
_BALL_CM: Final = 2.135
"""Radius of the smallest ball (Equipment Rules, part 4: 42.67 mm across)."""
_LEFT: Final = 54.0
_RIGHT: Final = 14.0
_ACROSS: Final = WIDTH - _LEFT - _RIGHT
_TITLE: Final = 24.0
_TICKS: Final = 24.0
_LABEL: Final = 18.0
_KEY: Final = 24.0
"""Points: room beside and around the panels."""
_LEAST_UP: Final = 4.0
_LEAST_ACROSS: Final = 10.0
"""Least height and width of a panel, cm, so that a small movement looks small."""
_LEAST_HEIGHT: Final = 74.0
"""The same height in points, so that there is room for names."""
_ROOM: Final = 0.7
_BESIDE: Final = 0.04
"""Around a path, cm, and beside it as a share of its length."""
_WIDER: Final = 5.0
"""How many times as large the way across the line is drawn where it says so."""
_MOST_ELLIPSES: Final = 30
_CORNERS: Final = 14
"""Places of a path whose ellipses make its band, and corners of each."""
_GRID: Final = 80
"""Places along the line at which a band is filled."""
_BAND: Final = 0.22
_DASHES: Final = (4.0, 1.6)
_MARKS: Final[Mapping[StrokeEvent, str]] = {"start": "o", "top": "^", "impact": "s", "finish": "D"}
"""Shape of the mark of each event."""
_ABOVE: Final = {"ha": "center", "va": "bottom", "xytext": (0, 7)}
_BELOW: Final = {"ha": "center", "va": "top", "xytext": (0, -7)}
_NAMES_BESIDE: Final[Mapping[StrokeEvent, Mapping[str, Any]]] = {
    "start": _BELOW, "top": {"ha": "right", "va": "center", "xytext": (-9, 0)},
    "impact": {"ha": "left", "va": "bottom", "xytext": (9, 1)},
    "finish": {"ha": "left", "va": "center", "xytext": (9, 0)},
}  # fmt: skip
"""Where the names stand from behind, where all marks are nearly over each other."""
_NAMES_ABOVE: Final[Mapping[StrokeEvent, Mapping[str, Any]]] = {
    "start": _BELOW, "top": _ABOVE, "impact": _ABOVE, "finish": _ABOVE
}  # fmt: skip


@frozen(kw_only=True, eq=False)
class PathsOf:
    """The paths of one stroke in a picture.

    Attributes
    ----------
    stroke : Stroke
    name : str
        As the key calls it; empty where it is the only one.
    colour : str
    dashed : bool
    """

    stroke: Stroke
    name: str = ""
    colour: str = AFTER
    dashed: bool = False


@frozen(kw_only=True)
class _Window:
    """What a panel shows, cm, and how many times as large its height is drawn."""

    low: tuple[float, float]
    high: tuple[float, float]
    heading: str
    times_up: float = 1.0


@frozen(kw_only=True, eq=False)
class _Drawn:
    """A path as it is drawn, (N, 2) cm, with its times and half-widths of its band; what of it is inside the noise."""

    places: Floats = field(repr=False)
    times_s: Floats = field(repr=False)
    margins: Floats = field(repr=False)
    beyond: bool
    of: PathsOf
    note: str = ""

    def ends(self, axis: int) -> tuple[float, float]:
        """Return the least and the largest place of the band along an axis, cm."""
        places, margins = self.places[:, axis], np.nan_to_num(self.margins[:, axis])
        return float(np.nanmin(places - margins)), float(np.nanmax(places + margins))


def draw_paths(
    shown: Sequence[PathsOf], *, view: View, forward: int = 1, under_shoulders: Estimate | None = None
) -> str | None:
    """Draw hands and putter head as one view shows them, each in a panel of its own, to one scale.

    Parameters
    ----------
    shown : sequence of PathsOf
        Strokes in this view; more than one are laid over each other.
    view : View
        From behind (down the line) or from the front (face on).
    forward : {-1, +1}
        As in `Scene`: +1 where the ball or the target is to the right in the picture.
    under_shoulders : Estimate, optional
        How far the hands are from the line under the shoulders at address, + toward the ball, cm; drawn from behind.

    Returns
    -------
    str or None
        SVG; None where no path was seen.
    """
    panels: list[tuple[str, list[_Drawn]]] = []
    for point, heading in POINT_TITLES.items():
        drawn = [_prepare(each, point) for each in shown if point in each.stroke.paths]
        if seen := [each for each in drawn if each is not None]:
            panels.append((heading, seen))
    if not panels:
        return None
    lines = _shoulders(under_shoulders) if view == "down_the_line" else None
    windows = _windows(panels, least_x=_LEAST_ACROSS, lines=lines)
    with styled():
        figure, axes = _new_scaled(windows, forward=forward, key=bool(shown[0].name))
        for panel, (heading, seen) in zip(axes, panels, strict=True):
            panel.axhline(0, color=INK, linewidth=1.0, linestyle=(0, (1, 2)), zorder=1)
            if view == "down_the_line":
                panel.axvline(0, color=INK, linewidth=1.0, linestyle=(0, (1, 2)), zorder=1)
                if lines is not None and heading == POINT_TITLES["hands"]:
                    _draw_shoulders(panel, lines, forward=forward)
            for each in seen:
                _draw_path(panel, each, beside=view == "down_the_line")
            panel.set_ylabel(f"up, {tick_in_shown_unit(panel.yaxis, unit='cm', most=4, integer=True)}")
        unit = tick_in_shown_unit(axes[-1].xaxis, unit="cm")
        for panel in axes[:-1]:
            tick_in_shown_unit(panel.xaxis, unit="cm")
        way = "the ball" if view == "down_the_line" else "the target"
        axes[-1].set_xlabel(
            f"{'across' if view == 'down_the_line' else 'along'} the line, {unit} {_toward(way, forward)}"
        )
        _name_all(figure, shown)
        return as_svg(figure)


def draw_paths_from_above(
    strokes: Strokes, *, forward: int = 1, predicted: Arc | None = None, under_shoulders: Estimate | None = None
) -> str | None:
    """Draw hands and putter head from above, put together from both views in step by the events.

    The upper panel is to scale. In the lower ones the way across the line is drawn `_WIDER` times as large.

    Parameters
    ----------
    strokes : Strokes
    forward : {-1, +1}
        +1 where the target is to the right face on; the golfer stands at the top.
    predicted : Arc, optional
        The arc that the setup tends to give.
    under_shoulders : Estimate, optional
        As for `draw_paths`.

    Returns
    -------
    str or None
        SVG; None where not both views have a stroke with paths.
    """
    sides = strokes_from_two_sides(strokes)
    if sides is None:
        return None
    found = {point: find_path_from_above(*sides, point) for point in POINT_TITLES}
    paths = {point: path for point, path in found.items() if path is not None}
    if not paths:
        return None
    face_on = PathsOf(stroke=sides[0])
    bodies = {
        point: _Drawn(
            places=_as_seen(path), times_s=path.times_s, margins=NORMAL_95 * path.sd_cm,
            beyond=not is_within_noise(path, sides[0].events, axis=1), of=face_on,
        )
        for point, path in paths.items()
    }  # fmt: skip
    inside = _hands_inside(sides[1])
    plan = _plan_window(bodies, inside=inside, shoulders=under_shoulders)
    arc = predicted if predicted else None
    windows = [plan] + [
        _wide_window(POINT_TITLES[point], bodies[point], arc if point == "putter_head" else None, plan)
        for point in bodies
    ]
    with styled():
        figure, axes = _new_scaled(windows, forward=forward, key=arc is not None and "putter_head" in bodies)
        _draw_plan(axes[0], bodies, inside=inside, shoulders=under_shoulders, forward=forward)
        for panel, (point, body) in zip(axes[1:], bodies.items(), strict=True):
            panel.axhline(0, color=INK, linewidth=1.0, linestyle=(0, (1, 2)), zorder=1)
            if point == "putter_head" and arc is not None:
                _draw_predicted(panel, arc)
            _draw_wide(panel, body, paths[point])
            panel.set_ylabel(f"inside, {tick_in_shown_unit(panel.yaxis, unit='cm', most=4)}")
        for panel in axes[:-1]:
            tick_in_shown_unit(panel.xaxis, unit="cm")
        unit = tick_in_shown_unit(axes[-1].xaxis, unit="cm")
        axes[-1].set_xlabel(f"along the line, {unit} {_toward('the target', forward)}")
        if arc is not None and "putter_head" in bodies:
            handles, labels = axes[1 + list(bodies).index("putter_head")].get_legend_handles_labels()
            figure.legend(handles, labels, loc="upper left", ncols=2, borderpad=0.1)
        return as_svg(figure)


def say_within(stroke: Stroke, *, view: View) -> str:
    """Say which paths do not leave the line, or their height, by more than can be measured; empty where all do.

    Parameters
    ----------
    stroke : Stroke
    view : View
        Down the line the way across the line is looked at, face on the height.
    """
    axis, what = (0, "the way across the line") if view == "down_the_line" else (1, "the rise")
    inside = [
        heading.lower()
        for point, heading in POINT_TITLES.items()
        if point in stroke.paths and is_within_noise(stroke.paths[point], stroke.events, axis=axis)
    ]
    return f"Of the {join_words(inside)}, {what} is {WITHIN}." if inside else ""


def _prepare(each: PathsOf, point: str) -> _Drawn | None:
    path = cut_path(each.stroke.paths[point], each.stroke.events)
    if np.isfinite(path.moved_cm).all(axis=1).sum() < 2:
        return None
    sideways, rise = (is_within_noise(path, each.stroke.events, axis=axis) for axis in (0, 1))
    from_behind = each.stroke.view == "down_the_line"
    note = "sideways" if from_behind and sideways else "rise" if not from_behind and rise else ""
    return _Drawn(
        places=path.moved_cm, times_s=path.times_s, margins=NORMAL_95 * path.sd_cm,
        beyond=not (sideways if from_behind else sideways and rise), of=each, note=note,
    )  # fmt: skip


def _as_seen(path: PathFromAbove) -> Floats:
    """Return along and inside: across the line, + toward the golfer."""
    return np.asarray(path.moved_cm * np.array([1.0, -1.0]))


def _hands_inside(side: Stroke) -> float | None:
    """Return how far inside the ball's middle the hands are at address, cm."""
    if "hands" not in side.paths:
        return None
    along = side.paths["hands"].from_ball_cm[0]
    return -float(along) if np.isfinite(along) else None


def _windows(
    panels: Sequence[tuple[str, Sequence[_Drawn]]], *, least_x: float, lines: tuple[float, float] | None
) -> list[_Window]:
    lows, highs = zip(*(each.ends(0) for _, seen in panels for each in seen), strict=True)
    beside = _ROOM + _BESIDE * (max(highs) - min(lows))
    low, high = min(lows) - beside, max(highs) + beside
    if lines is not None and abs(lines[0]) <= least_x:
        low, high = min(low, lines[0] - _ROOM), max(high, lines[0] + _ROOM)
    low, high = _at_least(low, high, least_x)
    least_up = max(_LEAST_UP, _LEAST_HEIGHT * (high - low) / _ACROSS)
    found = []
    for heading, seen in panels:
        bottoms, tops = zip(*(each.ends(1) for each in seen), strict=True)
        bottom, top = _at_least(min(bottoms) - _ROOM, max(tops) + _ROOM, least_up)
        within = {each.note for each in seen}
        note = f": {within.pop()} {WITHIN}" if len(within) == 1 and within != {""} else ""
        found.append(_Window(low=(low, bottom), high=(high, top), heading=f"{heading}{note}"))
    return found


def _at_least(low: float, high: float, least: float) -> tuple[float, float]:
    short = max(least - (high - low), 0.0) / 2
    return low - short, high + short


def _new_scaled(windows: Sequence[_Window], *, forward: int, key: bool) -> tuple[Figure, list[Axes]]:
    """Return a chart with a panel for each window, all to one scale."""
    wide = windows[0].high[0] - windows[0].low[0]
    size = _ACROSS / wide
    heights = [size * each.times_up * (each.high[1] - each.low[1]) for each in windows]
    tall = sum(heights) + len(windows) * (_TITLE + _TICKS) + _LABEL + (_KEY if key else 0.0)
    figure = Figure(figsize=(WIDTH / 72, tall / 72), dpi=72)
    axes, top = [], tall - (_KEY if key else 0.0)
    for window, height in zip(windows, heights, strict=True):
        top -= _TITLE + height
        panel = figure.add_axes((_LEFT / WIDTH, top / tall, _ACROSS / WIDTH, height / tall))
        ends = window.low[0], window.high[0]
        panel.set_xlim(*(ends if forward > 0 else ends[::-1]))
        panel.set_ylim(window.low[1], window.high[1])
        panel.grid(color=RULE, linewidth=0.6)
        panel.set_axisbelow(True)
        panel.set_title(
            window.heading, loc="left", x=-(_LEFT - 8) / _ACROSS, fontweight="bold", fontsize=LETTERS, color=INK
        )
        axes.append(panel)
        top -= _TICKS
    return figure, axes


def _draw_path(panel: Axes, each: _Drawn, *, beside: bool) -> None:
    """Draw a path with its band and the marks of its events; grey where it is inside the noise.

    Where several are drawn, a line keeps its colour, which names it, and only its band is grey.
    """
    band = each.of.colour if each.beyond else SOFT
    colour = each.of.colour if each.of.name else band
    seen = np.isfinite(each.places).all(axis=1)
    across, up = each.places[seen].T
    _fill_tube(panel, each, colour=band)
    (line,) = panel.plot(across, up, color=colour, linewidth=2.0, zorder=3)
    if each.of.dashed:
        line.set_dashes(_DASHES)
    _mark_events(panel, each, colour, beside=beside)


def _fill_tube(panel: Axes, each: _Drawn, *, colour: str, shift: float = 0.0) -> None:
    """Fill the band around a path as one: the 95 % ellipses of its places, each joined to the next."""
    seen = np.isfinite(each.places).all(axis=1) & np.isfinite(each.margins).all(axis=1)
    places, margins = each.places[seen] + np.array([0.0, shift]), each.margins[seen]
    kept = np.unique(np.linspace(0, len(places) - 1, _MOST_ELLIPSES).round().astype(int))
    turns = np.linspace(0, 2 * np.pi, _CORNERS, endpoint=False)
    circle = np.stack([np.cos(turns), np.sin(turns)], axis=1)
    rings = places[kept, None] + margins[kept, None] * circle
    hulls = [
        cv2.convexHull(np.concatenate(pair).astype(np.float32), clockwise=True)[:, 0] for pair in pairwise(rings)
    ]  # fmt: skip
    band = Path.make_compound_path(*(Path(np.vstack([hull, hull[:1]]), closed=True) for hull in hulls))
    panel.add_patch(PathPatch(band, facecolor=colour, alpha=_BAND, linewidth=0, zorder=2))


def _mark_events(panel: Axes, each: _Drawn, colour: str, *, beside: bool = False) -> None:
    names = _NAMES_BESIDE if beside else _NAMES_ABOVE
    for name, shape in _MARKS.items():
        event = each.of.stroke.events[name]
        if not event or not len(each.times_s):
            continue
        at = int(np.argmin(np.abs(each.times_s - event.value)))
        place = each.places[at]
        if not np.isfinite(place).all():
            continue
        panel.plot(
            *place, marker=shape, markersize=7, color=colour, markeredgecolor="white", linestyle="none", zorder=5
        )
        if not each.of.name:
            panel.annotate(
                name, tuple(place), textcoords="offset points", color=INK, fontsize=10, zorder=6,
                annotation_clip=False, **names[name],
            )  # fmt: skip


def _shoulders(under: Estimate | None) -> tuple[float, float] | None:
    """Return how far toward the ball from the hands at address the line under the shoulders is, and its margin, cm."""
    return (-under.value, under.margin) if under is not None and under else None


def _draw_shoulders(panel: Axes, lines: tuple[float, float], *, forward: int) -> None:
    at, margin = lines
    low, high = sorted(panel.get_xlim())
    if low <= at <= high:
        panel.axvspan(at - margin, at + margin, color=BEFORE, alpha=0.1, linewidth=0, zorder=0)
        panel.axvline(at, color=BEFORE, linewidth=1.4, linestyle=(0, _DASHES), zorder=1)
        panel.text(
            at, 0.03, "under the shoulders", transform=panel.get_xaxis_transform(), rotation=90, ha="right",
            va="bottom", color=INK, fontsize=10,
        )  # fmt: skip
        return
    left = (at < low) == (forward > 0)
    panel.text(
        0.02 if left else 0.98, 0.05, "← under the shoulders" if left else "under the shoulders →",
        transform=panel.transAxes, ha="left" if left else "right", va="bottom", color=INK, fontsize=10,
    )  # fmt: skip


def _plan_window(bodies: Mapping[str, _Drawn], *, inside: float | None, shoulders: Estimate | None) -> _Window:
    along = np.concatenate([each.places[:, 0] for each in bodies.values()])
    low, high = (float(end) for end in (np.nanmin(along) - 4, np.nanmax(along) + 4))
    top = 4.0 if inside is None or "hands" not in bodies else inside + 3
    if shoulders is not None and shoulders and inside is not None:
        top = max(top, inside + shoulders.value + 3)
    return _Window(low=(low, -4.0), high=(high, top), heading="From above, to scale")


def _draw_plan(
    panel: Axes, bodies: Mapping[str, _Drawn], *, inside: float | None, shoulders: Estimate | None,
    forward: int,
) -> None:  # fmt: skip
    """Draw the ball, the line through it, the putter head on it, the hands and the line under the shoulders."""
    panel.axhline(0, color=INK, linewidth=1.0, linestyle=(0, (1, 2)), zorder=1)
    panel.add_patch(Circle((0, 0), _BALL_CM, facecolor="white", edgecolor=INK, linewidth=1.2, zorder=4))
    left = forward > 0
    edge = panel.get_xlim()[0]
    beside: dict[str, Any] = {"ha": "left", "va": "bottom", "color": INK, "fontsize": 10}
    for point, each in bodies.items():
        shift = np.array([0.0, 0.0 if point == "putter_head" else inside if inside is not None else np.nan])
        if not np.isfinite(shift).all():
            continue
        colour = each.of.colour if each.beyond else SOFT
        across, up = (each.places + shift)[np.isfinite(each.places).all(axis=1)].T
        _fill_tube(panel, each, colour=colour, shift=float(shift[1]))
        panel.plot(across, up, color=colour, linewidth=2.0, zorder=3)
        under = point == "putter_head"
        panel.text(
            edge + (0.6 if left else -0.6), float(np.nanmedian(up)) + (-0.9 if under else 0.8), POINT_TITLES[point],
            **{**beside, "va": "top" if under else "bottom"},
        )  # fmt: skip
    if shoulders is not None and shoulders and inside is not None:
        at = inside + shoulders.value
        panel.axhspan(at - shoulders.margin, at + shoulders.margin, color=BEFORE, alpha=0.1, linewidth=0, zorder=0)
        panel.axhline(at, color=BEFORE, linewidth=1.4, linestyle=(0, _DASHES), zorder=1)
        panel.text(
            panel.get_xlim()[1] - (0.6 if left else -0.6), at + 0.4, "under the shoulders", **{**beside, "ha": "right"}
        )
    panel.set_ylabel(f"inside, {tick_in_shown_unit(panel.yaxis, unit='cm', most=4)}")


def _wide_window(heading: str, body: _Drawn, arc: Arc | None, plan: _Window) -> _Window:
    up = [np.array(body.ends(1))]
    if arc is not None:
        up += [arc.inside_cm - NORMAL_95 * arc.inside_sd_cm, arc.inside_cm + NORMAL_95 * arc.inside_sd_cm]
    least = _LEAST_HEIGHT * (plan.high[0] - plan.low[0]) / (_ACROSS * _WIDER)
    bottom, top = _at_least(min(map(np.nanmin, up)) - 0.2, max(map(np.nanmax, up)) + 0.2, least)
    said = f"{heading}, {_WIDER:g} × across" if body.beyond else f"{heading}, {_WIDER:g} ×: {WITHIN}"
    return _Window(
        low=(plan.low[0], float(bottom)), high=(plan.high[0], float(top)), heading=said, times_up=_WIDER,
    )  # fmt: skip


def _draw_wide(panel: Axes, body: _Drawn, path: PathFromAbove) -> None:
    colour = body.of.colour if body.beyond else SOFT
    seen = np.isfinite(body.places).all(axis=1) & np.isfinite(path.sd_cm).all(axis=1)
    along, inside = body.places[seen].T
    _fill_band(panel, along, inside, NORMAL_95 * path.sd_cm[seen, 1], colour=colour)
    panel.plot(along, inside, color=colour, linewidth=2.0, label="as measured", zorder=4)
    _mark_events(panel, body, colour)


def _fill_band(panel: Axes, along: Floats, inside: Floats, margin: Floats, *, colour: str) -> None:
    """Fill the band around the way back and the way through as one, however they lie over each other."""
    turn = int(np.argmin(along))
    grid = np.linspace(along.min(), along.max(), _GRID)
    low, high = [], []
    for part in (slice(turn, None, -1), slice(turn, None)):
        order = np.argsort(along[part])
        where, at, by = (each[part][order] for each in (along, inside, margin))
        if len(where) > 1:
            low.append(np.interp(grid, where, at - by, left=np.nan, right=np.nan))
            high.append(np.interp(grid, where, at + by, left=np.nan, right=np.nan))
    panel.fill_between(
        grid, np.nanmin(low, axis=0), np.nanmax(high, axis=0), color=colour, alpha=_BAND, linewidth=0, zorder=2
    )


def _draw_predicted(panel: Axes, arc: Arc) -> None:
    margin = NORMAL_95 * arc.inside_sd_cm
    panel.fill_between(
        arc.distance_cm, arc.inside_cm - margin, arc.inside_cm + margin, color=BEFORE, alpha=0.12, linewidth=0, zorder=1
    )
    (line,) = panel.plot(arc.distance_cm, arc.inside_cm, color=BEFORE, linewidth=1.8, label="by the setup", zorder=3)
    line.set_dashes(_DASHES)


def _toward(where: str, forward: int) -> str:
    return f"({where} to the {'right' if forward > 0 else 'left'})"


def _name_all(figure: Figure, shown: Sequence[PathsOf]) -> None:
    named = [each for each in shown if each.name]
    if named:
        handles = []
        for each in named:
            line = Line2D([], [], color=each.colour, linewidth=2.0, label=each.name)
            if each.dashed:
                line.set_dashes(_DASHES)
            handles.append(line)
        figure.legend(handles=handles, loc="upper left", ncols=2, borderpad=0.1)
