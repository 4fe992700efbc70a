"""How charts look, and their way to SVG: made once for HTML and PDF, with letters big enough for a phone."""

import io
from contextlib import AbstractContextManager
from typing import Any, Final

import matplotlib
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

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
    "as_svg",
    "new_chart",
    "styled",
    "title",
]

WIDTH: Final = 400
"""Points; every chart is so wide, and is shown as wide as the page."""
LETTERS: Final = 11.5
"""Points: 2.9 % of the width, 10 px on a phone 360 px wide."""

PAPER: Final = "#fbfaf6"
INK: Final = "#1c2226"
SOFT: Final = "#566067"
RULE: Final = "#d5d2c8"
BEFORE: Final = "#D55E00"
AFTER: Final = "#0072B2"
"""Vermillion and blue of Okabe & Ito, "Color Universal Design" (2002, revised 2008); they name a setup, never a
verdict, and are told apart by their dashes too."""
CHECK: Final = "#009E73"
"""Bluish green of the same set: a later look; it has a mark of its own, too."""

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


def styled() -> AbstractContextManager[None]:
    """Return the context in which a chart is made, drawn and turned into SVG."""
    return matplotlib.rc_context(_STYLE)


def new_chart(*, rows: int, height: float, columns: int = 1, share_x: bool = True) -> tuple[Figure, list[Axes]]:
    """Return an empty chart of `height` points and its panels, row by row."""
    figure = Figure(figsize=(WIDTH / 72, height / 72), dpi=72, layout="constrained")
    panels = figure.subplots(rows, columns, sharex=share_x, squeeze=False)
    return figure, list(panels.flat)


def title(panel: Axes, text: str) -> None:
    """Write the heading of a panel."""
    panel.set_title(text, loc="left", fontweight="bold", fontsize=LETTERS, color=INK)


def as_svg(figure: Figure) -> str:
    """Return a chart as the text of an SVG file, the same for the same chart."""
    stream = io.StringIO()
    FigureCanvasSVG(figure)
    layout = figure.get_layout_engine()
    if layout is not None:  # by hand, since saving would draw everything once more for it
        layout.execute(figure)
        figure.set_layout_engine("none")
    figure.savefig(stream, format="svg", metadata={"Date": None, "Creator": None}, facecolor=PAPER)
    return stream.getvalue()
