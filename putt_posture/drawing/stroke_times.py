"""Time bars of strokes: when start, top, impact and finish were, how sure that is, and how long the parts took."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from attrs import evolve, frozen
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Patch
from matplotlib.ticker import FuncFormatter

from putt_posture.drawing.charts import AFTER, INK, PAPER, RULE, SOFT, WIDTH, as_svg, styled
from putt_posture.figures import format_margin, format_number, format_value
from putt_posture.values import STROKE_EVENTS, Estimate, MeasureName, Stroke, StrokeEvent, StrokeKind

__all__ = ["KIND_WORDS", "MOST_BARS", "TimeBar", "draw_time_bars", "find_time_stretch", "time_bar_of"]

KIND_WORDS: Final[Mapping[StrokeKind, str]] = {
    "putt": "putt", "practice": "practice stroke", "unsure": "putt or practice: not certain",
}  # fmt: skip
MOST_BARS: Final = 12
"""Bars in one picture; of more strokes the first ones are drawn."""
_PARTS: Final[tuple[tuple[StrokeEvent, StrokeEvent, str, str], ...]] = (
    ("start", "top", "backswing_time", "back"),
    ("top", "impact", "through_time", "through"),
    ("impact", "finish", "follow_time", "to the finish"),
)
"""Begin and end of each part, the measure that says how long it took, and its name."""
_FILLS: Final = {"back": (AFTER, 0.35), "through": (AFTER, 0.85), "to the finish": (SOFT, 0.35)}
_ROW: Final = 56.0
_FOOT: Final = 44.0
_HEAD: Final = 26.0
_LEFT: Final = 12.0
"""Points: one bar with its heading, the axis below, the key above, and beside them."""
_HIGH: Final = 0.34
"""Height of a bar, as a share of its row."""
_BESIDE: Final = 0.06
"""Room beside the bars, real s."""
_PLAIN: Final[dict[str, Any]] = {"boxstyle": "round,pad=0.15", "facecolor": PAPER, "edgecolor": "none"}
_LEAST_TEXT: Final = 0.115
"""Share of the width that a figure within a bar needs."""


@frozen(kw_only=True)
class TimeBar:
    """The times of one stroke.

    Attributes
    ----------
    title : str
        What it is called.
    kind : StrokeKind
        A practice stroke is hatched.
    events : mapping of StrokeEvent to Estimate
        Real s from any beginning; absent ones are left out.
    parts : mapping of str to Estimate
        ``backswing_time``, ``through_time``, ``follow_time`` (real s) and ``tempo_ratio``, as far as they are known.
    """

    title: str
    kind: StrokeKind
    events: Mapping[StrokeEvent, Estimate]
    parts: Mapping[str, Estimate]

    @property
    def zero_s(self) -> float:
        """The time to which bars are set in step: impact, else the top, else the first event that is known."""
        for name in ("impact", "top", *STROKE_EVENTS):
            if event := self.events[name]:
                return event.value
        return 0.0


def time_bar_of(stroke: Stroke, *, title: str, time_stretch: float = 1.0) -> TimeBar:
    """Return the times of a stroke as they are drawn.

    Parameters
    ----------
    stroke : Stroke
    title : str
    time_stretch : float
        Clip seconds in a real second, as `Clip.time_stretch`.
    """
    events = {
        name: evolve(
            each,
            value=each.value / time_stretch,
            standard_uncertainty=each.standard_uncertainty / time_stretch,
        )
        if each
        else each
        for name, each in stroke.events.items()
    }
    names = [*(name for _, _, name, _ in _PARTS), "tempo_ratio"]
    parts = {name: stroke.numbers[MeasureName(name)] for name in names if MeasureName(name) in stroke.numbers}
    return TimeBar(title=title, kind=stroke.kind, events=events, parts=parts)


def find_time_stretch(stroke: Stroke) -> float:
    """Return how many clip seconds a real second of a stroke has, by its own durations; 1 where they do not tell.

    Parameters
    ----------
    stroke : Stroke
    """
    for begin, end, name, _ in _PARTS:
        part, first, last = stroke.numbers.get(MeasureName(name)), stroke.events[begin], stroke.events[end]
        if part and first and last and part.value > 0:
            return (last.value - first.value) / part.value
    return 1.0


def draw_time_bars(bars: Sequence[TimeBar]) -> str | None:
    """Draw bars under each other, in step at impact; the thin lines are 95 % intervals of the events.

    Parameters
    ----------
    bars : sequence of TimeBar

    Returns
    -------
    str or None
        SVG; None where no stroke has two events.
    """
    drawn = [bar for bar in bars if sum(map(bool, bar.events.values())) > 1][:MOST_BARS]
    if not drawn:
        return None
    with styled():
        tall = _HEAD + _ROW * len(drawn) + _FOOT
        figure = Figure(figsize=(WIDTH / 72, tall / 72), dpi=72)
        panel = figure.add_axes((_LEFT / WIDTH, _FOOT / tall, 1 - 2 * _LEFT / WIDTH, _ROW * len(drawn) / tall))
        seen = [
            (event.value - bar.zero_s, event.margin) for bar in drawn for event in bar.events.values() if event
        ]  # fmt: skip
        low = min(at - margin for at, margin in seen) - _BESIDE
        high = max(at + margin for at, margin in seen) + _BESIDE
        panel.set_xlim(low, high)
        panel.set_ylim(len(drawn), 0)
        panel.axvline(0, color=INK, linewidth=1.0, linestyle=(0, (1, 2)), zorder=1)
        for row, bar in enumerate(drawn):
            _draw_bar(panel, bar, row, wide=high - low)
        _dress(panel, drawn)
        handles = [Patch(facecolor=colour, alpha=alpha, label=name) for name, (colour, alpha) in _FILLS.items()]
        if any(bar.kind == "practice" for bar in drawn):
            handles.append(Patch(facecolor="none", edgecolor=INK, hatch="////", label="practice"))
        figure.legend(handles=handles, loc="upper left", ncols=4, borderpad=0.1, columnspacing=1.0, handlelength=1.4)
        return as_svg(figure)


def _draw_bar(panel: Axes, bar: TimeBar, row: int, *, wide: float) -> None:
    middle = row + 0.62
    ratio = bar.parts.get("tempo_ratio")
    panel.text(
        0.0,
        row + 0.3,
        bar.title,
        transform=panel.get_yaxis_transform(),
        ha="left",
        va="center",
        fontweight="bold",
        bbox=_PLAIN,
    )
    if ratio:
        said = f"back to through {format_margin(ratio)}"
        panel.text(1.0, row + 0.3, said, transform=panel.get_yaxis_transform(), ha="right", va="center", bbox=_PLAIN)
    for begin, end, name, what in _PARTS:
        first, last = bar.events[begin], bar.events[end]
        if not first or not last:
            continue
        colour, alpha = _FILLS[what]
        left, length = first.value - bar.zero_s, last.value - first.value
        panel.barh(middle, length, left=left, height=_HIGH, color=colour, alpha=alpha, linewidth=0, zorder=2)
        if bar.kind == "practice":
            panel.barh(
                middle, length, left=left, height=_HIGH, facecolor="none", edgecolor=INK, hatch="////", linewidth=0.6,
                zorder=2,
            )  # fmt: skip
        if (part := bar.parts.get(name)) and length > _LEAST_TEXT * wide:
            panel.text(
                left + length / 2, middle, format_value(part.value, "s", margin=part.margin), ha="center",
                va="center", fontsize=10, bbox=_PLAIN, zorder=5,
            )  # fmt: skip
    for event in bar.events.values():
        if event:
            at, reach = event.value - bar.zero_s, 0.62 * _HIGH
            panel.vlines(at, middle - reach, middle + reach, color=INK, linewidth=1.4, zorder=3)
            panel.hlines(middle + reach, at - event.margin, at + event.margin, color=INK, linewidth=1.6, zorder=4)
            ends = [at - event.margin, at + event.margin]
            panel.vlines(ends, middle + reach - 0.06, middle + reach + 0.06, color=INK, linewidth=1.2, zorder=4)


def _dress(panel: Axes, drawn: Sequence[TimeBar]) -> None:
    panel.set_yticks([])
    panel.spines["left"].set_visible(False)
    panel.grid(axis="x", color=RULE, linewidth=0.6)
    panel.set_axisbelow(True)
    panel.xaxis.set_major_formatter(FuncFormatter(lambda value, _place: format_number(value, decimals=1)))
    at = "impact" if all(bar.events["impact"] for bar in drawn) else "impact, or the top where impact is not known"
    panel.set_xlabel(f"seconds from {at}")
