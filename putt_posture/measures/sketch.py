"""How a measure is drawn on a still, as plain values: points, lines and arcs, and where its label is.

A point is a mark of `Posture.marks` or is made from others. `putt_posture.drawing.sketches` puts in the marks of a
lesson and draws them. "Up" and "level" are the true ones, with the camera's roll taken out; "ahead" is level, toward
the ball (down the line) or the target (face on). Lengths on the still are heights of a label's letters, so that it
looks the same at every size.
"""

from typing import Literal

from attrs import frozen

__all__ = [
    "AngleArc",
    "Between",
    "Beyond",
    "Bracket",
    "Direction",
    "Dot",
    "Drawn",
    "Level",
    "Mark",
    "Middle",
    "Place",
    "Plumb",
    "Pointer",
    "Polyline",
    "Ring",
    "Shifted",
    "Sketch",
    "Trace",
    "Way",
]


@frozen
class Mark:
    """A point of a mark of `Posture.marks`; `index` counts from 0."""

    name: str
    index: int = 0


@frozen
class Middle:
    """The point in the middle of a mark with many points."""

    name: str


@frozen
class Between:
    """The point that is `share` of the way from one to the other."""

    one: "Place"
    two: "Place"
    share: float = 0.5


@frozen
class Plumb:
    """The point on the plumb line through `point` that is level with another."""

    point: "Place"
    level_with: "Place"


@frozen
class Beyond:
    """The point beyond `end` on the line from `start`, as far as one of `by` is from the other."""

    start: "Place"
    end: "Place"
    by: tuple["Place", "Place"]


@frozen
class Shifted:
    """A point moved ahead and up, by heights of letters or, where `of` is given, by lengths from one to the other."""

    point: "Place"
    ahead: float = 0.0
    up: float = 0.0
    of: "tuple[Place, Place] | None" = None


@frozen
class Way:
    """The direction from one point to another."""

    start: "Place"
    end: "Place"


@frozen
class Level:
    """The level direction toward the side on which `end` lies from `start`."""

    start: "Place"
    end: "Place"


Direction = Way | Level | Literal["up"]


@frozen
class Polyline:
    """A line through points; white where it is a `reference`, else in the colour of the part."""

    points: tuple["Place", ...]
    width: float
    dashed: bool = False
    reference: bool = False


@frozen
class Trace:
    """A line through all points of a mark."""

    mark: str
    width: float


@frozen
class Dot:
    """A key point, which no label covers."""

    at: "Place"
    radius: float = 0.2


@frozen
class Ring:
    """A ring around something small."""

    at: "Place"
    radius: float = 0.5


@frozen
class Bracket:
    """A line with a tick across at each end, for a distance; left out where they are no farther apart than `least`."""

    one: "Place"
    two: "Place"
    width: float = 0.15
    tick: float = 0.45
    least: float = 0.0


@frozen
class AngleArc:
    """The smaller arc around a point from one direction to another; as a place, it is the arc's middle.

    Its radius is `share` of the way from one of `of` to the other.
    """

    centre: "Place"
    start: Direction
    end: Direction
    share: float
    of: tuple["Place", "Place"]


@frozen
class Pointer:
    """A triangle below a point that points up at it."""

    at: "Place"


Place = Mark | Middle | Between | Plumb | Beyond | Shifted | AngleArc
Drawn = Polyline | Trace | Dot | Ring | Bracket | AngleArc | Pointer


@frozen(kw_only=True)
class Sketch:
    """How a measure is drawn on the still of one view; it is drawn where its label finds room, and else left out.

    Attributes
    ----------
    rank : int
        Priority of its label where there is not room for all; 1 comes first, and is drawn last, on top.
    strokes : tuple of Drawn
        Drawn where all of their marks are known.
    anchor : Place
        Where the label points.
    wanted : (float, float)
        The best direction of the label: ahead, up.
    more : tuple of Drawn
        Each drawn where the sketch is and its own marks are known as well.
    """

    rank: int
    strokes: tuple[Drawn, ...]
    anchor: Place
    wanted: tuple[float, float]
    more: tuple[Drawn, ...] = ()
