"""How far head, sternum, hips and knees move from start to impact, and which way: amounts, and no grade of a style."""

from collections.abc import Mapping
from typing import Final

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from putt_posture.drawing.charts import AFTER, INK, RULE, SOFT, WIDTH, as_svg, styled, tick_in_shown_unit, title
from putt_posture.values import Estimate, MeasureName, WithHands

__all__ = ["STILL_POINTS", "draw_stillness"]

STILL_POINTS: Final = ("head", "sternum", "hips", "knees")
"""From top to bottom."""
_WAYS: Final = (
    ("along", "Along the line", "← away from the target", "toward the target →"),
    ("across", "Across the line", "← toward the golfer", "toward the ball →"),
    ("up", "Up and down", "← down", "up →"),
)
"""Ending of the measure's name, heading, and what is to the left and to the right."""
_ROW: Final = 22.0
_HEAD: Final = 24.0
_FOOT: Final = 40.0
_LEFT: Final = 66.0
_RIGHT: Final = 108.0
_LEAST_CM: Final = 2.0
"""Least reach of the axes to either side, cm, so that a small movement looks small."""
_WITH: Final[Mapping[WithHands, str]] = {"with": "with the hands", "against": "against the hands", "neither": ""}


def draw_stillness(
    numbers: Mapping[MeasureName, Estimate], *, with_hands: Mapping[str, WithHands] | None = None
) -> str | None:
    """Draw the largest movement of each point in each direction with its 95 % interval.

    A movement whose interval holds zero is grey.

    Parameters
    ----------
    numbers : mapping of MeasureName to Estimate
        ``head_along``, ``head_across``, ``head_up`` and so on, signed, cm; what is missing or absent is left out.
    with_hands : mapping of str to WithHands, optional
        As in `Strokes`.

    Returns
    -------
    str or None
        SVG; None where nothing was measured.
    """
    found = {
        way: {point: each for point in STILL_POINTS if (each := numbers.get(MeasureName(f"{point}_{way}"))) is not None}
        for way, *_ in _WAYS
    }
    shown = [each for each in _WAYS if any(found[each[0]].values())]
    if not shown:
        return None
    reach = max(
        _LEAST_CM, *(abs(each.value) + each.margin for way, *_ in shown for each in found[way].values() if each)
    )  # fmt: skip
    one = _HEAD + _ROW * len(STILL_POINTS) + _FOOT
    tall = one * len(shown)
    with styled():
        figure = Figure(figsize=(WIDTH / 72, tall / 72), dpi=72)
        for number, (way, heading, left, right) in enumerate(shown):
            bottom = tall - one * number - _HEAD - _ROW * len(STILL_POINTS)
            panel = figure.add_axes(
                (_LEFT / WIDTH, bottom / tall, 1 - (_LEFT + _RIGHT) / WIDTH, _ROW * len(STILL_POINTS) / tall)
            )
            panel.set_xlim(-1.08 * reach, 1.08 * reach)
            _fill(panel, found[way], with_hands or {} if way == "along" else {})
            title(panel, heading)
            unit = tick_in_shown_unit(panel.xaxis, unit="cm", most=6)
            panel.set_xlabel(f"{left}   {unit}   {right}", x=(WIDTH / 2 - _LEFT) / (WIDTH - _LEFT - _RIGHT))
        return as_svg(figure)


def _fill(panel: Axes, found: Mapping[str, Estimate], with_hands: Mapping[str, WithHands]) -> None:
    panel.set_ylim(len(STILL_POINTS) - 0.5, -0.5)
    panel.set_yticks(range(len(STILL_POINTS)), STILL_POINTS)
    panel.tick_params(axis="y", length=0)
    panel.spines["left"].set_visible(False)
    panel.grid(axis="x", color=RULE, linewidth=0.6)
    panel.set_axisbelow(True)
    panel.axvline(0, color=INK, linewidth=1.0, linestyle=(0, (1, 2)), zorder=1)
    for row, point in enumerate(STILL_POINTS):
        each = found.get(point)
        if each is None or not each:
            _say_beside(panel, row, "not measured")
            continue
        inside = bool(each.low <= 0 <= each.high)
        colour = SOFT if inside else AFTER
        panel.hlines(row, each.low, each.high, color=colour, linewidth=2.0, zorder=2)
        if not inside:
            panel.plot([0, each.value], np.full(2, row), color=colour, linewidth=6, alpha=0.3, zorder=1)
        panel.plot([each.value], [row], marker="o", markersize=7, color=colour, markeredgecolor="white", zorder=3)
        _say_beside(panel, row, "within the noise" if inside else _WITH[with_hands.get(point, "neither")])


def _say_beside(panel: Axes, row: int, text: str) -> None:
    panel.text(1.03, row, text, transform=panel.get_yaxis_transform(), ha="left", va="center", fontsize=10, color=SOFT)
