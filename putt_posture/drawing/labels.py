"""Where labels go on a picture: inside it, apart from each other and from the points that they explain.

Pixels, origin top left, u right, v down. A box is ``(u0, v0, u1, v1)`` with u0 < u1 and v0 < v1. Pure arithmetic:
nothing is drawn.

Labels are placed one after another, the most important first, each at the cheapest free place around its anchor. Then
each is tried again with the others in place, until nothing gets cheaper. A label without a free place is left out.
"""

import math
from collections.abc import Sequence
from typing import Final

import numpy as np
from attrs import frozen

from putt_posture.values import Floats

__all__ = ["Box", "Label", "PlacedLabel", "place_labels"]

Box = tuple[float, float, float, float]
Line = tuple[tuple[float, float], tuple[float, float]]
_DIRECTIONS: Final = 24
_DISTANCES: Final = (0.0, 0.6, 1.3, 2.2, 3.4, 5.0, 7.5, 10.5)
"""Free room between anchor and box, in heights of the label."""
_GAP: Final = 0.12
"""Least room between two labels, and between a label and the frame, in heights of the smaller label."""
_ROUNDS: Final = 4
_CROSSING: Final = 6.0
_THROUGH: Final = 12.0
_WANTED: Final = 1.5
"""Costs of leaders that cross, of a leader through a label, and of the unwanted side, in heights by which a label would
rather be moved away."""


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
            cost = self._of(candidate, others)
            if cost < best_cost - 1e-9:
                best, best_cost = candidate, cost
        return best

    def _of(self, placed: PlacedLabel, others: Sequence[PlacedLabel]) -> float:
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
        Cost of covering each part of the picture, spread evenly over the frame. A label that lies only over ones costs
        as much as moving it away by four of its heights.

    Returns
    -------
    tuple of PlacedLabel
        In the order given, without those that found no place. No two boxes overlap, all lie in the frame, and none
        touches a disc.
    """
    cost_of = _Cost(frame=frame, busy=busy)
    placed: list[PlacedLabel] = []
    choices = {label.key: _candidates(label, frame=frame, keep_clear=keep_clear) for label in labels}
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
