"""Putts holed against distance: a student's shares with their intervals, the fitted curve, and professionals beside."""

from collections.abc import Sequence
from typing import Final

import numpy as np
from attrs import frozen
from matplotlib.axes import Axes

from putt_posture.practice import fit_yardstick, load_yardsticks
from putt_posture.report.chart import AFTER, BEFORE, INK, PAPER, RULE, SOFT, as_svg, new_chart, styled
from putt_posture.stroke import PUTT_RANGE_CM, find_make_probability
from putt_posture.units import CM_PER_INCH
from putt_posture.values import PracticeResult, Yardstick

__all__ = ["CM_PER_FOOT", "NamedResult", "draw_practice_chart"]

CM_PER_FOOT: Final = 12 * CM_PER_INCH
_HEIGHT: Final = 500
_LEAST_FEET: Final = 12.0
_STEPS: Final = 200
_LOOKS: Final = (("o", AFTER), ("s", BEFORE))


@frozen(kw_only=True)
class NamedResult:
    """A result and what it is called in the picture, at most about 20 letters."""

    name: str
    result: PracticeResult


def draw_practice_chart(results: Sequence[NamedResult], *, yardsticks: Sequence[Yardstick] | None = None) -> str:
    """Draw shares holed against distance.

    Parameters
    ----------
    results : sequence of NamedResult
        One or two; of two, the earlier first.
    yardsticks : sequence of Yardstick, optional
        Those of the package where none are given.

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
        figure, (panel,) = new_chart(rows=1, height=_HEIGHT)
        looks = _LOOKS if len(results) == 1 else _LOOKS[::-1]
        for (shape, colour), each in zip(looks, results, strict=False):
            _draw_result(panel, each, lengths, shape=shape, colour=colour)
        _draw_yardsticks(panel, yardsticks, lengths)
        _dress(panel, farthest_cm)
        figure.legend(*panel.get_legend_handles_labels(), loc="outside upper left", handletextpad=0.6)
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
        if number == 0:
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
