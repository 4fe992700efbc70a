"""Charts: the arc of a setup, and what putters of other lengths do to the setup."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Final, Literal

import numpy as np
from attrs import field, frozen
from matplotlib.axes import Axes

from putt_posture.drawing.charts import (
    AFTER,
    BEFORE,
    INK,
    RULE,
    SOFT,
    ChartPoint,
    as_svg,
    lay_out,
    new_chart,
    place_of,
    styled,
    tick_in_shown_unit,
    title,
)
from putt_posture.figures import format_given, format_length, inches
from putt_posture.measures import MEASURES, say_number, say_value
from putt_posture.shown_units import shows_inches
from putt_posture.units import CM_PER_INCH
from putt_posture.values import NORMAL_95, Arc, ArcComparison, Estimate, Floats, MeasureName, PutterCurves

__all__ = [
    "CURVES",
    "ArcNames",
    "CurveStop",
    "CurvesChart",
    "describe_curves",
    "draw_arc_chart",
    "draw_curves_chart",
    "draw_curves_to_read",
]

_ARC_HEIGHT: Final = 430
_LEAST_DEPTH_CM: Final = 1.0
"""Least range of the upper panel, so that a straight line looks straight."""
_LEAST_FACE_DEG: Final = 3.0
_ARC_DASHES: Final = (4.0, 1.6)


@frozen(kw_only=True)
class ArcNames:
    """Names of the two setups in the picture, at most about 15 letters."""

    before: str = "before"
    after: str = "after"


Curve = Literal["spine_tilt", "hand_offset", "back_rounding", "knee_flex"]
CURVES: Final[tuple[Curve, ...]] = ("spine_tilt", "hand_offset", "back_rounding", "knee_flex")
"""From top to bottom."""
_CURVES_HEIGHT: Final = 620
_LEAST_SPAN: Final = 6.0
"""Least range of a panel, degrees or centimetres, so that a flat curve looks flat."""
_CURVES_DASHES: Final = (4.0, 1.6)


@frozen(kw_only=True)
class CurveStop:
    """One length of putter, to be read off.

    Attributes
    ----------
    length_cm : float
    says : str
        The length in words.
    points : tuple of ChartPoint
        One on each curve, in the order of `CURVES`.
    """

    length_cm: float
    says: str
    points: tuple[ChartPoint, ...]


@frozen(kw_only=True)
class CurvesChart:
    """The chart, and its numbers to be read off.

    Attributes
    ----------
    svg : str
    stops : tuple of CurveStop
        By increasing length.
    """

    svg: str = field(repr=False)
    stops: tuple[CurveStop, ...] = field(repr=False)


def draw_arc_chart(comparison: ArcComparison, *, names: ArcNames | None = None) -> str | None:
    """Draw both arcs over each other.

    Parameters
    ----------
    comparison : ArcComparison
    names : ArcNames, optional

    Returns
    -------
    str or None
        SVG; None where there is no arc. Bands are 95 % intervals.
    """
    names = names or ArcNames()
    arcs = [
        (arc, name, colour, dashed)
        for arc, name, colour, dashed in (
            (comparison.before, names.before, BEFORE, True),
            (comparison.after, names.after, AFTER, False),
        )
        if arc
    ]
    if not arcs:
        return None
    with styled():
        figure, (above, below) = new_chart(rows=2, height=_ARC_HEIGHT)
        for arc, name, colour, dashed in arcs:
            _draw(above, arc, arc.inside_cm, arc.inside_sd_cm, name=name, colour=colour, dashed=dashed)
            _draw(below, arc, arc.face_deg, arc.face_sd_deg, name=name, colour=colour, dashed=dashed)
        _dress_above(above, [arc for arc, *_ in arcs])
        _dress_below(below, comparison, [arc for arc, *_ in arcs])
        handles, labels = above.get_legend_handles_labels()
        figure.legend(handles, labels, loc="outside upper left", ncols=2)
        return as_svg(figure)


def draw_curves_chart(curves: PutterCurves) -> str | None:
    """Draw tilt, hand offset, rounding and knee flex over the length of the putter.

    Parameters
    ----------
    curves : PutterCurves

    Returns
    -------
    str or None
        SVG; None where the body can reach the ball with none of the lengths.
    """
    chart = draw_curves_to_read(curves)
    return None if chart is None else chart.svg


def draw_curves_to_read(curves: PutterCurves) -> CurvesChart | None:
    """Draw the same, with its numbers to be read off length by length.

    Parameters
    ----------
    curves : PutterCurves

    Returns
    -------
    CurvesChart or None
        None where the body can reach the ball with none of the lengths.
    """
    if not np.isfinite(curves.spine_tilt).any():
        return None
    lengths = np.asarray(inches(1.0) * curves.putter_length_cm)
    with styled():
        figure, panels = new_chart(rows=len(CURVES), height=_CURVES_HEIGHT)
        for panel, name in zip(panels, CURVES, strict=True):
            values: Floats = getattr(curves, name)
            panel.plot(lengths, values, color=INK, linewidth=2.4, zorder=3)
            _dress(panel, name, values)
            _mark(panel, lengths, values, curves)
        panels[0].set_xlim(float(lengths[0]), float(lengths[-1]))
        panels[-1].set_xlabel("length of the putter, in")
        handles, labels = panels[0].get_legend_handles_labels()
        if handles:
            figure.legend(handles, labels, loc="outside upper left", ncols=1)
        lay_out(figure)
        return CurvesChart(svg=as_svg(figure), stops=tuple(_read_stops(curves, lengths, panels)))


def _read_stops(curves: PutterCurves, lengths: Floats, panels: Sequence[Axes]) -> Iterator[CurveStop]:
    for at, length_cm in enumerate(curves.putter_length_cm):
        found = {name: float(getattr(curves, name)[at]) for name in CURVES}
        if not np.isfinite(list(found.values())).all():
            continue
        points = []
        for panel, (name, value) in zip(panels, found.items(), strict=True):
            x, y = place_of(panel, float(lengths[at]), value)
            points.append(ChartPoint(x=x, y=y, says=f"{MEASURES[name].title} {_write(name, value)}"))
        yield CurveStop(length_cm=float(length_cm), says=format_length(float(length_cm)), points=tuple(points))


def describe_curves(curves: PutterCurves, *, filmed: Mapping[MeasureName, Estimate]) -> str:
    """Say what the picture shows, for the caption and for people who do not see it, and why it differs from the film.

    Parameters
    ----------
    curves : PutterCurves
    filmed : mapping of MeasureName to Estimate
        The measures of the lesson.
    """
    if curves.current_cm is None or curves.suggested_cm is None:
        says = "What the body has to do, by the body model, for putters of other lengths"
        return f"{says}: a longer one stands the student up."
    changes, other = [], []
    for name in CURVES:
        now, then = (_read_off(curves, getattr(curves, name), at) for at in (curves.current_cm, curves.suggested_cm))
        if np.isfinite([now, then]).all():
            changes.append(f"{MEASURES[name].title.lower()} {_write(name, now)} and {_write(name, then)}")
            if (found := filmed.get(MEASURES[name].name)) and not found.low <= now <= found.high:
                other.append(f"{MEASURES[name].title.lower()} {say_value(MEASURES[name], found)}")
    found_text = f"; with the putter in use and the suggested one: {', '.join(changes)}" if changes else ""
    says = f"What the body has to do, by the body model, for putters of other lengths{found_text}."
    if not other:
        return says
    return (
        f"{says} The curves show this body holding each putter as well as it can; the student, as filmed, holds the "
        f"one in use otherwise ({', '.join(other)})."
    )


def _draw(
    panel: Axes, arc: Arc, values: np.ndarray, scatter: np.ndarray, *, name: str, colour: str, dashed: bool
) -> None:
    margin = NORMAL_95 * scatter
    panel.fill_between(arc.distance_cm, values - margin, values + margin, color=colour, alpha=0.16, linewidth=0)
    (line,) = panel.plot(arc.distance_cm, values, color=colour, linewidth=2.6, label=name, zorder=3)
    if dashed:
        line.set_dashes(_ARC_DASHES)


def _dress_above(panel: Axes, arcs: list[Arc]) -> None:
    reach = arcs[0].half_stroke_cm
    most = max(_LEAST_DEPTH_CM, *(float((arc.inside_cm + NORMAL_95 * arc.inside_sd_cm).max()) for arc in arcs))
    least = min(-0.3 * most, *(float((arc.inside_cm - NORMAL_95 * arc.inside_sd_cm).min()) for arc in arcs))
    panel.set_ylim(1.08 * most, 1.15 * least)
    panel.set_xlim(-1.04 * reach, 1.04 * reach)
    panel.axhline(0, color=INK, linewidth=1.2, linestyle=(0, (1, 2)), zorder=2)
    panel.plot([0], [0], marker="o", markersize=11, markerfacecolor="white", markeredgecolor=INK, zorder=4)
    panel.grid(color=RULE, linewidth=0.6)
    unit = tick_in_shown_unit(panel.yaxis, unit="cm", most=5)
    panel.set_ylabel(f"inside the line, {unit}")
    title(panel, "Putter head from above, widened across the line")


def _dress_below(panel: Axes, comparison: ArcComparison, arcs: list[Arc]) -> None:
    reach = arcs[0].half_stroke_cm
    putts = [(one or two) for one, two in comparison.windows]
    angles = [window.capture_deg for window in putts if window]
    spread = max(float((np.abs(arc.face_deg) + NORMAL_95 * arc.face_sd_deg).max()) for arc in arcs)
    most = 1.06 * max(_LEAST_FACE_DEG, spread, 1.12 * max(angles, default=0.0))
    panel.set_ylim(-most, most)
    for window in putts:
        if window is None:
            continue
        for side in (-1, 1):
            panel.axhline(side * window.capture_deg, color=SOFT, linewidth=0.9, zorder=1)
        panel.text(
            0.985 * reach, window.capture_deg, f"edge of the hole from {_say_putt(window.putt_cm)}",
            ha="right", va="bottom", color=SOFT, zorder=4,
        )  # fmt: skip
    panel.axhline(0, color=INK, linewidth=1.2, linestyle=(0, (1, 2)), zorder=2)
    panel.axvline(0, color=RULE, linewidth=0.6, zorder=0)
    unit = tick_in_shown_unit(panel.xaxis, unit="cm")
    panel.set_xlabel(f"along the target line, {unit} (target to the right)")
    panel.set_ylabel("+ open, − closed, deg")
    title(panel, "Where a face square to the arc looks")


def _dress(panel: Axes, name: Curve, values: Floats) -> None:
    seen = values[np.isfinite(values)]
    low, high = float(seen.min()), float(seen.max())
    room = max(_LEAST_SPAN - (high - low), 0.0) / 2 + 0.12 * max(high - low, _LEAST_SPAN)
    panel.set_ylim(low - room, high + 1.8 * room)
    unit = tick_in_shown_unit(panel.yaxis, unit=MEASURES[name].unit, most=4, integer=True)
    panel.grid(color=RULE, linewidth=0.6)
    title(panel, f"{MEASURES[name].title}, {unit}")


def _mark(panel: Axes, lengths: Floats, values: Floats, curves: PutterCurves) -> None:
    for at_cm, name, colour, dashed in (
        (curves.current_cm, "in use", BEFORE, True),
        (curves.suggested_cm, "suggested", AFTER, False),
    ):
        if at_cm is None or not lengths[0] <= inches(at_cm) <= lengths[-1]:
            continue
        at = inches(at_cm)
        label = f"{name}, {format_length(at_cm)}"
        line = panel.axvline(at, color=colour, linewidth=1.8, label=label, zorder=2)
        if dashed:
            line.set_dashes(_CURVES_DASHES)
        value = _read_off(curves, values, at_cm)
        if np.isfinite(value):
            panel.plot([at], [value], marker="o", markersize=8, color=colour, markeredgecolor="white", zorder=4)


def _read_off(curves: PutterCurves, values: Floats, at_cm: float) -> float:
    """Return the value of a curve at a length; NaN beside an impossible stretch, or outside the curve."""
    return float(np.interp(at_cm, curves.putter_length_cm, values, left=np.nan, right=np.nan))


def _write(name: Curve, value: float) -> str:
    return say_number(MEASURES[name], value, short=True)


def _say_putt(putt_cm: float) -> str:
    return format_given(putt_cm / (12 * CM_PER_INCH), "ft") if shows_inches() else format_given(putt_cm / 100, "m")
