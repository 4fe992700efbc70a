"""Paths of hands and putter head as one view shows them, drawn to scale: from behind and from the front."""

from collections.abc import Sequence
from typing import Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from putt_posture.drawing.charts import (
    BEFORE,
    INK,
    SOFT,
    as_svg,
    styled,
    tick_in_shown_unit,
)
from putt_posture.drawing.stroke_data import (
    cut_path,
    is_within_noise,
)
from putt_posture.drawing.stroke_panels import (
    ACROSS,
    DASHES,
    LEAST_HEIGHT,
    POINT_TITLES,
    WITHIN,
    Drawn,
    PanelRange,
    PathsOf,
    at_least,
    fill_tube,
    mark_events,
    new_scaled,
    toward,
)
from putt_posture.shown import join_words
from putt_posture.values import NORMAL_95, Estimate, Stroke, View

__all__ = ["draw_paths", "say_within"]

_LEAST_UP: Final = 4.0
_LEAST_ACROSS: Final = 10.0
"""Least height and width of a panel, cm, so that a small movement looks small."""
_ROOM: Final = 0.7
_BESIDE: Final = 0.04
"""Around a path, cm, and beside it as a share of its length."""


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
    panels: list[tuple[str, list[Drawn]]] = []
    for point, heading in POINT_TITLES.items():
        drawn = [_prepare(each, point) for each in shown if point in each.stroke.paths]
        if seen := [each for each in drawn if each is not None]:
            panels.append((heading, seen))
    if not panels:
        return None
    lines = _shoulders(under_shoulders) if view == "down_the_line" else None
    windows = _windows(panels, least_x=_LEAST_ACROSS, lines=lines)
    with styled():
        figure, axes = new_scaled(windows, forward=forward, key=bool(shown[0].name))
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
            f"{'across' if view == 'down_the_line' else 'along'} the line, {unit} {toward(way, forward)}"
        )
        _name_all(figure, shown)
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


def _prepare(each: PathsOf, point: str) -> Drawn | None:
    path = cut_path(each.stroke.paths[point], each.stroke.events)
    if np.isfinite(path.moved_cm).all(axis=1).sum() < 2:
        return None
    sideways, rise = (is_within_noise(path, each.stroke.events, axis=axis) for axis in (0, 1))
    from_behind = each.stroke.view == "down_the_line"
    note = "sideways" if from_behind and sideways else "rise" if not from_behind and rise else ""
    return Drawn(
        places=path.moved_cm, times_s=path.times_s, margins=NORMAL_95 * path.sd_cm,
        beyond=not (sideways if from_behind else sideways and rise), of=each, note=note,
    )  # fmt: skip


def _windows(
    panels: Sequence[tuple[str, Sequence[Drawn]]], *, least_x: float, lines: tuple[float, float] | None
) -> list[PanelRange]:
    lows, highs = zip(*(each.ends(0) for _, seen in panels for each in seen), strict=True)
    beside = _ROOM + _BESIDE * (max(highs) - min(lows))
    low, high = min(lows) - beside, max(highs) + beside
    if lines is not None and abs(lines[0]) <= least_x:
        low, high = min(low, lines[0] - _ROOM), max(high, lines[0] + _ROOM)
    low, high = at_least(low, high, least_x)
    least_up = max(_LEAST_UP, LEAST_HEIGHT * (high - low) / ACROSS)
    found = []
    for heading, seen in panels:
        bottoms, tops = zip(*(each.ends(1) for each in seen), strict=True)
        bottom, top = at_least(min(bottoms) - _ROOM, max(tops) + _ROOM, least_up)
        within = {each.note for each in seen}
        note = f": {within.pop()} {WITHIN}" if len(within) == 1 and within != {""} else ""
        found.append(PanelRange(low=(low, bottom), high=(high, top), heading=f"{heading}{note}"))
    return found


def _draw_path(panel: Axes, each: Drawn, *, beside: bool) -> None:
    """Draw a path with its band and the marks of its events; grey where it is inside the noise.

    Where several are drawn, a line keeps its colour, which names it, and only its band is grey.
    """
    band = each.of.colour if each.beyond else SOFT
    colour = each.of.colour if each.of.name else band
    seen = np.isfinite(each.places).all(axis=1)
    across, up = each.places[seen].T
    fill_tube(panel, each, colour=band)
    (line,) = panel.plot(across, up, color=colour, linewidth=2.0, zorder=3)
    if each.of.dashed:
        line.set_dashes(DASHES)
    mark_events(panel, each, colour, beside=beside)


def _shoulders(under: Estimate | None) -> tuple[float, float] | None:
    """Return how far toward the ball from the hands at address the line under the shoulders is, and its margin, cm."""
    return (-under.value, under.margin) if under is not None and under else None


def _draw_shoulders(panel: Axes, lines: tuple[float, float], *, forward: int) -> None:
    at, margin = lines
    low, high = sorted(panel.get_xlim())
    if low <= at <= high:
        panel.axvspan(at - margin, at + margin, color=BEFORE, alpha=0.1, linewidth=0, zorder=0)
        panel.axvline(at, color=BEFORE, linewidth=1.4, linestyle=(0, DASHES), zorder=1)
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


def _name_all(figure: Figure, shown: Sequence[PathsOf]) -> None:
    named = [each for each in shown if each.name]
    if named:
        handles = []
        for each in named:
            line = Line2D([], [], color=each.colour, linewidth=2.0, label=each.name)
            if each.dashed:
                line.set_dashes(DASHES)
            handles.append(line)
        figure.legend(handles=handles, loc="upper left", ncols=2, borderpad=0.1)
