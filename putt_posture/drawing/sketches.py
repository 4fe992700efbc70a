"""Drawing on the still of each view, so that each measure can be seen.

The sketch of each measure is drawn as its record has it, the most important last and so on top, and only where its
label has room: so what is drawn is named, and what is named is drawn. Points are pixels of the full-size upright
picture. "Up" and "level" are the true ones, with the camera's roll taken out. A measure whose mark or number is missing
is left out here and explained in the table.
"""

import math
from collections.abc import Collection, Iterator, Mapping
from functools import cache
from typing import Any, Final, assert_never

import attrs
from attrs import frozen

from putt_posture.drawing.colours import PART_COLOURS
from putt_posture.drawing.sheet import REFERENCE, Sheet, Tag
from putt_posture.measures import MEASURES, Measure, Part, say_value, split_value
from putt_posture.measures.sketch import (
    AngleArc,
    Between,
    Beyond,
    Bracket,
    Direction,
    Dot,
    Drawn,
    Level,
    Mark,
    Middle,
    Place,
    Plumb,
    Pointer,
    Polyline,
    Ring,
    Shifted,
    Sketch,
    Trace,
)
from putt_posture.values import Point, Posture, Scene, View

__all__ = ["MOST_LABELS", "Pen", "midway", "sketch"]

Vector = tuple[float, float]
MOST_LABELS: Final = 7
"""More would hide the student; the table has them all."""


def midway(one: Point, two: Point, *, share: float = 0.5) -> Point:
    """Return the point that is `share` of the way from one to two.

    Parameters
    ----------
    one, two : Point
        In any one plane.
    share : float
        0 is `one`, 1 is `two`.
    """
    return one[0] + share * (two[0] - one[0]), one[1] + share * (two[1] - one[1])


@frozen(kw_only=True)
class Pen:
    """The surface and the points of a sketch.

    Attributes
    ----------
    sheet : Sheet
    marks : mapping of mark name to points
        Only marks with all their points; see `Posture.marks`.
    forward : {-1, +1}
        Sign of the picture's u toward the ball (down the line) or the target (face on).
    """

    sheet: Sheet
    marks: Mapping[str, tuple[Point, ...]]
    forward: int

    def knows(self, strokes: tuple[Drawn, ...] | Drawn | Place) -> bool:
        """Tell whether all marks of strokes or of a place are known.

        Parameters
        ----------
        strokes : tuple[Drawn, ...] | Drawn | Place
        """
        return all(name in self.marks and index < len(self.marks[name]) for name, index in _marks_of(strokes))

    @property
    def up(self) -> Vector:
        """The true vertical, upward."""
        return self.sheet.up

    @property
    def ahead(self) -> Vector:
        """The true level, toward the ball (down the line) or the target (face on)."""
        return self.forward * self.sheet.right[0], self.forward * self.sheet.right[1]

    def toward(self, *, ahead: float = 0.0, up: float = 0.0) -> Vector:
        """Return the direction of a step ahead and a step up.

        Parameters
        ----------
        ahead, up : float
            Shares; a direction has no length of its own.
        """
        return ahead * self.ahead[0] + up * self.up[0], ahead * self.ahead[1] + up * self.up[1]

    def place(self, place: Place) -> Point:
        """Return the point of a place of a sketch; its marks must be known.

        Parameters
        ----------
        place : Place
            Place in the record of a measure.
        """
        match place:
            case Mark(name, index):
                return self.marks[name][index]
            case Middle(name):
                return self.marks[name][len(self.marks[name]) // 2]
            case Between(one, two, share):
                return midway(self.place(one), self.place(two), share=share)
            case Plumb(point, level_with):
                (u, v), (other_u, other_v) = self.place(point), self.place(level_with)
                return _moved((u, v), self.toward(up=(other_u - u) * self.up[0] + (other_v - v) * self.up[1]))
            case Beyond(start, end, by):
                first, last = self.place(start), self.place(end)
                share = self._apart(by) / max(math.dist(first, last), 1e-9)
                return midway(first, last, share=1 + share)
            case Shifted(point, ahead, up, of):
                size = self.sheet.letters(1.0) if of is None else self._apart(of)
                return _moved(self.place(point), self.toward(ahead=ahead * size, up=up * size))
            case AngleArc():
                points = self._arc(place)
                return points[len(points) // 2]
        assert_never(place)

    def draw(self, stroke: Drawn, *, part: Part) -> None:
        """Draw one stroke of a sketch in the colour of a part; its marks must be known.

        Parameters
        ----------
        stroke : Drawn
        part : Part
            Part of the body, which gives the colour.
        """
        sheet, colour = self.sheet, PART_COLOURS[part]
        match stroke:
            case Polyline(points, width, dashed, reference):
                drawn = REFERENCE if reference else colour
                sheet.line(*map(self.place, points), colour=drawn, width=width, dashed=dashed)
            case Trace(mark, width):
                sheet.line(*self.marks[mark], colour=colour, width=width)
            case Dot(at, radius):
                sheet.dot(self.place(at), colour=colour, radius=radius)
            case Ring(at, radius):
                sheet.ring(self.place(at), colour=colour, radius=radius)
            case Bracket(one, two, width, tick, least):
                if not least or self._apart((one, two)) > sheet.letters(least):
                    sheet.bracket(self.place(one), self.place(two), colour=colour, width=width, tick=tick)
            case AngleArc():
                sheet.line(*self._arc(stroke), colour=colour, width=0.12)
            case Pointer(at):
                sheet.pointer(self.place(at), colour=colour)
            case _:
                assert_never(stroke)

    def _arc(self, arc: AngleArc) -> tuple[Point, ...]:
        start, end = self._direction(arc.start), self._direction(arc.end)
        return self.sheet.arc_points(self.place(arc.centre), start, end, radius=arc.share * self._apart(arc.of))

    def _direction(self, direction: Direction) -> Vector:
        if direction == "up":
            return self.up
        (u, v), (end_u, end_v) = self.place(direction.start), self.place(direction.end)
        way = end_u - u, end_v - v
        if isinstance(direction, Level):
            leans = way[0] * self.ahead[0] + way[1] * self.ahead[1]
            return self.toward(ahead=1.0 if leans > 0 else -1.0)
        return way

    def _apart(self, ends: tuple[Place, Place]) -> float:
        return math.dist(self.place(ends[0]), self.place(ends[1]))


def sketch(sheet: Sheet, *, view: View, posture: Posture, scene: Scene, without: Collection[str] = ()) -> None:
    """Draw the marks of one view on a sheet and ask for its labels, one for each measure that is drawn.

    Parameters
    ----------
    sheet : Sheet
    view : View
    posture : Posture
        Its `marks` of this view are drawn.
    scene : Scene
        For the side on which the ball or the target is.
    without : collection of str
        Names of measures that are left out, as there was no room for their labels.
    """
    marks = {
        name: points
        for name, points in posture.marks.get(view, {}).items()
        if points and all(math.isfinite(each) for point in points for each in point)
    }
    pen = Pen(sheet=sheet, marks=marks, forward=scene.forward)
    known = [
        (measure, how)
        for measure, how in _sketches(view)
        if measure.name not in without
        and _belongs(posture, measure, view)
        and pen.knows(how.strokes)
        and pen.knows(how.anchor)
    ]
    drawn = known[:MOST_LABELS]
    for measure, how in reversed(drawn):
        for stroke in (*how.strokes, *(each for each in how.more if pen.knows(each))):
            pen.draw(stroke, part=measure.part)
    for measure, how in drawn:
        sheet.tag(_tag(measure, how, pen, posture))


def _sketches(view: View) -> list[tuple[Measure, Sketch]]:
    """Return the measures that are drawn on the still of a view, the most important first."""
    found = [(each, each.sketches[view]) for each in MEASURES.values() if view in each.sketches]
    return sorted(found, key=lambda pair: pair[1].rank)


def _tag(measure: Measure, how: Sketch, pen: Pen, posture: Posture) -> Tag:
    ahead, up = how.wanted
    estimate = posture[measure.name]
    figure, side = split_value(measure, estimate, short=True)
    return Tag(
        name=measure.name,
        title=measure.title,
        figure=figure,
        side=side,
        said=f"{measure.title.lower()} {say_value(measure, estimate, short=not measure.signed, margin=True)}",
        anchor=pen.place(how.anchor),
        wanted=pen.toward(ahead=ahead, up=up),
        colour=PART_COLOURS[measure.part],
    )


def _belongs(posture: Posture, measure: Measure, view: View) -> bool:
    estimate = posture[measure.name]
    return bool(estimate) and estimate.view in (view, None)


def _moved(point: Point, by: Vector) -> Point:
    return point[0] + by[0], point[1] + by[1]


@cache
def _marks_of(drawn: tuple[Drawn, ...] | Drawn | Place) -> frozenset[tuple[str, int]]:
    """Return the marks that strokes or a place need, each with the index of its point."""
    return frozenset(_find_marks(drawn))


def _find_marks(drawn: Any) -> Iterator[tuple[str, int]]:
    match drawn:
        case Mark(name, index):
            yield name, index
        case Middle(name) | Trace(name, _):
            yield name, 0
        case tuple():
            for each in drawn:
                yield from _find_marks(each)
        case _ if attrs.has(type(drawn)):
            for each in attrs.fields(type(drawn)):
                yield from _find_marks(getattr(drawn, each.name))
