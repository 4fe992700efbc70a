"""What is drawn on the still of each view, so that each measure can be seen.

Points are pixels of the full-size upright picture. "Up" and "level" are the true ones, with the camera's roll taken
out.

Points are pixels of the full-size upright picture. "Up" and "level" are the true ones, with the camera's roll taken
out. A measure whose mark or number is missing is left out here and explained in the table.
"""

import math
from collections.abc import Callable, Mapping
from typing import Final

from attrs import frozen

from putt_posture.drawing.colours import PART_COLOURS
from putt_posture.drawing.sheet import Sheet, Tag
from putt_posture.figures import format_imperial, format_margin
from putt_posture.values import MeasureName, Point, Posture, Scene, View
from putt_posture.wording import WORDS

__all__ = [
    "MOST_LABELS",
    "ORDER",
    "Direction",
    "Pen",
    "Wish",
    "Wishes",
    "draw_arm",
    "draw_balance",
    "draw_front",
    "draw_gap",
    "draw_side",
    "midway",
    "sketch",
]

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


MOST_LABELS: Final = 7
"""More would hide the student; the table has them all."""
ORDER: Final[Mapping[View, tuple[MeasureName, ...]]] = {
    "down_the_line": (
        "spine_tilt", "hand_offset", "elbow_gap_trail", "balance", "eye_offset", "knee_flex", "shaft_lie", "head_drop",
        "back_rounding",
    ),
    "face_on": (
        "elbow_gap_lead", "elbow_gap_trail", "shoulder_level", "stance_width", "sideways_balance", "ball_position",
        "side_bend", "shaft_lean", "head_position",
    ),
}  # fmt: skip
"""Which measures get a label where there is room, the most important first."""


def draw_front(pen: Pen) -> Wishes:
    """Draw the marks of the front view, the main ones last and so on top; return what wants a label."""
    wishes = _stance(pen)
    draw_arm(pen, "lead_arm")
    draw_arm(pen, "trail_arm")
    wishes |= draw_gap(pen, "elbow_gap_lead", measure="elbow_gap_lead", wanted=pen.toward(ahead=1))
    wishes |= draw_gap(pen, "elbow_gap_trail", measure="elbow_gap_trail", wanted=pen.toward(ahead=-1))
    wishes |= _front_shaft(pen) | _ball(pen)
    wishes |= draw_balance(pen, measure="sideways_balance", wanted=pen.toward(ahead=0.7, up=-1))
    return wishes | _side_bend(pen) | _shoulders(pen)


def draw_side(pen: Pen) -> Wishes:
    """Draw the marks of the side view, the main ones last and so on top; return what wants a label."""
    wishes = _back(pen) | _leg(pen)
    draw_arm(pen, "near_arm")
    wishes |= draw_gap(pen, "elbow_gap", measure="elbow_gap_trail", wanted=pen.toward(ahead=0.4, up=0.2))
    wishes |= _side_shaft(pen) | _eyes_over_ball(pen) | _head(pen) | _foot(pen)
    return wishes | _spine(pen) | _hands(pen)


_DRAW: Final[Mapping[View, Callable[[Pen], Wishes]]] = {"down_the_line": draw_side, "face_on": draw_front}


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


def sketch(sheet: Sheet, *, view: View, posture: Posture, scene: Scene) -> None:
    """Draw the marks of one view on a sheet and ask for its labels.

    Parameters
    ----------
    sheet : Sheet
    view : View
    posture : Posture
        Its `marks` of this view are drawn.
    scene : Scene
        For the side on which the ball or the target is.
    """
    marks = {
        name: points
        for name, points in posture.marks.get(view, {}).items()
        if points and all(math.isfinite(each) for point in points for each in point)
    }
    present = tuple(name for name in ORDER[view] if _belongs(posture, name, view))
    pen = Pen(sheet=sheet, marks=marks, forward=scene.forward, shown=frozenset(present[:MOST_LABELS]))
    wishes = _DRAW[view](pen)
    for name in [name for name in present if name in wishes][:MOST_LABELS]:
        words, wish = WORDS[name], wishes[name]
        figure = format_margin(posture[name], signed=bool(words.plus))
        more = ""
        if name == "putter_length":  # as putters are sold, and beside it in the unit of the other lengths
            figure, more = format_imperial(posture[name]), figure
        sheet.tag(
            Tag(name=name, title=words.short, figure=figure, more=more, anchor=wish.anchor, wanted=wish.wanted,
                colour=PART_COLOURS[words.part])
        )  # fmt: skip


def _stance(pen: Pen) -> Wishes:
    colour = PART_COLOURS["legs"]
    for name in ("lead_leg", "trail_leg"):
        if pen.has(name):
            pen.sheet.line(*pen.marks[name], colour=colour, width=0.08)
    if not pen.has("ankles"):
        return {}
    trail, lead = pen.marks["ankles"]
    for ankle in (trail, lead):
        pen.sheet.dot(ankle, colour=colour, radius=0.16)
    level = pen.plumb(lead, trail)
    pen.sheet.bracket(trail, level, colour=colour)
    return {"stance_width": Wish(anchor=midway(trail, level, share=0.25), wanted=pen.toward(ahead=-1))}


def _ball(pen: Pen) -> Wishes:
    if not pen.has("ball"):
        return {}
    wishes: Wishes = {}
    ball = pen.marks["ball"][0]
    pen.sheet.ring(ball, colour=PART_COLOURS["club"])
    if pen.has("eyes") and "head_position" in pen.shown:
        eyes, colour = pen.marks["eyes"][0], PART_COLOURS["head"]
        above_ball = pen.shift(ball, up=pen.sheet.letters(1.2))
        over = pen.plumb(eyes, above_ball)
        pen.sheet.line(eyes, over, colour=colour, dashed=True, width=0.07)
        pen.sheet.bracket(above_ball, over, colour=colour, tick=0.35)
        wishes["head_position"] = Wish(anchor=midway(above_ball, over), wanted=pen.toward(ahead=1, up=0.4))
    if pen.has("ankles") and "ball_position" in pen.shown:
        middle = midway(*pen.marks["ankles"])
        under_ball = pen.shift(ball, up=-pen.sheet.letters(1.0))
        foot = pen.plumb(middle, under_ball)
        pen.sheet.line(middle, foot, dashed=True, width=0.07)
        pen.sheet.bracket(foot, under_ball, colour=PART_COLOURS["club"], tick=0.35)
        wishes["ball_position"] = Wish(anchor=midway(foot, under_ball), wanted=pen.toward(ahead=1, up=-0.5))
    return wishes


def _front_shaft(pen: Pen) -> Wishes:
    if not pen.has("shaft"):
        return {}
    butt, sole = pen.marks["shaft"]
    pen.sheet.line(butt, sole, colour=PART_COLOURS["club"], width=0.1)
    if "shaft_lean" in pen.shown:
        pen.sheet.line(sole, pen.plumb(sole, butt), dashed=True, width=0.07)
    return {"shaft_lean": Wish(anchor=midway(butt, sole), wanted=pen.toward(ahead=1))}


def _side_bend(pen: Pen) -> Wishes:
    if not pen.has("spine"):
        return {}
    hip, shoulder = pen.marks["spine"]
    colour = PART_COLOURS["trunk"]
    pen.sheet.line(hip, pen.plumb(hip, shoulder), dashed=True, width=0.08)
    pen.sheet.line(hip, shoulder, colour=colour, width=0.16)
    pen.sheet.dot(hip, colour=colour, radius=0.16)
    return {"side_bend": Wish(anchor=midway(hip, shoulder), wanted=pen.toward(ahead=-1))}


def _shoulders(pen: Pen) -> Wishes:
    if not pen.has("shoulders"):
        return {}
    colour = PART_COLOURS["trunk"]
    trail, lead = pen.marks["shoulders"]
    middle, reach = midway(trail, lead), 0.62 * math.dist(trail, lead)
    pen.sheet.line(pen.shift(middle, ahead=-reach), pen.shift(middle, ahead=reach), dashed=True, width=0.11)
    pen.sheet.line(trail, lead, colour=colour, width=0.22)
    for shoulder in (trail, lead):
        pen.sheet.dot(shoulder, colour=colour)
    return {"shoulder_level": Wish(anchor=lead, wanted=pen.toward(ahead=0.8, up=1))}


def _spine(pen: Pen) -> Wishes:
    if not pen.has("spine"):
        return {}
    hip, shoulder = pen.marks["spine"]
    colour = PART_COLOURS["trunk"]
    direction = (shoulder[0] - hip[0], shoulder[1] - hip[1])
    length = math.hypot(*direction)
    pen.sheet.line(hip, pen.shift(hip, up=1.05 * length), dashed=True, width=0.11)
    pen.sheet.line(hip, shoulder, colour=colour, width=0.22)
    middle = pen.sheet.arc(hip, pen.up, direction, radius=0.72 * length, colour=colour)
    pen.sheet.dot(hip, colour=colour)
    pen.sheet.dot(shoulder, colour=colour)
    return {"spine_tilt": Wish(anchor=middle, wanted=pen.toward(ahead=-0.6, up=1))}


def _back(pen: Pen) -> Wishes:
    if not pen.has("back"):
        return {}
    back = pen.marks["back"]
    pen.sheet.line(*back, colour=PART_COLOURS["trunk"], width=0.08)
    if pen.has("back_tangents") and len(pen.marks["back_tangents"]) == 4:
        low, low_end, high, high_end = pen.marks["back_tangents"]
        pen.sheet.line(low, low_end, dashed=True, width=0.08)
        pen.sheet.line(high, high_end, dashed=True, width=0.08)
    return {"back_rounding": Wish(anchor=back[len(back) // 2], wanted=pen.toward(ahead=-1))}


def _hands(pen: Pen) -> Wishes:
    if not pen.has("spine", "hands"):
        return {}
    shoulder, hands = pen.marks["spine"][1], pen.marks["hands"][0]
    under = pen.plumb(shoulder, hands)
    pen.sheet.line(shoulder, pen.shift(under, up=-pen.sheet.letters(2.0)), dashed=True, width=0.13)
    pen.sheet.bracket(under, hands, colour=PART_COLOURS["arms"], width=0.17, tick=0.55)
    return {"hand_offset": Wish(anchor=midway(under, hands), wanted=pen.toward(ahead=1))}


def _head(pen: Pen) -> Wishes:
    if not pen.has("head", "spine"):
        return {}
    shoulder, ear = pen.marks["head"]
    hip = pen.marks["spine"][0]
    colour = PART_COLOURS["head"]
    along = (shoulder[0] - hip[0], shoulder[1] - hip[1])
    upward = (ear[0] - shoulder[0], ear[1] - shoulder[1])
    reach = math.hypot(*upward)
    share = reach / max(math.hypot(*along), 1e-9)
    pen.sheet.line(shoulder, midway(hip, shoulder, share=1 + share), dashed=True, width=0.08)
    pen.sheet.line(shoulder, ear, colour=colour, width=0.13)
    middle = pen.sheet.arc(shoulder, along, upward, radius=0.75 * reach, colour=colour)
    pen.sheet.dot(ear, colour=colour, radius=0.16)
    return {"head_drop": Wish(anchor=middle, wanted=pen.toward(ahead=0.6, up=1))}


def _leg(pen: Pen) -> Wishes:
    if not pen.has("near_leg"):
        return {}
    leg, colour = pen.marks["near_leg"], PART_COLOURS["legs"]
    pen.sheet.line(*leg, colour=colour, width=0.13)
    for joint in leg[1:]:
        pen.sheet.dot(joint, colour=colour, radius=0.18)
    return {"knee_flex": Wish(anchor=leg[1], wanted=pen.toward(ahead=-1))}


def _foot(pen: Pen) -> Wishes:
    if pen.has("foot"):
        pen.sheet.bracket(*pen.marks["foot"], colour=PART_COLOURS["balance"], tick=0.3)
    return draw_balance(pen, measure="balance", wanted=pen.toward(ahead=-0.7, up=-1))


def _eyes_over_ball(pen: Pen) -> Wishes:
    if not pen.has("ball"):
        return {}
    ball = pen.marks["ball"][0]
    pen.sheet.ring(ball, colour=PART_COLOURS["club"])
    if not pen.has("eyes") or "eye_offset" not in pen.shown:
        return {}
    eyes, colour = pen.marks["eyes"][0], PART_COLOURS["head"]
    above_ball = pen.shift(ball, up=pen.sheet.letters(1.2))
    over = pen.plumb(eyes, above_ball)
    pen.sheet.line(eyes, over, colour=colour, dashed=True, width=0.07)
    pen.sheet.bracket(above_ball, over, colour=colour, tick=0.35)
    return {"eye_offset": Wish(anchor=midway(above_ball, over), wanted=pen.toward(ahead=1, up=0.4))}


def _side_shaft(pen: Pen) -> Wishes:
    if not pen.has("shaft"):
        return {}
    butt, sole = pen.marks["shaft"]
    colour = PART_COLOURS["club"]
    along = (butt[0] - sole[0], butt[1] - sole[1])
    pen.sheet.line(butt, sole, colour=colour, width=0.1)
    lean = along[0] * pen.ahead[0] + along[1] * pen.ahead[1]
    level = pen.toward(ahead=1.0 if lean > 0 else -1.0)
    middle = pen.sheet.arc(sole, level, along, radius=0.18 * math.hypot(*along), colour=colour)
    return {"shaft_lie": Wish(anchor=middle, wanted=pen.toward(ahead=-1, up=0.4))}


def _belongs(posture: Posture, name: MeasureName, view: View) -> bool:
    estimate = posture[name]
    return bool(estimate) and estimate.view in (view, None)
