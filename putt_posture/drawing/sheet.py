"""A still while it is drawn: lines with a halo over the student, and tags that become labels.

All given points are pixels of the full-size upright picture. Lengths are in units of `Sheet.unit`, the height of a
label's letters, so that a still looks the same at every size. Nothing is drawn on screen: Matplotlib's Agg draws into
memory.
"""

import math
from collections.abc import Sequence
from itertools import pairwise
from textwrap import wrap
from typing import Final

import numpy as np
from attrs import evolve, frozen
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, FancyBboxPatch, Polygon, Rectangle
from matplotlib.patheffects import Stroke, withStroke
from numpy.typing import NDArray
from PIL import Image

from putt_posture.drawing.labels import Label, PlacedLabel, place_labels
from putt_posture.drawing.placing import Crop
from putt_posture.shown_units import say_in_shown_unit
from putt_posture.values import Picture, Point

__all__ = ["REFERENCE", "Sheet", "Tag"]

REFERENCE: Final = "#FFFFFF"
"""Colour of verticals, levels and other lines that belong to no part of the body."""
_HALO: Final = "#101418"
_BOX: Final = "#14191E"
_LETTERS_PER_WIDTH: Final = 28
"""A label's letters are a 28th of the still's width: 12.9 px where it is shown 360 px wide on a phone."""
_NAME_SIZE: Final = 0.935
"""Of the lines that are not bold, so that they are 12 px there."""
_LINE_PITCH: Final = 1.2
_LABEL_EDGE: Final = 0.55
"""From one line of a label to the next, and what its box is higher than its lines; letter heights."""
_MOST_TITLE: Final = 22
_MOST_FIGURE: Final = 15
"""Letters of one line of a label."""
_CELL: Final = 16
"""Pixels of one cell of the map of what should not be covered."""
_LIMIT_CELL: Final = 4
"""The same of the map of what must not be: feet and ball."""
_BODY_COST: Final = 0.8
_LINE_COST: Final = 20.0
_DPI: Final = 72
"""At this resolution one point of a line or letter is one pixel."""


@frozen(kw_only=True)
class Tag:
    """A label that is asked for.

    Attributes
    ----------
    name : str
        Unlike that of every other tag of the sheet; the name of the measure where there is one.
    title, figure : str
        What it is, and the number or what stands for it.
    anchor : Point
        Full-size pixels.
    wanted : (float, float)
        Preferred direction of the label; see `Label`.
    colour : str
    side : str
        Words behind the figure; empty for none.
    more : str
        The same figure in another unit, in brackets below; empty for none.
    said : str
        The label as a part of a sentence; by default what it shows.
    """

    name: str
    title: str
    figure: str
    anchor: Point
    wanted: tuple[float, float]
    colour: str
    side: str = ""
    more: str = ""
    said: str = ""

    @property
    def lines(self) -> tuple[tuple[str, bool], ...]:
        """The lines of the label from the top, each with whether it is bold."""
        title = [(line, False) for line in wrap(self.title, _MOST_TITLE, break_long_words=False)]
        whole = f"{self.figure} {self.side}".rstrip()
        fits = len(whole) <= _MOST_FIGURE or not self.side
        figure = [(whole, True)] if fits else [(self.figure, True), (self.side, False)]
        return (*title, *figure, *([(self.more, False)] if self.more else []))

    @property
    def says(self) -> str:
        """The label as a part of a sentence."""
        if self.said:
            return self.said
        return f"{self.title.lower()} {self.figure} {self.side}".rstrip() + (f" ({self.more})" if self.more else "")


class Sheet:
    """One still while it is drawn.

    Parameters
    ----------
    picture : (H, W, 3) uint8
        What `crop` cut out.
    crop : Crop
    roll_deg : float
        Camera roll; + = a true vertical leans to the right at its top.
    body : (rows, columns), optional
        Where the student is, 0 to 1, spread over the still.
    """

    def __init__(
        self, picture: Picture, *, crop: Crop, roll_deg: float = 0.0, body: NDArray[np.float64] | None = None
    ) -> None:
        self._picture = picture
        self._crop = crop
        self.width, self.height = crop.size
        self.unit = self.width / _LETTERS_PER_WIDTH
        roll = math.radians(roll_deg)
        self.up: Point = (math.sin(roll), -math.cos(roll))
        self.right: Point = (math.cos(roll), math.sin(roll))
        self.figure = Figure(figsize=(self.width / _DPI, self.height / _DPI), dpi=_DPI)
        self._canvas = FigureCanvasAgg(self.figure)
        self.figure.patch.set_alpha(0.0)
        self._axes = self.figure.add_axes((0.0, 0.0, 1.0, 1.0))
        self._axes.set_axis_off()
        self._axes.set_xlim(0, self.width)
        self._axes.set_ylim(self.height, 0)
        self._busy = np.zeros((-(-self.height // _CELL), -(-self.width // _CELL)))
        if body is not None:
            self._busy += _BODY_COST * body
        self._clear: list[tuple[float, float, float]] = []
        self._off_limits = np.zeros((-(-self.height // _LIMIT_CELL), -(-self.width // _LIMIT_CELL)), dtype=bool)
        self._placed: tuple[PlacedLabel, ...] | None = None
        self.tags: list[Tag] = []

    @staticmethod
    def grid_size(size: tuple[int, int]) -> tuple[int, int]:
        """Return columns and rows of the map `body` for a still of that size.

        Parameters
        ----------
        size : tuple[int, int]
            Width and height, pixels.
        """
        return -(-size[0] // _CELL), -(-size[1] // _CELL)

    def letters(self, count: float) -> float:
        """Return a length of `count` letter heights in full-size pixels.

        Parameters
        ----------
        count : float
            Letter heights.
        """
        return count * self.unit / self._crop.scale

    def line(self, *points: Point, colour: str = REFERENCE, width: float = 0.16, dashed: bool = False) -> None:
        """Draw a line through points.

        Parameters
        ----------
        *points : Point
            Pixels of the whole picture.
        colour : str
            As Matplotlib takes it.
        width : float
            Letter heights.
        dashed : bool
        """
        placed = [self._crop.place(point) for point in points]
        self._add_line(placed, colour=colour, width=width * self.unit, dashed=dashed)

    def wash(self, mask: NDArray[np.bool_], *, colour: str, alpha: float) -> None:
        """Lay a thin colour over a part of the still, under all lines.

        Parameters
        ----------
        mask : NDArray[np.bool_]
            (H, W) of the still.
        colour : str
            As Matplotlib takes it.
        alpha : float
            0 to 1.
        """
        washed = self._picture.copy()
        washed[mask] = np.rint((1 - alpha) * washed[mask] + 255 * alpha * np.array(to_rgb(colour)))
        self._picture = washed

    def bracket(self, one: Point, two: Point, *, colour: str, width: float = 0.15, tick: float = 0.45) -> None:
        """Draw a measuring bracket: a line with a cross-tick at each end.

        Parameters
        ----------
        one, two : Point
            Pixels of the whole picture.
        colour : str
            As Matplotlib takes it.
        width, tick : float
            Width of the lines and half the length of the cross-ticks, letter heights.
        """
        du, dv = two[0] - one[0], two[1] - one[1]
        length = math.hypot(du, dv)
        across = (-dv / length, du / length) if length > 1e-9 else self.up
        reach = self.letters(tick)
        self.line(one, two, colour=colour, width=width)
        for u, v in (one, two):
            ends = ((u + side * reach * across[0], v + side * reach * across[1]) for side in (-1, 1))
            self.line(*ends, colour=colour, width=width)
            self.keep_clear((u, v), radius=tick)

    def arc_points(self, centre: Point, start: Point, end: Point, *, radius: float) -> tuple[Point, ...]:
        """Return points along the smaller arc from direction `start` to direction `end`, full-size pixels.

        Parameters
        ----------
        centre : Point
            Pixels of the whole picture.
        start, end : Point
            Directions, (u, v); their lengths do not matter.
        radius : float
            Pixels of the whole picture.
        """
        first = math.atan2(start[1], start[0])
        turn = (math.atan2(end[1], end[0]) - first + math.pi) % (2 * math.pi) - math.pi
        angles = first + turn * np.linspace(0.0, 1.0, 33)
        return tuple((centre[0] + radius * math.cos(a), centre[1] + radius * math.sin(a)) for a in angles)

    def dot(self, point: Point, *, colour: str, radius: float = 0.2) -> None:
        """Draw a key point and keep labels off it.

        Parameters
        ----------
        point : Point
            Pixels of the whole picture.
        colour : str
            As Matplotlib takes it.
        radius : float
            Letter heights.
        """
        middle = self._crop.place(point)
        size = radius * self.unit
        self._axes.add_patch(
            Circle(middle, size, facecolor=colour, edgecolor=_HALO, linewidth=0.07 * self.unit, zorder=4)
        )
        self._clear.append((*middle, size + 0.3 * self.unit))

    def ring(self, point: Point, *, colour: str, radius: float = 0.5) -> None:
        """Draw a ring around something small and keep labels off it.

        Parameters
        ----------
        point : Point
            Pixels of the whole picture.
        colour : str
            As Matplotlib takes it.
        radius : float
            Letter heights.
        """
        middle = self._crop.place(point)
        size = radius * self.unit
        for edge, width in ((_HALO, 0.26), (colour, 0.13)):
            self._axes.add_patch(
                Circle(middle, size, fill=False, edgecolor=edge, linewidth=width * self.unit, zorder=4)
            )
        self._clear.append((*middle, size + 0.3 * self.unit))

    def pointer(self, tip: Point, *, colour: str, size: float = 0.75) -> None:
        """Draw a triangle that stands below its tip and points up at it.

        Parameters
        ----------
        tip : Point
            Pixels of the whole picture.
        colour : str
            As Matplotlib takes it.
        size : float
            Letter heights.
        """
        u, v = self._crop.place(tip)
        (up_u, up_v), (right_u, right_v) = self.up, self.right
        reach = size * self.unit
        corners = [(u, v)] + [
            (u - reach * up_u + side * 0.6 * reach * right_u, v - reach * up_v + side * 0.6 * reach * right_v)
            for side in (-1, 1)
        ]
        self._axes.add_patch(
            Polygon(corners, closed=True, facecolor=colour, edgecolor=_HALO, linewidth=0.07 * self.unit, zorder=4)
        )
        self._clear.append((u - 0.6 * reach * up_u, v - 0.6 * reach * up_v, 0.8 * reach))

    def keep_clear(self, point: Point, *, radius: float = 0.4) -> None:
        """Keep labels off a point that is not drawn.

        Parameters
        ----------
        point : Point
            Pixels of the whole picture.
        radius : float
            Letter heights.
        """
        self._clear.append((*self._crop.place(point), radius * self.unit))

    def keep_labels_off(self, mask: NDArray[np.bool_]) -> None:
        """Let no label and no leader touch a part of the still.

        Parameters
        ----------
        mask : NDArray[np.bool_]
            (rows, columns) spread evenly over the still.
        """
        size = self._off_limits.shape[::-1]
        whole = Image.fromarray(mask.astype(np.uint8) * 255).resize(size, Image.Resampling.BOX)
        self._off_limits |= np.asarray(whole) > 0

    def tag(self, tag: Tag) -> None:
        """Ask for a label; the tags asked for first are the most important.

        Parameters
        ----------
        tag : Tag
            Its lengths are written in the unit that is shown, but for `more`, which has them in the other one.
        """
        title, figure, side, said = map(say_in_shown_unit, (tag.title, tag.figure, tag.side, tag.said))
        self.tags.append(evolve(tag, title=title, figure=figure, side=side, said=said))
        self._placed = None

    def banner(self, title: str, figure: str, *, corner: Point, width: float, height: float, colour: str) -> None:
        """Write a heading and a figure beside it into a bar; all lengths are full-size pixels.

        Parameters
        ----------
        title, figure : str
        corner : Point
            Its top left.
        width, height : float
        colour : str
            As Matplotlib takes it.
        """
        (u0, v0), scale = self._crop.place(corner), self._crop.scale
        wide, high = width * scale, height * scale
        self._axes.add_patch(Rectangle((u0, v0), wide, high, facecolor=_BOX, zorder=7))
        self._axes.add_patch(Rectangle((u0, v0), 0.3 * self.unit, high, facecolor=colour, zorder=8))
        left, base = u0 + 0.8 * self.unit, v0 + high / 2 + 0.36 * self.unit
        self._text(left, base, title, bold=True)
        self._text(left + self._text_width(title, bold=True) + 0.5 * self.unit, base, figure, bold=False)

    def place(self) -> tuple[PlacedLabel, ...]:
        """Return where the labels of all tags go, still's pixels; a tag without room is left out."""
        if self._placed is None:
            self._placed = self._place()
        return self._placed

    def finish(self) -> tuple[Picture, tuple[Tag, ...]]:
        """Write the labels; return the still, (H, W, 3) RGB, and the tags that found room."""
        tags = {tag.name: tag for tag in self.tags}
        placed = self.place()
        for each in placed:
            self._write(tags[each.label.key], each)
        self._canvas.draw()  # type: ignore[no-untyped-call]
        ink = np.asarray(self._canvas.buffer_rgba())  # type: ignore[no-untyped-call]
        drawn = Image.fromarray(ink)
        still = Image.alpha_composite(Image.fromarray(self._picture).convert("RGBA"), drawn).convert("RGB")
        return np.asarray(still), tuple(tags[each.label.key] for each in placed)

    def _place(self) -> tuple[PlacedLabel, ...]:
        anchors = [(*self._crop.place(tag.anchor), 0.25 * self.unit) for tag in self.tags]
        labels = [
            Label(key=tag.name, anchor=anchor[:2], size=self._size_of(tag), wanted=tag.wanted)
            for tag, anchor in zip(self.tags, anchors, strict=True)
        ]
        return place_labels(
            labels,
            frame=(self.width, self.height),
            keep_clear=[*self._clear, *anchors],
            busy=self._busy,
            off_limits=self._off_limits,
        )

    def _add_line(self, points: Sequence[Point], *, colour: str, width: float, dashed: bool = False) -> None:
        halo = width + 0.13 * self.unit
        us, vs = zip(*points, strict=True)
        drawn = Line2D(us, vs, color=colour, linewidth=width, zorder=3)
        if dashed:
            drawn.set_dashes((2.4, 1.6))
        drawn.set_solid_capstyle("round")
        drawn.set_path_effects([withStroke(linewidth=halo, foreground=_HALO, alpha=0.75 if not dashed else 0.55)])
        self._axes.add_line(drawn)
        for (u0, v0), (u1, v1) in pairwise(points):
            steps = max(2, int(math.hypot(u1 - u0, v1 - v0) / _CELL) * 2)
            columns = (np.linspace(u0, u1, steps) / _CELL).astype(int)
            rows = (np.linspace(v0, v1, steps) / _CELL).astype(int)
            inside = (columns >= 0) & (rows >= 0) & (columns < self._busy.shape[1]) & (rows < self._busy.shape[0])
            self._busy[rows[inside], columns[inside]] = _LINE_COST

    def _size_of(self, tag: Tag) -> tuple[float, float]:
        wide = max(self._text_width(text, bold=bold) for text, bold in tag.lines)
        return wide + 1.05 * self.unit, (_LABEL_EDGE + _LINE_PITCH * len(tag.lines)) * self.unit

    def _text_width(self, text: str, *, bold: bool) -> float:
        font = self._font(bold=bold)
        renderer = self._canvas.get_renderer()  # type: ignore[no-untyped-call]
        width, _, _ = renderer.get_text_width_height_descent(text, font, False)
        return float(width)

    def _font(self, *, bold: bool) -> FontProperties:
        size = self.unit * (1.0 if bold else _NAME_SIZE)
        return FontProperties(family="DejaVu Sans", weight="bold" if bold else "normal", size=size)

    def _write(self, tag: Tag, placed: PlacedLabel) -> None:
        (from_u, from_v), (to_u, to_v) = placed.leader
        leader = Line2D([from_u, to_u], [from_v, to_v], color=tag.colour, linewidth=0.07 * self.unit, zorder=5)
        leader.set_path_effects([Stroke(linewidth=0.16 * self.unit, foreground=_HALO, alpha=0.8), Stroke()])
        self._axes.add_line(leader)
        self._axes.add_patch(
            Circle((from_u, from_v), 0.13 * self.unit, facecolor=tag.colour, edgecolor=_HALO, zorder=6)
        )
        u0, v0, u1, v1 = placed.box
        round_by = 0.2 * self.unit
        self._axes.add_patch(
            FancyBboxPatch(
                (u0 + round_by, v0 + round_by), u1 - u0 - 2 * round_by, v1 - v0 - 2 * round_by,
                boxstyle=f"round,pad={round_by}", facecolor=_BOX, edgecolor="none", alpha=0.88, zorder=7,
            )
        )  # fmt: skip
        bar = 0.2 * self.unit
        self._axes.add_patch(
            Rectangle((u0 + bar, v0 + 0.4 * self.unit), bar, v1 - v0 - 0.8 * self.unit, facecolor=tag.colour, zorder=8)
        )
        left = u0 + 0.68 * self.unit
        for number, (text, bold) in enumerate(tag.lines, 1):
            self._text(left, v0 + (_LINE_PITCH * number - 0.05) * self.unit, text, bold=bold)

    def _text(self, u: float, v: float, text: str, *, bold: bool) -> None:
        self._axes.text(
            u, v, text, fontproperties=self._font(bold=bold), color="#FFFFFF" if bold else "#DCE3E8",
            ha="left", va="baseline", zorder=9, parse_math=False,
        )  # fmt: skip
