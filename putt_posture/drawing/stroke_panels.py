"""Panels to scale in which paths of a stroke are drawn: what a panel shows, bands, and marks of the events.

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
from matplotlib.patches import PathPatch
from matplotlib.path import Path

from putt_posture.drawing.charts import AFTER, INK, LETTERS, RULE, WIDTH
from putt_posture.values import Floats, Stroke, StrokeEvent

__all__ = [
    "ACROSS",
    "BAND",
    "DASHES",
    "LEAST_HEIGHT",
    "POINT_TITLES",
    "WITHIN",
    "Drawn",
    "PanelRange",
    "PathsOf",
    "at_least",
    "fill_tube",
    "mark_events",
    "new_scaled",
    "toward",
]

POINT_TITLES: Final[Mapping[str, str]] = {"hands": "Hands", "putter_head": "Putter head"}
WITHIN: Final = "within what can be measured"
"""Words for what is inside the noise."""
_LEFT: Final = 54.0
_RIGHT: Final = 14.0
ACROSS: Final = WIDTH - _LEFT - _RIGHT
_TITLE: Final = 24.0
_TICKS: Final = 24.0
_LABEL: Final = 18.0
_KEY: Final = 24.0
"""Points: room beside and around the panels."""
LEAST_HEIGHT: Final = 74.0
"""The same height in points, so that there is room for names."""
_MOST_ELLIPSES: Final = 30
_CORNERS: Final = 14
"""Places of a path whose ellipses make its band, and corners of each."""
BAND: Final = 0.22
DASHES: Final = (4.0, 1.6)
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
class PanelRange:
    """What a panel shows, cm, and how many times as large its height is drawn."""

    low: tuple[float, float]
    high: tuple[float, float]
    heading: str
    times_up: float = 1.0


@frozen(kw_only=True, eq=False)
class Drawn:
    """A path as it is drawn, (N, 2) cm, with its times and half-widths of its band; what of it is inside the noise."""

    places: Floats = field(repr=False)
    times_s: Floats = field(repr=False)
    margins: Floats = field(repr=False)
    beyond: bool
    of: PathsOf
    note: str = ""

    def ends(self, axis: int) -> tuple[float, float]:
        """Return the least and the largest place of the band along an axis, cm.

        Parameters
        ----------
        axis : {0, 1}
        """
        places, margins = self.places[:, axis], np.nan_to_num(self.margins[:, axis])
        return float(np.nanmin(places - margins)), float(np.nanmax(places + margins))


def at_least(low: float, high: float, least: float) -> tuple[float, float]:
    """Return the ends of a stretch, widened on both sides to a least length, cm.

    Parameters
    ----------
    low, high, least : float
    """
    short = max(least - (high - low), 0.0) / 2
    return low - short, high + short


def new_scaled(windows: Sequence[PanelRange], *, forward: int, key: bool) -> tuple[Figure, list[Axes]]:
    """Return a chart with a panel for each window, all to one scale.

    Parameters
    ----------
    windows : sequence of PanelRange
    forward : {-1, +1}
        −1 turns the panels round.
    key : bool
        Whether there is room for a key above them.
    """
    wide = windows[0].high[0] - windows[0].low[0]
    size = ACROSS / wide
    heights = [size * each.times_up * (each.high[1] - each.low[1]) for each in windows]
    tall = sum(heights) + len(windows) * (_TITLE + _TICKS) + _LABEL + (_KEY if key else 0.0)
    figure = Figure(figsize=(WIDTH / 72, tall / 72), dpi=72)
    axes, top = [], tall - (_KEY if key else 0.0)
    for window, height in zip(windows, heights, strict=True):
        top -= _TITLE + height
        panel = figure.add_axes((_LEFT / WIDTH, top / tall, ACROSS / WIDTH, height / tall))
        ends = window.low[0], window.high[0]
        panel.set_xlim(*(ends if forward > 0 else ends[::-1]))
        panel.set_ylim(window.low[1], window.high[1])
        panel.grid(color=RULE, linewidth=0.6)
        panel.set_axisbelow(True)
        panel.set_title(
            window.heading, loc="left", x=-(_LEFT - 8) / ACROSS, fontweight="bold", fontsize=LETTERS, color=INK
        )
        axes.append(panel)
        top -= _TICKS
    return figure, axes


def fill_tube(panel: Axes, each: Drawn, *, colour: str, shift: float = 0.0) -> None:
    """Fill the band around a path as one: the 95 % ellipses of its places, each joined to the next.

    Parameters
    ----------
    panel : Axes
    each : Drawn
    colour : str
    shift : float
        How far up the path is moved, cm.
    """
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
    panel.add_patch(PathPatch(band, facecolor=colour, alpha=BAND, linewidth=0, zorder=2))


def mark_events(panel: Axes, each: Drawn, colour: str, *, beside: bool = False) -> None:
    """Mark the events on a path; named where it is the only one.

    Parameters
    ----------
    panel : Axes
    each : Drawn
    colour : str
    beside : bool
        Whether the names stand beside the marks, and not above and below.
    """
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


def toward(where: str, forward: int) -> str:
    """Say on which side of the picture something lies, in brackets.

    Parameters
    ----------
    where : str
    forward : {-1, +1}
    """
    return f"({where} to the {'right' if forward > 0 else 'left'})"
