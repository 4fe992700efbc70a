"""The outlines of two lessons over each other, in the same footprints and at one scale; no face, no clothes."""

import math
from collections.abc import Mapping, Sequence
from typing import Any, Final

import cv2
import numpy as np
from attrs import frozen
from matplotlib.axes import Axes
from matplotlib.patches import Circle
from numpy.typing import NDArray

from putt_posture.drawing.charts import AFTER, BEFORE, INK, LETTERS, SOFT, WIDTH, as_svg, new_chart, styled
from putt_posture.drawing.feet import BALL_CM
from putt_posture.drawing.placing import Placing
from putt_posture.shown_units import shows_inches
from putt_posture.units import CM_PER_INCH
from putt_posture.values import Floats, KeptView, View

__all__ = ["Frame", "Outlines", "bar_length", "draw_outlines", "find_body_frame", "find_placing", "find_still_frame"]

Frame = tuple[float, float, float, float]
"""Left, bottom, right, top, cm: to the right in the picture from the middle of the feet, and up from the ground."""
SURE: Final = 128
"""Level of the outline (0 to 255) from which a pixel counts as the student."""
_DASHES: Final = (4.0, 1.6)
_LEAST_ASPECT: Final = 0.8
"""Least width over height of the drawing; a taller one would not fit on a screen."""
_MOST_ASPECT: Final = 8.0
"""Greatest width over height; in a wider one, one of the two students was not placed rightly."""
_ROOM_CM: Final = 6.0
_BELOW_CM: Final = 15.0
"""Length of the scale bar, cm."""
_BAR_CM: Final = 20.0
_BAR_IN: Final = 8.0
"""For readers of inches."""
_LEGEND: Final = 34.0
"""Points."""
_LEAST_SHARE: Final = 0.01
"""A speck or hole that is a smaller share of the outline's area is not drawn."""
_CELL_CM: Final = 0.6
"""Of the grid on which an outline is drawn: finer only makes the file larger."""
_LINES: Final[Mapping[View, tuple[tuple[tuple[str, ...], ...], ...]]] = {
    "down_the_line": (
        (("left_hip", "right_hip"), ("left_shoulder", "right_shoulder"), ("left_ear", "right_ear")),
        (("near_shoulder",), ("near_elbow",), ("near_wrist",)),
        (("near_hip",), ("near_knee",), ("near_ankle",)),
    ),
    "face_on": (
        (("left_shoulder",), ("right_shoulder",)),
        (("left_hip",), ("right_hip",)),
        (("left_hip", "right_hip"), ("left_shoulder", "right_shoulder")),
        (("left_shoulder",), ("left_elbow",), ("left_wrist",)),
        (("right_shoulder",), ("right_elbow",), ("right_wrist",)),
    ),
}
"""Lines join the middles of these joints."""


@frozen(kw_only=True)
class Outlines:
    """The drawing of one view.

    Attributes
    ----------
    svg : str
    aspect : float
        Width over height.
    """

    svg: str
    aspect: float


@frozen(kw_only=True, eq=False)
class _Figure:
    """One student in centimetres: the outline as a mask with the places of its cells, the lines, and their extent."""

    mask: Floats
    places: tuple[Floats, Floats]
    lines: tuple[Floats, ...]
    shaft: Floats | None
    ball: Floats | None
    frame: Floats


def find_placing(view: KeptView) -> Placing | None:
    """Find the middle of the feet on the ground, the scale and the true vertical of a view.

    Along is to the right in the picture, whichever way the student faces.

    Parameters
    ----------
    view : KeptView

    Returns
    -------
    Placing or None
        None where the scale, the ground or the ankles are not known.
    """
    record = view.record
    ankles = view.middle("left_ankle", "right_ankle")
    if not record.px_per_cm or record.ground_v_px is None or not np.isfinite(ankles).all():
        return None
    roll = record.roll.value if record.roll else 0.0
    under = record.ground_v_px - float(ankles[1])
    return Placing(
        anchor_px=(float(ankles[0]) - under * math.tan(math.radians(roll)), record.ground_v_px),
        anchor_cm=0.0,
        px_per_cm=record.px_per_cm.value,
        forward=1,
        roll_deg=roll,
    )


def find_body_frame(view: KeptView, placing: Placing) -> Frame:
    """Find the space that student, shaft and ball take.

    Parameters
    ----------
    view : KeptView
    placing : Placing
    """
    rows, columns = np.nonzero(view.outline >= SURE)
    edge = np.stack([columns, rows], axis=-1) + 0.5 + view.outline_box_px[:2]
    others = [*(view.record.shaft_px or ()), *([view.record.ball_px] if view.record.ball_px else [])]
    seen = view.joints_px[np.isfinite(view.joints_px).all(axis=1)]
    return _frame(placing.plane(np.concatenate([edge, seen, np.array(others).reshape(-1, 2)])))


def find_still_frame(view: KeptView, placing: Placing) -> Frame:
    """Find the largest upright frame inside the still, with the camera's roll taken out.

    Parameters
    ----------
    view : KeptView
    placing : Placing
    """
    u0, v0, u1, v1 = view.record.still_box_px
    (tl, tr, br, bl) = placing.plane(np.array([[u0, v0], [u1, v0], [u1, v1], [u0, v1]], dtype=float))
    return (
        float(max(tl[0], bl[0])),
        float(max(bl[1], br[1])),
        float(min(tr[0], br[0])),
        float(min(tl[1], tr[1])),
    )


def draw_outlines(
    before: KeptView, after: KeptView, *, names: tuple[str, str] = ("before", "after")
) -> Outlines | None:
    """Draw the outlines of one view, with lines through the joints, shaft and ball.

    Parameters
    ----------
    before, after : KeptView
        If they face different ways, the earlier one is mirrored.
    names : (str, str)
        For the legend.

    Returns
    -------
    Outlines or None
        None where one of them cannot be placed, or the two do not go into one picture.
    """
    placings = [find_placing(view) for view in (before, after)]
    if placings[0] is None or placings[1] is None:
        return None
    turn = before.record.forward * after.record.forward
    figures = [_read(before, placings[0], turn=turn), _read(after, placings[1], turn=1)]
    frames = np.array([each.frame for each in figures])
    low, high = frames[:, 0].min(axis=0) - _ROOM_CM, frames[:, 1].max(axis=0) + _ROOM_CM
    low[1] = min(low[1], -_BELOW_CM)
    widen = max(0.0, _LEAST_ASPECT * (high[1] - low[1]) - (high[0] - low[0])) / 2
    low[0], high[0] = low[0] - widen, high[0] + widen
    if not high[0] - low[0] < _MOST_ASPECT * (high[1] - low[1]):
        return None
    height = _LEGEND + WIDTH * float((high[1] - low[1]) / (high[0] - low[0]))
    with styled():
        figure, (panel,) = new_chart(rows=1, height=height)
        panel.set_axis_off()
        panel.set_aspect("equal")
        panel.set_xlim(low[0], high[0])
        panel.set_ylim(low[1], high[1])
        panel.axhline(0, color=SOFT, linewidth=1.0, zorder=1)
        for each, name, colour, dashed in zip(figures, names, (BEFORE, AFTER), (True, False), strict=True):
            _draw(panel, each, name=name, colour=colour, dashed=dashed)
        _draw_bar(panel, right=float(high[0]) - _ROOM_CM)
        handles, labels = panel.get_legend_handles_labels()
        figure.legend(handles, labels, loc="outside upper left", ncols=2)
        return Outlines(svg=as_svg(figure), aspect=WIDTH / height)


def _frame(points: Floats) -> Frame:
    (left, bottom), (right, top) = points.min(axis=0), points.max(axis=0)
    return float(left), float(bottom), float(right), float(top)


def _read(view: KeptView, placing: Placing, *, turn: int) -> _Figure:
    mask, cells = _coarsen(_without_specks(view.outline), every_px=max(1.0, _CELL_CM * placing.px_per_cm))
    right, up = placing.plane(cells.reshape(-1, 2) + view.outline_box_px[:2]).T
    left, bottom, far, top = find_body_frame(view, placing)
    ends = sorted((turn * left, turn * far))
    near = "right" if view.record.forward == 1 else "left"
    mirror = np.array([turn, 1])

    def place(points: Sequence[Sequence[float]]) -> Floats:
        return np.asarray(placing.plane(np.array(points, dtype=float)) * mirror)

    lines = [
        np.array([view.middle(*(name.replace("near", near) for name in names)) for names in line])
        for line in _LINES[view.record.view]
    ]
    return _Figure(
        mask=mask,
        places=(turn * right.reshape(mask.shape), up.reshape(mask.shape)),
        lines=tuple(place(line) for line in lines if np.isfinite(line).all()),  # type: ignore[arg-type]
        shaft=None if view.record.shaft_px is None else place(view.record.shaft_px),
        ball=None if view.record.ball_px is None else place([view.record.ball_px])[0],
        frame=np.array([[ends[0], bottom], [ends[1], top]]),
    )


def _without_specks(outline: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Return the outline without its small parts and its small holes."""
    cleaned = outline.copy()
    body = int((outline >= SURE).sum())
    for inside in (True, False):
        count, labels, stats, _ = cv2.connectedComponentsWithStats(((cleaned >= SURE) == inside).astype(np.uint8))
        small = [each for each in range(1, count) if stats[each, cv2.CC_STAT_AREA] < _LEAST_SHARE * body]
        cleaned[np.isin(labels, small)] = 0 if inside else 255
    return cleaned


def _coarsen(outline: NDArray[np.uint8], *, every_px: float) -> tuple[Floats, Floats]:
    """Return the outline on a coarser grid, (R, C), and the middles of its cells, (R, C, 2) px of the finer one.

    Its border is 0, so that every line closes.
    """
    rows, columns = outline.shape
    size = max(1, round(columns / every_px)), max(1, round(rows / every_px))
    small = cv2.resize(outline, size, interpolation=cv2.INTER_AREA)
    step = columns / size[0], rows / size[1]
    u, v = ((np.arange(-1, count + 1) + 0.5) * each for count, each in zip(size, step, strict=True))
    return np.pad(small, 1).astype(float), np.stack(np.meshgrid(u, v), axis=-1)


def _draw(panel: Axes, figure: _Figure, *, name: str, colour: str, dashed: bool) -> None:
    right, up = figure.places
    if figure.mask.max() >= SURE:
        panel.contourf(right, up, figure.mask, levels=[SURE - 0.5, 256], colors=[colour], alpha=0.13, zorder=2)
        edge = panel.contour(
            right, up, figure.mask, levels=[SURE - 0.5], colors=[colour], linewidths=2.2,
            linestyles=[(0, _DASHES) if dashed else "solid"], zorder=4,
        )  # fmt: skip
        edge.set_capstyle("round")
    style: Any = {"dashes": _DASHES} if dashed else {}
    panel.plot([], [], color=colour, linewidth=2.2, label=name, **style)
    for line in figure.lines:
        panel.plot(*line.T, color=colour, linewidth=1.4, marker="o", markersize=4.5, alpha=0.9, zorder=5, **style)
    if figure.shaft is not None:
        panel.plot(*figure.shaft.T, color=colour, linewidth=2.8, zorder=5, **style)
    if figure.ball is not None:
        middle = float(figure.ball[0]), float(figure.ball[1])
        panel.add_patch(Circle(middle, BALL_CM, facecolor="white", edgecolor=colour, linewidth=1.6, zorder=6))


def bar_length() -> tuple[float, str]:
    """Return how long the known length under the outlines is, cm, and the same in words, in the unit that is shown."""
    if shows_inches():
        return _BAR_IN * CM_PER_INCH, f"{_BAR_IN:.0f}\N{NO-BREAK SPACE}in"
    return _BAR_CM, f"{_BAR_CM:.0f}\N{NO-BREAK SPACE}cm"


def _draw_bar(panel: Axes, *, right: float) -> None:
    """Draw a known length under the ground."""
    v = -0.55 * _BELOW_CM
    long_cm, says = bar_length()
    panel.plot([right - long_cm, right], [v, v], color=INK, linewidth=1.6, marker="|", markersize=8, zorder=3)
    panel.text(right - long_cm - 2, v, says.replace("\N{NO-BREAK SPACE}", " "), ha="right", va="center",
               fontsize=LETTERS, color=INK)  # fmt: skip
