"""How charts look, their axis of time, and their way to SVG: letters big enough for a phone."""

import io
import re
from collections.abc import Sequence
from contextlib import AbstractContextManager
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import Any, Final

import matplotlib
from attrs import frozen
from matplotlib.axes import Axes
from matplotlib.axis import Axis
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure
from matplotlib.ticker import FixedLocator, FuncFormatter, MaxNLocator, NullLocator
from PIL import ImageFont

from putt_posture.shown_units import length_in_shown_unit
from putt_posture.units import CM_PER_INCH

__all__ = [
    "AFTER",
    "BEFORE",
    "CHECK",
    "INK",
    "LETTERS",
    "PAPER",
    "RULE",
    "SOFT",
    "WIDTH",
    "ChartPoint",
    "TimeAxis",
    "as_svg",
    "lay_out",
    "new_chart",
    "picture_letters",
    "place_of",
    "styled",
    "tick_in_shown_unit",
    "title",
]

WIDTH: Final = 400
"""Width of every chart, points; it is shown as wide as the page."""
LETTERS: Final = 11.5
"""Height of the letters, points: 2.9 % of the width, 10 px on a phone 360 px wide."""
PAPER: Final = "#fbfaf6"
INK: Final = "#1c2226"
SOFT: Final = "#566067"
RULE: Final = "#d5d2c8"
BEFORE: Final = "#D55E00"
AFTER: Final = "#0072B2"
"""Vermillion and blue of Okabe & Ito, "Color Universal Design" (2002, revised 2008); they name a setup, never a
verdict, and their dashes differ too."""
CHECK: Final = "#009E73"
"""Bluish green of the same set, for a later check; its mark differs too."""
_DARK: Final = {
    PAPER: "#171b1e",
    "#ffffff": "#171b1e",
    INK: "#eceae4",
    SOFT: "#a5adb2",
    RULE: "#3a4146",
    AFTER: "#4fa8e0",
}
"""What stands for a colour where the screen is dark: the page's own colours there, and a lighter blue."""
_DARK_STYLE: Final = "".join(
    [
        "@media (prefers-color-scheme: dark){",
        *(
            f'[style*="{what}: {light.lower()}"]{{{what}: {dark} !important}}'
            for light, dark in _DARK.items()
            for what in ("fill", "stroke")
        ),
        "}",
    ]
)
_COORDINATES: Final = re.compile(r' (?:d|x|y)="[^"]*"')
_DIGITS: Final = re.compile(r"(\.\d\d)\d+")
_STYLE: Final[dict[Any, Any]] = {
    "font.family": "DejaVu Sans",
    "font.size": LETTERS,
    "axes.titlesize": LETTERS,
    "axes.labelsize": LETTERS,
    "xtick.labelsize": LETTERS,
    "ytick.labelsize": LETTERS,
    "legend.fontsize": LETTERS,
    "axes.edgecolor": SOFT,
    "axes.labelcolor": INK,
    "text.color": INK,
    "xtick.color": SOFT,
    "ytick.color": SOFT,
    "axes.facecolor": PAPER,
    "figure.facecolor": PAPER,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.unicode_minus": True,
    "svg.fonttype": "path",
    "svg.hashsalt": "putt_posture",
    "legend.frameon": False,
    "text.parse_math": False,
}
_GAP: Final = 0.035
"""Least distance of two marks, as a share of the axis: about one mark."""
_MOST_SHIFT: Final = 0.6
"""The largest share of the axis that these distances may take, however many marks there are."""
_ROOM: Final = 0.06
_FEW_DAYS: Final = 10
_TWO_MONTHS: Final = 62
_FOUR_YEARS: Final = 1461
_MONTH_STEPS: Final = (1, 2, 3, 6, 12, 24, 36, 60, 120)
_MOST_TICKS: Final = 4


@frozen(kw_only=True)
class ChartPoint:
    """One point of a chart, to be read off by pointing at it.

    Attributes
    ----------
    x, y : float
        Where it is, as shares of the picture's width and height, from its top left.
    says : str
        What it shows.
    """

    x: float
    y: float
    says: str


class TimeAxis:
    """The axis of time for marks on certain days.

    Parameters
    ----------
    days : sequence of date
        In the order of time, at least one.

    Attributes
    ----------
    places : tuple of float
        Place of each mark on the axis. Marks of one day are side by side, in their order.
    gap : float
        The least distance of two marks.
    """

    def __init__(self, days: Sequence[date]) -> None:
        self._days = tuple(days)
        true = [float(day.toordinal()) for day in days]
        self._span = true[-1] - true[0]
        share = min(_GAP, _MOST_SHIFT / len(true))
        self.gap = (self._span or 1.0) * share if self._span else 1.0
        places = [true[0]]
        for each in true[1:]:
            places.append(max(each, places[-1] + self.gap))
        self.places = tuple(places)

    def dress(self, panel: Axes) -> None:
        """Set limits, ticks and their dates.

        Parameters
        ----------
        panel : Axes
        """
        wide = self.places[-1] - self.places[0]
        room = _ROOM * wide if self._span else max(_ROOM * wide, 1.5)
        panel.set_xlim(self.places[0] - room, self.places[-1] + room)
        panel.xaxis.set_minor_locator(NullLocator())
        if self._span == 0:
            middle = (self.places[0] + self.places[-1]) / 2
            panel.xaxis.set_major_locator(FixedLocator([middle]))
            day = self._days[0]
            panel.xaxis.set_major_formatter(FuncFormatter(lambda _value, _place: f"{day.day} {day:%B %Y}"))
            return
        panel.xaxis.set_major_locator(FixedLocator([float(day.toordinal()) for day in self._ticks()]))
        panel.xaxis.set_major_formatter(FuncFormatter(lambda value, _place: self._write(date.fromordinal(int(value)))))

    def _ticks(self) -> list[date]:
        """Choose round days: a few days, days some weeks apart, or the first days of months."""
        first, last = self._days[0], self._days[-1]
        if self._span <= _FEW_DAYS:
            return [first, last]
        if self._span <= _TWO_MONTHS:
            step = max(int(self._span) // 3, 1)
            return [first + timedelta(days=step * number) for number in range(4)]
        start, months = 12 * first.year + first.month, 12 * (last.year - first.year) + last.month - first.month
        step = next((each for each in _MONTH_STEPS if months / each <= _MOST_TICKS), _MONTH_STEPS[-1])
        found = range(-(-start // step) * step, start + months, step)
        return [date(number // 12, number % 12 + 1, 1) for number in found]

    def _write(self, day: date) -> str:
        if self._span <= _FEW_DAYS:
            return f"{day.day} {day:%b %Y}"
        if self._span <= _TWO_MONTHS:
            return f"{day.day} {day:%b}"
        return f"{day:%b %Y}" if self._span <= _FOUR_YEARS else f"{day:%Y}"


def styled() -> AbstractContextManager[None]:
    """Return the context in which a chart is made, drawn and turned into SVG."""
    return matplotlib.rc_context(_STYLE)


def new_chart(*, rows: int, height: float, columns: int = 1, share_x: bool = True) -> tuple[Figure, list[Axes]]:
    """Return an empty chart of `height` points and its panels, row by row.

    Parameters
    ----------
    rows : int
    height : float
        Points.
    columns : int
    share_x : bool
        Whether the panels share their axis of x.
    """
    figure = Figure(figsize=(WIDTH / 72, height / 72), dpi=72, layout="constrained")
    panels = figure.subplots(rows, columns, sharex=share_x, squeeze=False)
    return figure, list(panels.flat)


def title(panel: Axes, text: str) -> None:
    """Write the heading of a panel.

    Parameters
    ----------
    panel : Axes
    text : str
    """
    panel.set_title(text, loc="left", fontweight="bold", fontsize=LETTERS, color=INK)


def tick_in_shown_unit(axis: Axis, *, unit: str, most: int | None = None, integer: bool = False) -> str:
    """Put the ticks of an axis at round numbers of the unit in which it is shown, and return that unit.

    Parameters
    ----------
    axis : Axis
    unit : str
        Of what is drawn, as `Estimate.unit`; lengths stay drawn in centimetres.
    most : int, optional
        How many spaces between ticks there may be; matplotlib's own choice without it.
    integer : bool
        Whether ticks are at whole numbers, where there is room.
    """
    _, shown = length_in_shown_unit(0.0, unit)
    if shown != "in":
        if most is not None:
            axis.set_major_locator(MaxNLocator(most, integer=integer))
        return unit
    axis.set_major_locator(_InchLocator(most or "auto", integer=integer, steps=[1, 2, 2.5, 5, 10]))
    axis.set_major_formatter(FuncFormatter(_write_inches))
    return shown


class _InchLocator(MaxNLocator):
    """Finds round numbers of inches on an axis of centimetres."""

    def tick_values(self, vmin: float, vmax: float) -> Sequence[float]:
        return [CM_PER_INCH * each for each in super().tick_values(vmin / CM_PER_INCH, vmax / CM_PER_INCH)]


def _write_inches(length_cm: float, _place: int | None = None) -> str:
    return f"{round(length_cm / CM_PER_INCH, 6) + 0.0:g}".replace("-", "\N{MINUS SIGN}")


def as_svg(figure: Figure) -> str:
    """Return a chart as the text of an SVG file; the same chart gives the same text.

    It has a style of its own for people whose screen is dark. Coordinates are in hundredths of a point.

    Parameters
    ----------
    figure : Figure
    """
    stream = io.StringIO()
    canvas: Any = FigureCanvasSVG(figure)  # matplotlib gives its backends no types
    lay_out(figure)
    canvas.print_svg(stream, metadata={"Date": None, "Creator": None})
    text = _COORDINATES.sub(lambda found: _DIGITS.sub(r"\1", found[0]), stream.getvalue())
    return text.replace("</style>", f"{_DARK_STYLE}</style>", 1)


def lay_out(figure: Figure) -> None:
    """Give everything in a chart its place, once; `savefig` would draw everything a second time for it.

    Parameters
    ----------
    figure : Figure
    """
    layout = figure.get_layout_engine()
    if layout is not None:
        layout.execute(figure)
        figure.set_layout_engine("none")


def place_of(panel: Axes, x: float, y: float) -> tuple[float, float]:
    """Return where a point of a panel is in the picture, as shares of its width and height, from its top left.

    Parameters
    ----------
    panel : Axes
        Of a chart that was laid out.
    x, y : float
        On the axes of the panel.
    """
    figure = panel.get_figure(root=True)
    if figure is None:
        raise ValueError("the panel is in no figure")
    right, up = figure.transFigure.inverted().transform(panel.transData.transform((x, y)))
    return float(right), 1.0 - float(up)


@cache
def picture_letters(size: int, *, bold: bool = False) -> ImageFont.FreeTypeFont:
    """Return the letters of pictures that Pillow draws, those of the charts.

    Parameters
    ----------
    size : int
        Pixels.
    bold : bool
    """
    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return ImageFont.truetype(Path(matplotlib.get_data_path()) / "fonts" / "ttf" / name, size)
