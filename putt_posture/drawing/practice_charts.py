"""Putts holed against distance, and the scatter of start lines over practice tests, as pictures."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Final

import numpy as np
from attrs import frozen
from matplotlib.axes import Axes
from matplotlib.lines import Line2D

from putt_posture.drawing.charts import (
    AFTER,
    BEFORE,
    INK,
    PAPER,
    RULE,
    SOFT,
    TimeAxis,
    as_svg,
    new_chart,
    styled,
    title,
)
from putt_posture.practice import PracticeResult, Yardstick, compare_spreads, fit_yardstick, load_yardsticks
from putt_posture.setup_arc import PUTT_RANGE_CM, find_make_probability
from putt_posture.units import CM_PER_INCH

__all__ = ["CM_PER_FOOT", "NamedResult", "draw_practice_chart", "draw_spread_chart"]

CM_PER_FOOT: Final = 12 * CM_PER_INCH
_HOLED_HEIGHT: Final = 500
_LEAST_FEET: Final = 12.0
_STEPS: Final = 200
_LOOKS: Final = (("o", AFTER), ("s", BEFORE))


@frozen(kw_only=True)
class NamedResult:
    """A result and its name in the picture, at most about 20 letters."""

    name: str
    result: PracticeResult


_SCATTER_HEIGHT: Final = 290
_LEAST_TOP_DEG: Final = 2.5
_OVER: Final = 2.2
"""The panel ends at this many times the largest scatter; a longer interval gets an arrow."""


def draw_practice_chart(results: Sequence[NamedResult], *, yardsticks: Sequence[Yardstick] | None = None) -> str:
    """Draw shares holed against distance.

    Parameters
    ----------
    results : sequence of NamedResult
        One or two; of two, the earlier first.
    yardsticks : sequence of Yardstick, optional
        Without them those of the package.

    Returns
    -------
    str
        SVG. Bars are 95 % intervals; bands are the curves at the ends of the 95 % interval of the scatter.
    """
    yardsticks = load_yardsticks() if yardsticks is None else yardsticks
    farthest_cm = max(
        1.08 * max(share.distance_cm for each in results for share in each.result.shares), _LEAST_FEET * CM_PER_FOOT
    )
    lengths = np.linspace(PUTT_RANGE_CM[0], farthest_cm, _STEPS)
    with styled():
        figure, (panel,) = new_chart(rows=1, height=_HOLED_HEIGHT)
        looks = _LOOKS if len(results) == 1 else _LOOKS[::-1]
        for (shape, colour), each in zip(looks, results, strict=False):
            _draw_result(panel, each, lengths, shape=shape, colour=colour)
        _draw_yardsticks(panel, yardsticks, lengths)
        _dress(panel, farthest_cm)
        figure.legend(*panel.get_legend_handles_labels(), loc="outside upper left", handletextpad=0.6)
        return as_svg(figure)


def draw_spread_chart(results: Sequence[PracticeResult], *, yardstick: Yardstick | None = None) -> str | None:
    """Draw the scatter of each test.

    Parameters
    ----------
    results : sequence of PracticeResult
        One a test, in the order of time.
    yardstick : Yardstick, optional
        Its scatter is drawn as a line; without it that of Berry's professionals.

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
    beside = yardstick or load_yardsticks()[0]
    usual = fit_yardstick(beside).sigma
    most = max(spread.sigma.value for spread in spreads.values() if spread)
    top = max(_LEAST_TOP_DEG, min(_OVER * most, 1.08 * max(spread.high_deg for spread in spreads.values() if spread)))
    with styled():
        figure, (panel,) = new_chart(rows=1, height=_SCATTER_HEIGHT)
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
                              label=beside.title)
            )  # fmt: skip
        if len(told) < len(results):
            handles.append(
                Line2D([], [], marker="x", markersize=7, markeredgewidth=1.6, color=SOFT, linestyle="none",
                       label="not certain")
            )  # fmt: skip
        panel.set_ylim(0, top)
        panel.grid(axis="y", color=RULE, linewidth=0.6)
        title(panel, "Scatter of start lines, one sigma, deg")
        axis.dress(panel)
        figure.legend(handles=handles, loc="outside upper left", ncols=2)
        return as_svg(figure)


def _draw_result(panel: Axes, named: NamedResult, lengths: np.ndarray, *, shape: str, colour: str) -> None:
    result = named.result
    feet = lengths / CM_PER_FOOT
    if result.spread is not None:
        low, high = (
            100 * find_make_probability(lengths, sigma_deg=end)
            for end in (result.spread.high_deg, result.spread.low_deg)
        )
        panel.fill_between(feet, low, high, color=colour, alpha=0.16, linewidth=0)
        curve = 100 * find_make_probability(lengths, sigma_deg=result.spread.sigma.value)
        panel.plot(feet, curve, color=colour, linewidth=2.4, zorder=3, label=f"{named.name}: curve that fits best")
    for share in result.shares:
        at = share.distance_cm / CM_PER_FOOT
        panel.plot([at, at], [100 * share.low, 100 * share.high], color=colour, linewidth=1.8, zorder=4)
    panel.plot(
        [share.distance_cm / CM_PER_FOOT for share in result.shares], [100 * share.share for share in result.shares],
        marker=shape, markersize=8.5, color=colour, markeredgecolor=PAPER, linestyle="none", zorder=5,
        label=f"{named.name}: holed, 95 % interval",
    )  # fmt: skip


def _draw_yardsticks(panel: Axes, yardsticks: Sequence[Yardstick], lengths: np.ndarray) -> None:
    for number, (yardstick, shape) in enumerate(zip(yardsticks, ("D", "P"), strict=False)):
        counts = [count for count in yardstick.counts if count.distance_cm <= lengths[-1]]
        panel.plot(
            [count.distance_cm / CM_PER_FOOT for count in counts],
            [100 * count.holed / count.tried for count in counts],
            marker=shape, markersize=5, color=SOFT if number else INK, markerfacecolor=PAPER if number else INK,
            linestyle="none", zorder=2, label=yardstick.title,
        )  # fmt: skip
        if yardstick.modelled:
            curve = 100 * find_make_probability(lengths, sigma_deg=fit_yardstick(yardstick).sigma.value)
            panel.plot(
                lengths / CM_PER_FOOT, curve, color=INK, linewidth=1.2, linestyle=(0, (4, 2)), zorder=1,
                label=f"the same model on {yardstick.title}",
            )  # fmt: skip


def _dress(panel: Axes, farthest_cm: float) -> None:
    panel.set_xlim(0, farthest_cm / CM_PER_FOOT)
    panel.set_ylim(-2, 102)
    panel.set_xlabel("length of the putt, ft")
    panel.set_ylabel("holed, %")
    panel.grid(color=RULE, linewidth=0.6)
    metres = panel.secondary_xaxis(
        "top",
        functions=(
            lambda feet: np.asarray(feet, dtype=float) * CM_PER_FOOT / 100,
            lambda long: np.asarray(long, dtype=float) * 100 / CM_PER_FOOT,
        ),
    )
    metres.set_xlabel("m")
