"""What putters of other lengths do to the setup, as a picture: why one too long stands the student up."""

from typing import Final, Literal

import numpy as np
from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from putt_posture.figures import format_length, format_value, inches
from putt_posture.report.chart import AFTER, BEFORE, INK, RULE, as_svg, new_chart, styled, title
from putt_posture.report.wording import WORDS
from putt_posture.values import MEASURES, Floats, PutterCurves

__all__ = ["CURVES", "describe_curves", "draw_curves_chart"]

Curve = Literal["spine_tilt", "hand_offset", "back_rounding", "knee_flex"]

CURVES: Final[tuple[Curve, ...]] = ("spine_tilt", "hand_offset", "back_rounding", "knee_flex")
"""From top to bottom."""

_HEIGHT: Final = 620
_LEAST_SPAN: Final = 6.0
"""Degrees or centimetres that a panel shows at least, so that a flat curve looks flat."""
_DASHES: Final = (4.0, 1.6)


def draw_curves_chart(curves: PutterCurves) -> str | None:
    """Draw tilt, hand offset, rounding and knee flex over the length of the putter.

    Returns
    -------
    str or None
        SVG; None where the body can stand to none of the lengths.
    """
    if not np.isfinite(curves.spine_tilt).any():
        return None
    lengths = np.asarray(inches(1.0) * curves.putter_length_cm)
    with styled():
        figure, panels = new_chart(rows=len(CURVES), height=_HEIGHT)
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
        return as_svg(figure)


def describe_curves(curves: PutterCurves) -> str:
    """Say what the picture shows, for the caption and for people who do not see it."""
    if curves.current_cm is None or curves.suggested_cm is None:
        says = "What the body has to do, by the body model, for putters of other lengths"
        return f"{says}: a longer one stands the student up."
    changes = []
    for name in CURVES:
        now, then = (_read_off(curves, getattr(curves, name), at) for at in (curves.current_cm, curves.suggested_cm))
        if np.isfinite([now, then]).all():
            changes.append(f"{WORDS[name].title.lower()} {_write(name, now)} and {_write(name, then)}")
    found = f"; with the putter in use and the suggested one: {', '.join(changes)}" if changes else ""
    return f"What the body has to do, by the body model, for putters of other lengths{found}."


def _dress(panel: Axes, name: Curve, values: Floats) -> None:
    seen = values[np.isfinite(values)]
    low, high = float(seen.min()), float(seen.max())
    room = max(_LEAST_SPAN - (high - low), 0.0) / 2 + 0.12 * max(high - low, _LEAST_SPAN)
    panel.set_ylim(low - room, high + 1.8 * room)
    panel.yaxis.set_major_locator(MaxNLocator(4, integer=True))
    panel.grid(color=RULE, linewidth=0.6)
    title(panel, f"{WORDS[name].title}, {'cm' if name == 'hand_offset' else 'deg'}")


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
            line.set_dashes(_DASHES)
        value = _read_off(curves, values, at_cm)
        if np.isfinite(value):
            panel.plot([at], [value], marker="o", markersize=8, color=colour, markeredgecolor="white", zorder=4)


def _read_off(curves: PutterCurves, values: Floats, at_cm: float) -> float:
    """Read a curve off at a length; NaN beside a stretch that cannot be, or outside."""
    return float(np.interp(at_cm, curves.putter_length_cm, values, left=np.nan, right=np.nan))


def _write(name: Curve, value: float) -> str:
    return format_value(value, MEASURES[name][0], signed=bool(WORDS[name].plus))
