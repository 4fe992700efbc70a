"""A sheet with the marks to draw on it and the true directions, and the strokes that both views share.

Points are pixels of the full-size upright picture. "Up" and "level" are the true ones, with the camera's roll taken
out.
"""

import math
from collections.abc import Mapping
from typing import Final

from attrs import frozen

from putt_posture.report.colours import PART_COLOURS
from putt_posture.report.sheet import Sheet
from putt_posture.values import MeasureName, Point

__all__ = ["Direction", "Pen", "Wish", "Wishes", "draw_arm", "draw_balance", "draw_gap", "midway"]

Direction = tuple[float, float]

_LEAST_BRACKET: Final = 0.35
"""Letter heights; a gap that looks shorter (skin touching, or the elbow in front of the trunk) gets no bracket."""


@frozen(kw_only=True)
class Wish:
    """Where a label points, and the direction in which it would best stand."""

    anchor: Point
    wanted: Direction


Wishes = dict[MeasureName, Wish]


@frozen(kw_only=True)
class Pen:
    """What a sketch needs.

    Attributes
    ----------
    sheet : Sheet
    marks : mapping of mark name to points
        Only those that are wholly known; see `Posture.marks`.
    forward : {-1, +1}
        Sign of the picture's u toward the ball (down the line) or the target (face on).
    shown : frozenset of MeasureName
        The measures that are to have a label.
    """

    sheet: Sheet
    marks: Mapping[str, tuple[Point, ...]]
    forward: int
    shown: frozenset[MeasureName]

    def has(self, *names: str) -> bool:
        """Tell whether all of these marks are known."""
        return all(name in self.marks for name in names)

    @property
    def up(self) -> Direction:
        """The true vertical, upward."""
        return self.sheet.up

    @property
    def ahead(self) -> Direction:
        """The true level, toward the ball (down the line) or the target (face on)."""
        return self.forward * self.sheet.right[0], self.forward * self.sheet.right[1]

    def toward(self, *, ahead: float = 0.0, up: float = 0.0) -> Direction:
        """Return a direction made of so much ahead and so much up."""
        return ahead * self.ahead[0] + up * self.up[0], ahead * self.ahead[1] + up * self.up[1]

    def shift(self, point: Point, *, ahead: float = 0.0, up: float = 0.0) -> Point:
        """Move a point by true level and vertical pixels."""
        du, dv = self.toward(ahead=ahead, up=up)
        return point[0] + du, point[1] + dv

    def plumb(self, point: Point, other: Point) -> Point:
        """Return the place on the plumb line through `point` that is level with `other`."""
        rise = (other[0] - point[0]) * self.up[0] + (other[1] - point[1]) * self.up[1]
        return self.shift(point, up=rise)


def midway(one: Point, two: Point, *, share: float = 0.5) -> Point:
    """Return the point that is `share` of the way from one to two."""
    return one[0] + share * (two[0] - one[0]), one[1] + share * (two[1] - one[1])


def draw_arm(pen: Pen, mark: str) -> None:
    """Draw shoulder, elbow and wrist of one arm."""
    if pen.has(mark):
        pen.sheet.line(*pen.marks[mark], colour=PART_COLOURS["arms"], width=0.1)
        pen.sheet.dot(pen.marks[mark][1], colour=PART_COLOURS["arms"], radius=0.16)


def draw_gap(pen: Pen, mark: str, *, measure: MeasureName, wanted: Direction) -> Wishes:
    """Draw the gap between elbow and ribs as a bracket."""
    if not pen.has(mark):
        return {}
    elbow, ribs = pen.marks[mark]
    if math.dist(elbow, ribs) > pen.sheet.letters(_LEAST_BRACKET):
        pen.sheet.bracket(elbow, ribs, colour=PART_COLOURS["arms"], width=0.17)
    return {measure: Wish(anchor=midway(elbow, ribs), wanted=wanted)}


def draw_balance(pen: Pen, *, measure: MeasureName, wanted: Direction) -> Wishes:
    """Draw the centre of mass, its plumb line, and a pointer on the ground."""
    if not pen.has("balance"):
        return {}
    mass, ground = pen.marks["balance"]
    colour = PART_COLOURS["balance"]
    pen.sheet.line(mass, ground, colour=colour, dashed=True, width=0.07)
    pen.sheet.ring(mass, colour=colour, radius=0.28)
    pen.sheet.pointer(ground, colour=colour)
    return {measure: Wish(anchor=pen.shift(ground, up=-pen.sheet.letters(0.8)), wanted=wanted)}
