"""Where labels go on a picture: inside it, apart from each other and from the points that they explain.

Pixels, origin top left, u right, v down. A box is ``(u0, v0, u1, v1)`` with u0 < u1 and v0 < v1. Pure arithmetic:
nothing is drawn.

A label has an off-limits map as well: neither its box nor its leader lies on a part of it.

Labels are placed one after another, each at the cheapest free place among candidates around its anchor; then each is
tried again with the others in place until nothing gets cheaper. That is done from several first orders, and the
cheapest outcome is taken. A label without a free place is left out, of two the less important one.
"""

import math
from collections.abc import Mapping, Sequence
from typing import Final

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from putt_posture.values import Floats

__all__ = ["Box", "Label", "PlacedLabel", "place_labels"]

Box = tuple[float, float, float, float]
Line = tuple[tuple[float, float], tuple[float, float]]
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

    def allow(self, label: Label, box: Box) -> bool:
        """Tell whether a label may stand in a box, with its leader."""
        return not self._covers(box) and not self._on_line(label.anchor, _nearest(box, label.anchor))

    def _covers(self, box: Box) -> bool:
        rows, columns = self._cells.shape
        c0, r0 = max(int(box[0] / self._cell[0]), 0), max(int(box[1] / self._cell[1]), 0)
        c1, r1 = min(math.ceil(box[2] / self._cell[0]), columns), min(math.ceil(box[3] / self._cell[1]), rows)
        sums = self._sums
        return bool(c1 > c0 and r1 > r0 and sums[r1, c1] - sums[r0, c1] - sums[r1, c0] + sums[r0, c0])

    def _on_line(self, start: tuple[float, float], end: tuple[float, float]) -> bool:
        steps = max(2, math.ceil(3 * math.dist(start, end) / min(self._cell)))
        columns = (np.linspace(start[0], end[0], steps) / self._cell[0]).astype(int)
        rows = (np.linspace(start[1], end[1], steps) / self._cell[1]).astype(int)
        inside = (rows >= 0) & (columns >= 0) & (rows < self._cells.shape[0]) & (columns < self._cells.shape[1])
        return bool(self._cells[rows[inside], columns[inside]].any())


class _Cost:
    """The cost of a place, in heights of the label."""

    def __init__(self, *, frame: tuple[float, float], busy: Floats | None) -> None:
        self._frame = frame
        self._sums: Floats | None = (
            None if busy is None else np.pad(np.cumsum(np.cumsum(busy, axis=0), axis=1), ((1, 0), (1, 0)))
        )

    def cheapest(self, label: Label, boxes: Sequence[Box], others: Sequence[PlacedLabel]) -> PlacedLabel | None:
        best, best_cost = None, math.inf
        for box in boxes:
            if any(_overlap(box, other.box, _GAP * min(label.size[1], other.label.size[1])) for other in others):
                continue
            candidate = PlacedLabel(label=label, box=box, leader=(label.anchor, _nearest(box, label.anchor)))
            cost = self.of(candidate, others)
            if cost < best_cost - 1e-9:
                best, best_cost = candidate, cost
        return best

    def of(self, placed: PlacedLabel, others: Sequence[PlacedLabel]) -> float:
        """Return the cost of a place beside others."""
        label, box = placed.label, placed.box
        (from_u, from_v), (to_u, to_v) = placed.leader
        cost = math.hypot(to_u - from_u, to_v - from_v) / label.size[1] + 4 * self._covered(box)
        if any(label.wanted):
            middle = ((box[0] + box[2]) / 2 - from_u, (box[1] + box[3]) / 2 - from_v)
            length = math.hypot(*middle) * math.hypot(*label.wanted)
            cost += _WANTED * (1 - (middle[0] * label.wanted[0] + middle[1] * label.wanted[1]) / max(length, 1e-9))
        for other in others:
            cost += _CROSSING * _segments_cross(placed.leader, other.leader)
            cost += _THROUGH * (_crosses_box(placed.leader, other.box) + _crosses_box(other.leader, box))
        return cost

    def _covered(self, box: Box) -> float:
        """Return the mean of the busy map under the box."""
        if self._sums is None:
            return 0.0
        rows, columns = self._sums.shape[0] - 1, self._sums.shape[1] - 1
        c0 = min(int(box[0] / self._frame[0] * columns), columns - 1)
        r0 = min(int(box[1] / self._frame[1] * rows), rows - 1)
        c1 = min(max(math.ceil(box[2] / self._frame[0] * columns), c0 + 1), columns)
        r1 = min(max(math.ceil(box[3] / self._frame[1] * rows), r0 + 1), rows)
        sums = self._sums
        total = float(sums[r1, c1] - sums[r0, c1] - sums[r1, c0] + sums[r0, c0])
        return total / float((r1 - r0) * (c1 - c0))


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
    cost_of = _Cost(frame=frame, busy=busy)
    choices = {label.key: _candidates(label, frame=frame, keep_clear=keep_clear) for label in labels}
    if off_limits is not None and off_limits.any():
        limits = _OffLimits(off_limits, frame=frame)
        choices = {label.key: tuple(box for box in choices[label.key] if limits.allow(label, box)) for label in labels}
    orders = [labels, *(sorted(labels, key=lambda label: way * label.anchor[axis]) for axis, way in _FIRST_ORDERS)]
    tries = [_place_in_order(order, choices=choices, cost_of=cost_of) for order in orders]
    best = min(tries, key=lambda placed: _total(placed, labels, cost_of=cost_of))
    ranks = {label.key: rank for rank, label in enumerate(labels)}
    return tuple(sorted(best, key=lambda each: ranks[each.label.key]))


def _place_in_order(
    labels: Sequence[Label], *, choices: Mapping[str, Sequence[Box]], cost_of: _Cost
) -> tuple[PlacedLabel, ...]:
    placed: list[PlacedLabel] = []
    for label in labels:
        best = cost_of.cheapest(label, choices[label.key], placed)
        if best is not None:
            placed.append(best)
    for _ in range(_ROUNDS):
        before = list(placed)
        for index, each in enumerate(placed):
            others = placed[:index] + placed[index + 1 :]
            placed[index] = cost_of.cheapest(each.label, choices[each.label.key], others) or each
        if placed == before:
            break
    return tuple(placed)


def _total(placed: Sequence[PlacedLabel], labels: Sequence[Label], *, cost_of: _Cost) -> float:
    """Return what an outcome costs: most of all a label that is missing, and the more important the more."""
    found = {each.label.key for each in placed}
    missing = sum(0.5**rank for rank, label in enumerate(labels) if label.key not in found)
    costs = (cost_of.of(each, [other for other in placed if other is not each]) for each in placed)
    return _MISSING * missing + sum(costs)


def _candidates(
    label: Label, *, frame: tuple[float, float], keep_clear: Sequence[tuple[float, float, float]]
) -> tuple[Box, ...]:
    """Return the boxes in reach of the anchor that lie in the frame and touch no disc, nearest first."""
    width, height = label.size
    inset = _GAP * height
    most_u, most_v = frame[0] - inset - width, frame[1] - inset - height
    if most_u < inset or most_v < inset:
        return ()
    boxes: dict[Box, None] = {}
    for distance in _DISTANCES:
        for step in range(_DIRECTIONS):
            angle = 2 * math.pi * step / _DIRECTIONS
            du, dv = math.cos(angle), math.sin(angle)
            # A box touches the anchor's ring with the side or corner that faces it.
            u = label.anchor[0] + du * (distance * height + width / 2) - width / 2
            v = label.anchor[1] + dv * (distance * height + height / 2) - height / 2
            u, v = min(max(u, inset), most_u), min(max(v, inset), most_v)
            box = (u, v, u + width, v + height)
            if not any(_hits_disc(box, disc) for disc in keep_clear):
                boxes[box] = None
    return tuple(boxes)


def _overlap(a: Box, b: Box, gap: float) -> bool:
    return a[0] < b[2] + gap and b[0] < a[2] + gap and a[1] < b[3] + gap and b[1] < a[3] + gap


def _nearest(box: Box, point: tuple[float, float]) -> tuple[float, float]:
    return min(max(point[0], box[0]), box[2]), min(max(point[1], box[1]), box[3])


def _hits_disc(box: Box, disc: tuple[float, float, float]) -> bool:
    u, v = _nearest(box, disc[:2])
    return math.hypot(u - disc[0], v - disc[1]) < disc[2]


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _segments_cross(one: Line, two: Line) -> bool:
    (a, b), (c, d) = one, two
    return _turn(a, b, c) * _turn(a, b, d) < 0 and _turn(c, d, a) * _turn(c, d, b) < 0


def _crosses_box(line: Line, box: Box) -> bool:
    u0, v0, u1, v1 = box
    (start_u, start_v), (end_u, end_v) = line
    if max(start_u, end_u) <= u0 or min(start_u, end_u) >= u1 or max(start_v, end_v) <= v0 or min(start_v, end_v) >= v1:
        return False
    if any(u0 < u < u1 and v0 < v < v1 for u, v in line):
        return True
    corners = ((u0, v0), (u1, v0), (u1, v1), (u0, v1))
    return any(_segments_cross(line, (corners[i], corners[(i + 1) % 4])) for i in range(4))
