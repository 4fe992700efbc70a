"""Where labels go on a picture: inside it, apart from each other and from the points that they explain.

Pixels, origin top left, u right, v down. A box is ``(u0, v0, u1, v1)`` with u0 < u1 and v0 < v1. Pure arithmetic:
nothing is drawn.

A label has an off-limits map as well: neither its box nor its leader lies on a part of it.

Labels are placed one after another, each at the cheapest free place among candidates around its anchor; then each is
tried again with the others in place until nothing gets cheaper. That is done from several first orders, and the
cheapest outcome is taken. A label without a free place is left out, of two the less important one.
"""

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from putt_posture.values import Floats

__all__ = ["Box", "Label", "PlacedLabel", "place_labels"]

Box = tuple[float, float, float, float]
Line = tuple[tuple[float, float], tuple[float, float]]
_Points = Sequence[Floats] | Floats
"""Coordinates first: u and v of each point, or the four sides of each box."""
_DIRECTIONS: Final = 24
_DISTANCES: Final = (0.0, 0.4, 0.9, 1.5, 2.2, 3.2, 4.5, 6.0)
"""Free room between anchor and box, in heights of the label."""
_GAP: Final = 0.12
"""Least room between two labels, and between a label and the frame, in heights of the smaller label."""
_ROUNDS: Final = 4
_CROSSING: Final = 6.0
_THROUGH: Final = 12.0
_WANTED: Final = 1.5
_MISSING: Final = 1e6
"""Costs, in heights of the label moved away: leaders that cross; a leader through a label; the unwanted side; no place
for the most important label, half as much for each that follows."""
_FIRST_ORDERS: Final = ((1, 1.0), (1, -1.0), (0, 1.0), (0, -1.0))
"""Orders in which labels are placed first, beside that of their importance: axis of the anchor, and which way."""
_RINGS: Final = np.array(
    [
        (distance, math.cos(2 * math.pi * step / _DIRECTIONS), math.sin(2 * math.pi * step / _DIRECTIONS))
        for distance in _DISTANCES
        for step in range(_DIRECTIONS)
    ]
)
"""(N, 3): distance and direction, (du, dv), of each box that is tried, nearest first."""


@frozen(kw_only=True)
class Label:
    """A label to be placed.

    Attributes
    ----------
    key : str
        A stable name.
    anchor : (float, float)
        The point that it explains, pixels.
    size : (float, float)
        Width and height of its box, pixels.
    wanted : (float, float)
        Preferred direction from the anchor, as (du, dv); (0, 0) for none.
    """

    key: str
    anchor: tuple[float, float]
    size: tuple[float, float]
    wanted: tuple[float, float] = (0.0, 0.0)


@frozen(kw_only=True)
class PlacedLabel:
    """A label with its place.

    Attributes
    ----------
    label : Label
    box : Box
    leader : Line
        From the anchor to the nearest point of the box.
    """

    label: Label
    box: Box
    leader: Line


class _OffLimits:
    """Where neither a box nor a leader may be: a map of cells that are spread evenly over the frame."""

    def __init__(self, cells: NDArray[np.bool_], *, frame: tuple[float, float]) -> None:
        self._cells = cells
        self._cell = frame[0] / cells.shape[1], frame[1] / cells.shape[0]
        self._sums = np.pad(np.cumsum(np.cumsum(cells.astype(np.int64), axis=0), axis=1), ((1, 0), (1, 0)))

    def allow(self, label: Label, boxes: Floats) -> NDArray[np.bool_]:
        """Tell of each box, (N, 4), whether a label may stand in it, with its leader."""
        allowed = ~self._cover(boxes)
        ends = _nearest(boxes, label.anchor)
        for index in np.flatnonzero(allowed):
            allowed[index] = not self._on_line(label.anchor, tuple(ends[index]))
        return allowed

    def _cover(self, boxes: Floats) -> NDArray[np.bool_]:
        rows, columns = self._cells.shape
        wide, high = self._cell
        c0 = np.clip((boxes[:, 0] / wide).astype(int), 0, columns)
        r0 = np.clip((boxes[:, 1] / high).astype(int), 0, rows)
        c1 = np.clip(np.ceil(boxes[:, 2] / wide).astype(int), c0, columns)
        r1 = np.clip(np.ceil(boxes[:, 3] / high).astype(int), r0, rows)
        sums = self._sums
        held = sums[r1, c1] - sums[r0, c1] - sums[r1, c0] + sums[r0, c0]
        return np.asarray(held > 0)

    def _on_line(self, start: tuple[float, float], end: tuple[float, float]) -> bool:
        steps = max(2, math.ceil(3 * math.dist(start, end) / min(self._cell)))
        columns = (np.linspace(start[0], end[0], steps) / self._cell[0]).astype(int)
        rows = (np.linspace(start[1], end[1], steps) / self._cell[1]).astype(int)
        inside = (rows >= 0) & (columns >= 0) & (rows < self._cells.shape[0]) & (columns < self._cells.shape[1])
        return bool(self._cells[rows[inside], columns[inside]].any())


class _Choices:
    """The boxes among which a label is placed, what each costs alone, and what it costs beside others."""

    def __init__(self, label: Label, boxes: Floats, *, frame: tuple[float, float], sums: Floats | None) -> None:
        self.label = label
        self.boxes = boxes
        self.ends = _nearest(boxes, label.anchor)
        """(N, 2): where the leader to each box ends."""
        self.alone = self._cost_alone(frame, sums)
        self._beside: dict[tuple[str, int], Floats] = {}

    def beside(self, other: "_Choices", index: int) -> Floats:
        """Return what each box costs, (N,), while another label is in a box of its own; infinite where they overlap."""
        key = other.label.key, index
        if key not in self._beside:
            self._beside[key] = self._cost_beside(other, index)
        return self._beside[key]

    def placed(self, index: int) -> PlacedLabel:
        """Return the label in one of its boxes."""
        u0, v0, u1, v1 = self.boxes[index].tolist()
        end_u, end_v = self.ends[index].tolist()
        return PlacedLabel(label=self.label, box=(u0, v0, u1, v1), leader=(self.label.anchor, (end_u, end_v)))

    def _cost_alone(self, frame: tuple[float, float], sums: Floats | None) -> Floats:
        label, boxes = self.label, self.boxes
        from_u, from_v = label.anchor
        cost = np.hypot(self.ends[:, 0] - from_u, self.ends[:, 1] - from_v) / label.size[1]
        if sums is not None:
            cost += 4 * _covered(boxes, frame, sums)
        if any(label.wanted):
            du, dv = (boxes[:, 0] + boxes[:, 2]) / 2 - from_u, (boxes[:, 1] + boxes[:, 3]) / 2 - from_v
            length = np.hypot(du, dv) * math.hypot(*label.wanted)
            cost += _WANTED * (1 - (du * label.wanted[0] + dv * label.wanted[1]) / np.maximum(length, 1e-9))
        return np.asarray(cost)

    def _cost_beside(self, other: "_Choices", index: int) -> Floats:
        gap = _GAP * min(self.label.size[1], other.label.size[1])
        u0, v0, u1, v1 = self.boxes.T
        other_u0, other_v0, other_u1, other_v1 = other.boxes[index]
        start, end = np.array(self.label.anchor), self.ends.T
        other_start, other_end = np.array(other.label.anchor), other.ends[index]
        cost = _CROSSING * _cross(start, end, other_start, other_end)
        cost += _THROUGH * _cross_box(start, end, (other_u0, other_v0, other_u1, other_v1))
        cost += _THROUGH * _cross_box(other_start, other_end, (u0, v0, u1, v1))
        overlap = (u0 < other_u1 + gap) & (other_u0 < u1 + gap) & (v0 < other_v1 + gap) & (other_v0 < v1 + gap)
        return np.where(overlap, np.inf, cost)


_Place = tuple[_Choices, int]
"""A label in one of its boxes, by its number."""


def place_labels(
    labels: Sequence[Label],
    *,
    frame: tuple[float, float],
    keep_clear: Sequence[tuple[float, float, float]] = (),
    busy: Floats | None = None,
    off_limits: NDArray[np.bool_] | None = None,
) -> tuple[PlacedLabel, ...]:
    """Find a place for each label, most important first.

    Parameters
    ----------
    labels : sequence of Label
        The most important first.
    frame : (float, float)
        Width and height of the picture, pixels.
    keep_clear : sequence of (u, v, radius)
        Discs that no label may cover, pixels.
    busy : (rows, columns), optional
        How much it costs to cover each part of the picture, spread evenly over the frame; a label wholly over ones pays
        as much as for moving away by four of its own heights.
    off_limits : (rows, columns), optional
        Cells, spread evenly over the frame, that no box and no leader may touch.

    Returns
    -------
    tuple of PlacedLabel
        In the order given, without those that found no place. No two boxes overlap, all lie in the frame, none
        touches a disc, and nothing of a label lies off limits.
    """
    sums = None if busy is None else np.pad(np.cumsum(np.cumsum(busy, axis=0), axis=1), ((1, 0), (1, 0)))
    limits = _OffLimits(off_limits, frame=frame) if off_limits is not None and off_limits.any() else None
    choices: dict[str, _Choices] = {}
    for label in labels:
        boxes = _candidates(label, frame=frame, keep_clear=keep_clear)
        if limits is not None:
            boxes = boxes[limits.allow(label, boxes)]
        choices[label.key] = _Choices(label, boxes, frame=frame, sums=sums)
    orders = [labels, *(sorted(labels, key=lambda label: way * label.anchor[axis]) for axis, way in _FIRST_ORDERS)]
    tries = [_place_in_order([choices[label.key] for label in order]) for order in orders]
    best = min(tries, key=lambda placed: _total(placed, labels))
    ranks = {label.key: rank for rank, label in enumerate(labels)}
    best = sorted(best, key=lambda each: ranks[each[0].label.key])
    return tuple(each.placed(index) for each, index in best)


def _place_in_order(labels: Sequence[_Choices]) -> list[_Place]:
    placed: list[_Place] = []
    for label in labels:
        index = _cheapest(label, placed)
        if index is not None:
            placed.append((label, index))
    for _ in range(_ROUNDS):
        before = list(placed)
        for at, (label, index) in enumerate(placed):
            found = _cheapest(label, placed[:at] + placed[at + 1 :])
            placed[at] = label, index if found is None else found
        if placed == before:
            break
    return placed


def _cheapest(label: _Choices, others: Sequence[_Place]) -> int | None:
    """Return the number of the cheapest box beside others; None if each overlaps one of them."""
    best, best_cost = None, math.inf
    for index, cost in enumerate(_costs(label, others).tolist()):
        if cost < best_cost - 1e-9:
            best, best_cost = index, cost
    return best


def _costs(label: _Choices, others: Sequence[_Place]) -> Floats:
    """Return what each box of a label costs beside others, (N,), in heights of the label."""
    return sum((label.beside(other, index) for other, index in others), start=label.alone)


def _total(placed: Sequence[_Place], labels: Sequence[Label]) -> float:
    """Return what an outcome costs: most of all a label that is missing, and the more important the more."""
    found = {each.label.key for each, _ in placed}
    missing = sum(0.5**rank for rank, label in enumerate(labels) if label.key not in found)
    costs = (float(_costs(label, [*placed[:at], *placed[at + 1 :]])[index]) for at, (label, index) in enumerate(placed))
    return _MISSING * missing + sum(costs)


def _candidates(
    label: Label, *, frame: tuple[float, float], keep_clear: Sequence[tuple[float, float, float]]
) -> Floats:
    """Return the boxes in reach of the anchor that lie in the frame and touch no disc, (N, 4), nearest first."""
    width, height = label.size
    inset = _GAP * height
    most_u, most_v = frame[0] - inset - width, frame[1] - inset - height
    if most_u < inset or most_v < inset:
        return np.empty((0, 4))
    distance, du, dv = _RINGS.T
    # A box touches the anchor's ring with the side or corner that faces it.
    u = label.anchor[0] + du * (distance * height + width / 2) - width / 2
    v = label.anchor[1] + dv * (distance * height + height / 2) - height / 2
    u, v = np.clip(u, inset, most_u), np.clip(v, inset, most_v)
    boxes = np.array(list(dict.fromkeys(zip(u.tolist(), v.tolist(), strict=True))))
    boxes = np.concatenate([boxes, boxes + label.size], axis=1)
    free = np.ones(len(boxes), dtype=bool)
    for disc_u, disc_v, radius in keep_clear:
        nearest = _nearest(boxes, (disc_u, disc_v))
        free &= np.hypot(nearest[:, 0] - disc_u, nearest[:, 1] - disc_v) >= radius
    return boxes[free]


def _nearest(boxes: Floats, point: tuple[float, float]) -> Floats:
    """Return the point of each box that is nearest to a point, (N, 2)."""
    return np.minimum(np.maximum(point, boxes[:, :2]), boxes[:, 2:])


def _covered(boxes: Floats, frame: tuple[float, float], sums: Floats) -> Floats:
    """Return the mean of the busy map under each box, (N,)."""
    rows, columns = sums.shape[0] - 1, sums.shape[1] - 1
    c0 = np.minimum((boxes[:, 0] / frame[0] * columns).astype(int), columns - 1)
    r0 = np.minimum((boxes[:, 1] / frame[1] * rows).astype(int), rows - 1)
    c1 = np.minimum(np.maximum(np.ceil(boxes[:, 2] / frame[0] * columns).astype(int), c0 + 1), columns)
    r1 = np.minimum(np.maximum(np.ceil(boxes[:, 3] / frame[1] * rows).astype(int), r0 + 1), rows)
    total = sums[r1, c1] - sums[r0, c1] - sums[r1, c0] + sums[r0, c0]
    return np.asarray(total / ((r1 - r0) * (c1 - c0)))


def _turn(a: _Points, b: _Points, c: _Points) -> Floats:
    return np.asarray((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))


def _cross(a: _Points, b: _Points, c: _Points, d: _Points) -> NDArray[np.bool_]:
    """Tell whether the segments from a to b cross those from c to d."""
    return (_turn(a, b, c) * _turn(a, b, d) < 0) & (_turn(c, d, a) * _turn(c, d, b) < 0)


def _cross_box(start: _Points, end: _Points, box: _Points) -> NDArray[np.bool_]:
    """Tell whether the segments from start to end go through boxes, ``(u0, v0, u1, v1)`` each."""
    u0, v0, u1, v1 = box
    beside = (np.maximum(start[0], end[0]) <= u0) | (np.minimum(start[0], end[0]) >= u1)
    beside |= (np.maximum(start[1], end[1]) <= v0) | (np.minimum(start[1], end[1]) >= v1)
    through = np.zeros_like(beside)
    for u, v in (start, end):
        through |= (u0 < u) & (u < u1) & (v0 < v) & (v < v1)
    corners = ((u0, v0), (u1, v0), (u1, v1), (u0, v1))
    for i in range(4):
        through |= _cross(start, end, corners[i], corners[(i + 1) % 4])
    return ~beside & through
