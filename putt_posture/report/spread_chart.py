"""The scatter of start lines over practice tests, with its 95 % intervals."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

from matplotlib.lines import Line2D

from putt_posture.practice import compare_spreads, fit_yardstick, load_yardsticks
from putt_posture.report.chart import AFTER, INK, PAPER, RULE, SOFT, as_svg, new_chart, styled, title
from putt_posture.report.time_axis import TimeAxis
from putt_posture.values import PracticeResult, Yardstick

__all__ = ["draw_spread_chart"]

_HEIGHT: Final = 290
_LEAST_TOP_DEG: Final = 2.5
_OVER: Final = 2.2
"""The panel ends at so many times the largest scatter; an interval beyond it gets an arrow."""


def draw_spread_chart(results: Sequence[PracticeResult], *, yardstick: Yardstick | None = None) -> str | None:
    """Draw the scatter of each test.

    Parameters
    ----------
    results : sequence of PracticeResult
        One a test, in the order of time.
    yardstick : Yardstick, optional
        Whose scatter is drawn as a line; Berry's professionals where none is given.

    Returns
    -------
    str or None
        SVG; None where fewer than two tests have a scatter.
    """
    told = [place for place, each in enumerate(results) if each.spread is not None]
    if len(told) < 2:
        return None
    spreads = {place: results[place].spread for place in told}
    axis = TimeAxis([each.first for each in results])
    usual = fit_yardstick(yardstick or load_yardsticks()[0]).sigma
    most = max(spread.sigma.value for spread in spreads.values() if spread)
    top = max(_LEAST_TOP_DEG, min(_OVER * most, 1.08 * max(spread.high_deg for spread in spreads.values() if spread)))
    with styled():
        figure, (panel,) = new_chart(rows=1, height=_HEIGHT)
        for place, at in enumerate(axis.places):
            spread = results[place].spread
            if spread is None:
                panel.plot([at], [0.03], marker="x", markersize=7, markeredgewidth=1.6, color=SOFT, linestyle="none",
                           transform=panel.get_xaxis_transform(), zorder=3)  # fmt: skip
                continue
            panel.plot([at, at], [spread.low_deg, min(spread.high_deg, top)], color=AFTER, linewidth=1.8, zorder=3)
            panel.plot(
                [at], [spread.sigma.value], marker="o", markersize=8, color=AFTER, markeredgecolor=PAPER, zorder=4
            )
            if spread.high_deg > top:
                panel.plot([at], [top], marker="^", markersize=9, color=AFTER, clip_on=False, zorder=4)
        for one, two in pairwise(told):
            real = compare_spreads(results[one], results[two]).real
            panel.plot(
                [axis.places[one], axis.places[two]],
                [spread.sigma.value for spread in (spreads[one], spreads[two]) if spread],
                color=INK if real else SOFT, linewidth=2.2 if real else 1.2, linestyle="-" if real else (0, (1, 2)),
                zorder=2,
            )  # fmt: skip
        handles = [
            Line2D([], [], color=INK, linewidth=2.2, label="real change"),
            Line2D([], [], color=SOFT, linewidth=1.2, linestyle=(0, (1, 2)), label="within the noise"),
        ]
        handles.append(
                panel.axhline(usual.value, color=INK, linewidth=1.2, linestyle=(0, (4, 2)), zorder=1,
                              label="professionals, 1995")
            )  # fmt: skip
        if len(told) < len(results):
            handles.append(
                Line2D([], [], marker="x", markersize=7, markeredgewidth=1.6, color=SOFT, linestyle="none",
                       label="not told")
            )  # fmt: skip
        panel.set_ylim(0, top)
        panel.grid(axis="y", color=RULE, linewidth=0.6)
        title(panel, "Scatter of start lines, one sigma, deg")
        axis.dress(panel)
        figure.legend(handles=handles, loc="outside upper left", ncols=2)
        return as_svg(figure)
