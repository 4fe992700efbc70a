"""The arc of a setup as a picture: where the putter head goes, and where a face square to it looks."""

from typing import Final

import numpy as np
from attrs import frozen
from matplotlib.axes import Axes
from matplotlib.ticker import MaxNLocator

from putt_posture.figures import format_given
from putt_posture.report.chart import AFTER, BEFORE, INK, RULE, SOFT, as_svg, new_chart, styled, title
from putt_posture.values import NORMAL_95, Arc, StrokeComparison

__all__ = ["ArcNames", "draw_arc_chart"]

_HEIGHT: Final = 430
_LEAST_DEPTH_CM: Final = 1.0
"""Of the upper panel: so that a straight line looks straight."""
_LEAST_FACE_DEG: Final = 3.0
_DASHES: Final = (4.0, 1.6)


@frozen(kw_only=True)
class ArcNames:
    """What the two setups are called in the picture, at most about 15 letters."""

    before: str = "before"
    after: str = "after"


def draw_arc_chart(comparison: StrokeComparison, *, names: ArcNames | None = None) -> str | None:
    """Draw both arcs over each other.

    Parameters
    ----------
    comparison : StrokeComparison
    names : ArcNames, optional

    Returns
    -------
    str or None
        SVG; None where there is no arc at all. Bands are 95 % intervals.
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
        figure, (above, below) = new_chart(rows=2, height=_HEIGHT)
        for arc, name, colour, dashed in arcs:
            _draw(above, arc, arc.inside_cm, arc.inside_sd_cm, name=name, colour=colour, dashed=dashed)
            _draw(below, arc, arc.face_deg, arc.face_sd_deg, name=name, colour=colour, dashed=dashed)
        _dress_above(above, [arc for arc, *_ in arcs])
        _dress_below(below, comparison, [arc for arc, *_ in arcs])
        handles, labels = above.get_legend_handles_labels()
        figure.legend(handles, labels, loc="outside upper left", ncols=2)
        return as_svg(figure)


def _draw(
    panel: Axes, arc: Arc, values: np.ndarray, scatter: np.ndarray, *, name: str, colour: str, dashed: bool
) -> None:
    margin = NORMAL_95 * scatter
    panel.fill_between(arc.distance_cm, values - margin, values + margin, color=colour, alpha=0.16, linewidth=0)
    (line,) = panel.plot(arc.distance_cm, values, color=colour, linewidth=2.6, label=name, zorder=3)
    if dashed:
        line.set_dashes(_DASHES)


def _dress_above(panel: Axes, arcs: list[Arc]) -> None:
    reach = arcs[0].half_stroke_cm
    most = max(_LEAST_DEPTH_CM, *(float((arc.inside_cm + NORMAL_95 * arc.inside_sd_cm).max()) for arc in arcs))
    least = min(-0.3 * most, *(float((arc.inside_cm - NORMAL_95 * arc.inside_sd_cm).min()) for arc in arcs))
    panel.set_ylim(1.08 * most, 1.15 * least)
    panel.set_xlim(-1.04 * reach, 1.04 * reach)
    panel.axhline(0, color=INK, linewidth=1.2, linestyle=(0, (1, 2)), zorder=2)
    panel.plot([0], [0], marker="o", markersize=11, markerfacecolor="white", markeredgecolor=INK, zorder=4)
    panel.yaxis.set_major_locator(MaxNLocator(5))
    panel.grid(color=RULE, linewidth=0.6)
    panel.set_ylabel("inside the line, cm")
    title(panel, "Putter head from above, widened across the line")


def _dress_below(panel: Axes, comparison: StrokeComparison, arcs: list[Arc]) -> None:
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
            0.985 * reach, window.capture_deg, f"edge of the hole from {format_given(window.putt_cm / 100, 'm')}",
            ha="right", va="bottom", color=SOFT, zorder=4,
        )  # fmt: skip
    panel.axhline(0, color=INK, linewidth=1.2, linestyle=(0, (1, 2)), zorder=2)
    panel.axvline(0, color=RULE, linewidth=0.6, zorder=0)
    panel.set_xlabel("along the target line, cm (target to the right)")
    panel.set_ylabel("+ open, − closed, deg")
    title(panel, "Where a face square to the arc looks")
