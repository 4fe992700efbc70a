"""What is drawn on the still of each view: the marks of the posture, joined up so that each measure can be seen.

Points are pixels of the full-size upright picture. "Up" and "level" are the true ones, with the camera's roll taken
out. A measure whose mark or number is missing is left out here and explained in the table.
"""

import math
from collections.abc import Callable, Mapping
from typing import Final

from attrs import frozen

from putt_posture.report.colours import PART_COLOURS
from putt_posture.report.figures import format_margin
from putt_posture.report.sheet import REFERENCE, Sheet, Tag
from putt_posture.report.wording import WORDS
from putt_posture.values import MeasureName, Point, Posture, Scene, View

__all__ = ["MOST_LABELS", "ORDER", "sketch"]

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

Direction = tuple[float, float]
Marks = Mapping[str, tuple[Point, ...]]


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
    pen = _Pen(sheet=sheet, marks=marks, forward=scene.forward)
    wishes: dict[MeasureName, _Wish] = {}
    for draw in _SKETCHES[view]:
        wishes |= draw(pen)
    present = [name for name in ORDER[view] if name in wishes and _belongs(posture, name, view)]
    for name in present[:MOST_LABELS]:
        words, wish = WORDS[name], wishes[name]
        figure = format_margin(posture[name], signed=bool(words.plus))
        sheet.tag(
            Tag(name=name, title=words.short, figure=figure, anchor=wish.anchor, wanted=wish.wanted,
                colour=PART_COLOURS[words.part])
        )  # fmt: skip


def _belongs(posture: Posture, name: MeasureName, view: View) -> bool:
    estimate = posture[name]
    return bool(estimate) and estimate.view in (view, None)


@frozen(kw_only=True)
class _Wish:
    """Where a label points, and the direction in which it would best stand."""

    anchor: Point
    wanted: Direction


@frozen(kw_only=True)
class _Pen:
    """A sheet with the marks to draw on it and the true directions."""

    sheet: Sheet
    marks: Marks
    forward: int

    def has(self, *names: str) -> bool:
        return all(name in self.marks for name in names)

    @property
    def up(self) -> Direction:
        return self.sheet.up

    @property
    def ahead(self) -> Direction:
        """Level, toward the ball (down the line) or the target (face on)."""
        return self.forward * self.sheet.right[0], self.forward * self.sheet.right[1]

    def toward(self, *, ahead: float = 0.0, up: float = 0.0) -> Direction:
        return ahead * self.ahead[0] + up * self.up[0], ahead * self.ahead[1] + up * self.up[1]

    def shift(self, point: Point, *, ahead: float = 0.0, up: float = 0.0) -> Point:
        """Move a point by true horizontal and vertical pixels."""
        du, dv = self.toward(ahead=ahead, up=up)
        return point[0] + du, point[1] + dv

    def above(self, point: Point, other: Point) -> float:
        """Return how far `other` is above `point` along the true vertical, pixels."""
        return (other[0] - point[0]) * self.up[0] + (other[1] - point[1]) * self.up[1]

    def level_with(self, point: Point, other: Point) -> Point:
        """Return the place on the plumb line through `point` that is level with `other`."""
        return self.shift(point, up=self.above(point, other))


Wishes = dict[MeasureName, _Wish]


def _spine_down_the_line(pen: _Pen) -> Wishes:
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
    return {"spine_tilt": _Wish(anchor=middle, wanted=pen.toward(ahead=-0.6, up=1))}


def _back(pen: _Pen) -> Wishes:
    if not pen.has("back"):
        return {}
    back, colour = pen.marks["back"], PART_COLOURS["trunk"]
    pen.sheet.line(*back, colour=colour, width=0.08)
    if pen.has("back_tangents") and len(pen.marks["back_tangents"]) == 4:
        low, low_end, high, high_end = pen.marks["back_tangents"]
        pen.sheet.line(low, low_end, dashed=True, width=0.08)
        pen.sheet.line(high, high_end, dashed=True, width=0.08)
    return {"back_rounding": _Wish(anchor=back[len(back) // 2], wanted=pen.toward(ahead=-1))}


def _hands(pen: _Pen) -> Wishes:
    if not pen.has("spine", "hands"):
        return {}
    shoulder, hands = pen.marks["spine"][1], pen.marks["hands"][0]
    colour = PART_COLOURS["arms"]
    under = pen.level_with(shoulder, hands)
    below = pen.shift(under, up=-pen.sheet.letters(2.0))
    pen.sheet.line(shoulder, below, dashed=True, width=0.13)
    pen.sheet.bracket(under, hands, colour=colour, width=0.17, tick=0.55)
    middle = ((under[0] + hands[0]) / 2, (under[1] + hands[1]) / 2)
    return {"hand_offset": _Wish(anchor=middle, wanted=pen.toward(ahead=1))}


def _arms(pen: _Pen) -> Wishes:
    wishes: Wishes = {}
    colour = PART_COLOURS["arms"]
    for name in ("near_arm", "lead_arm", "trail_arm"):
        if pen.has(name):
            arm = pen.marks[name]
            pen.sheet.line(*arm, colour=colour, width=0.1)
            pen.sheet.dot(arm[1], colour=colour, radius=0.16)
    gaps: Mapping[str, tuple[MeasureName, Direction]] = {
        "elbow_gap": ("elbow_gap_trail", pen.toward(ahead=0.4, up=0.2)),
        "elbow_gap_lead": ("elbow_gap_lead", pen.toward(ahead=1)),
        "elbow_gap_trail": ("elbow_gap_trail", pen.toward(ahead=-1)),
    }
    for mark, (measure, wanted) in gaps.items():
        if pen.has(mark):
            elbow, ribs = pen.marks[mark]
            pen.sheet.bracket(elbow, ribs, colour=colour, width=0.17)
            middle = ((elbow[0] + ribs[0]) / 2, (elbow[1] + ribs[1]) / 2)
            wishes[measure] = _Wish(anchor=middle, wanted=wanted)
    return wishes


def _head_down_the_line(pen: _Pen) -> Wishes:
    if not pen.has("head", "spine"):
        return {}
    shoulder, ear = pen.marks["head"]
    hip = pen.marks["spine"][0]
    colour = PART_COLOURS["head"]
    along = (shoulder[0] - hip[0], shoulder[1] - hip[1])
    reach = math.hypot(ear[0] - shoulder[0], ear[1] - shoulder[1])
    share = reach / max(math.hypot(*along), 1e-9)
    pen.sheet.line(shoulder, (shoulder[0] + along[0] * share, shoulder[1] + along[1] * share), dashed=True, width=0.08)
    pen.sheet.line(shoulder, ear, colour=colour, width=0.13)
    middle = pen.sheet.arc(
        shoulder, along, (ear[0] - shoulder[0], ear[1] - shoulder[1]), radius=0.75 * reach, colour=colour
    )
    pen.sheet.dot(ear, colour=colour, radius=0.16)
    return {"head_drop": _Wish(anchor=middle, wanted=pen.toward(ahead=0.6, up=1))}


def _near_leg(pen: _Pen) -> Wishes:
    if not pen.has("near_leg"):
        return {}
    leg, colour = pen.marks["near_leg"], PART_COLOURS["legs"]
    pen.sheet.line(*leg, colour=colour, width=0.13)
    for joint in leg[1:]:
        pen.sheet.dot(joint, colour=colour, radius=0.18)
    return {"knee_flex": _Wish(anchor=leg[1], wanted=pen.toward(ahead=-1))}


def _legs_face_on(pen: _Pen) -> Wishes:
    colour = PART_COLOURS["legs"]
    for name in ("lead_leg", "trail_leg"):
        if pen.has(name):
            pen.sheet.line(*pen.marks[name], colour=colour, width=0.08)
    if not pen.has("ankles"):
        return {}
    trail, lead = pen.marks["ankles"]
    for ankle in (trail, lead):
        pen.sheet.dot(ankle, colour=colour, radius=0.16)
    level = pen.level_with(lead, trail)
    pen.sheet.bracket(trail, level, colour=colour)
    anchor = trail[0] + 0.25 * (level[0] - trail[0]), trail[1] + 0.25 * (level[1] - trail[1])
    return {"stance_width": _Wish(anchor=anchor, wanted=pen.toward(ahead=-1))}


def _balance_down_the_line(pen: _Pen) -> Wishes:
    colour = PART_COLOURS["balance"]
    if pen.has("foot"):
        heel, toe = pen.marks["foot"]
        pen.sheet.bracket(heel, toe, colour=colour, tick=0.3)
    return {"balance": _balance(pen, wanted=pen.toward(ahead=-0.7, up=-1))} if pen.has("balance") else {}


def _balance_face_on(pen: _Pen) -> Wishes:
    return {"sideways_balance": _balance(pen, wanted=pen.toward(ahead=0.7, up=-1))} if pen.has("balance") else {}


def _balance(pen: _Pen, *, wanted: Direction) -> _Wish:
    mass, ground = pen.marks["balance"]
    colour = PART_COLOURS["balance"]
    pen.sheet.line(mass, ground, colour=colour, dashed=True, width=0.07)
    pen.sheet.ring(mass, colour=colour, radius=0.28)
    pen.sheet.pointer(ground, colour=colour)
    return _Wish(anchor=pen.shift(ground, up=-pen.sheet.letters(0.8)), wanted=wanted)


def _eyes_and_ball(pen: _Pen) -> Wishes:
    wishes: Wishes = {}
    if pen.has("ball"):
        pen.sheet.ring(pen.marks["ball"][0], colour=PART_COLOURS["club"])
    if pen.has("eyes", "ball"):
        eyes, ball = pen.marks["eyes"][0], pen.marks["ball"][0]
        colour = PART_COLOURS["head"]
        over = pen.shift(pen.level_with(eyes, ball), up=pen.sheet.letters(1.2))
        pen.sheet.line(eyes, over, colour=colour, dashed=True, width=0.07)
        pen.sheet.bracket(pen.shift(ball, up=pen.sheet.letters(1.2)), over, colour=colour, tick=0.35)
        wish = _Wish(anchor=over, wanted=pen.toward(ahead=1, up=0.4))
        wishes |= {"eye_offset": wish, "head_position": wish}
    if pen.has("ankles", "ball"):
        trail, lead = pen.marks["ankles"]
        ball = pen.marks["ball"][0]
        colour = PART_COLOURS["club"]
        middle = ((trail[0] + lead[0]) / 2, (trail[1] + lead[1]) / 2)
        foot = pen.shift(pen.level_with(middle, ball), up=-pen.sheet.letters(1.0))
        pen.sheet.line(middle, foot, colour=REFERENCE, dashed=True, width=0.07)
        under = pen.shift(ball, up=-pen.sheet.letters(1.0))
        pen.sheet.bracket(foot, under, colour=colour, tick=0.35)
        wishes["ball_position"] = _Wish(anchor=under, wanted=pen.toward(ahead=1, up=-0.5))
    return wishes


def _shaft_down_the_line(pen: _Pen) -> Wishes:
    if not pen.has("shaft"):
        return {}
    butt, sole = pen.marks["shaft"]
    colour = PART_COLOURS["club"]
    along = (butt[0] - sole[0], butt[1] - sole[1])
    reach = 0.18 * math.hypot(*along)
    pen.sheet.line(butt, sole, colour=colour, width=0.1)
    lean = along[0] * pen.ahead[0] + along[1] * pen.ahead[1]
    level = pen.toward(ahead=1.0 if lean > 0 else -1.0)
    middle = pen.sheet.arc(sole, level, along, radius=reach, colour=colour)
    return {"shaft_lie": _Wish(anchor=middle, wanted=pen.toward(ahead=-1, up=0.4))}


def _shaft_face_on(pen: _Pen) -> Wishes:
    if not pen.has("shaft"):
        return {}
    butt, sole = pen.marks["shaft"]
    colour = PART_COLOURS["club"]
    pen.sheet.line(butt, sole, colour=colour, width=0.1)
    pen.sheet.line(sole, pen.level_with(sole, butt), dashed=True, width=0.07)
    return {"shaft_lean": _Wish(anchor=((butt[0] + sole[0]) / 2, (butt[1] + sole[1]) / 2), wanted=pen.toward(ahead=1))}


def _trunk_face_on(pen: _Pen) -> Wishes:
    wishes: Wishes = {}
    colour = PART_COLOURS["trunk"]
    if pen.has("spine"):
        hip, shoulder = pen.marks["spine"]
        pen.sheet.line(hip, pen.level_with(hip, shoulder), dashed=True, width=0.08)
        pen.sheet.line(hip, shoulder, colour=colour, width=0.16)
        pen.sheet.dot(hip, colour=colour, radius=0.16)
        wishes["side_bend"] = _Wish(anchor=((hip[0] + shoulder[0]) / 2, (hip[1] + shoulder[1]) / 2),
                                    wanted=pen.toward(ahead=-1))  # fmt: skip
    if pen.has("shoulders"):
        one, two = pen.marks["shoulders"]
        trail, lead = sorted((one, two), key=lambda point: point[0] * pen.forward)
        half = ((trail[0] + lead[0]) / 2, (trail[1] + lead[1]) / 2)
        reach = 0.62 * math.hypot(lead[0] - trail[0], lead[1] - trail[1])
        pen.sheet.line(pen.shift(half, ahead=-reach), pen.shift(half, ahead=reach), dashed=True, width=0.11)
        pen.sheet.line(trail, lead, colour=colour, width=0.22)
        for shoulder in (trail, lead):
            pen.sheet.dot(shoulder, colour=colour)
        wishes["shoulder_level"] = _Wish(anchor=lead, wanted=pen.toward(ahead=0.8, up=1))
    return wishes


_SKETCHES: Final[Mapping[View, tuple[Callable[[_Pen], Wishes], ...]]] = {
    "down_the_line": (
        _back, _near_leg, _arms, _shaft_down_the_line, _eyes_and_ball, _head_down_the_line, _balance_down_the_line,
        _spine_down_the_line, _hands,
    ),
    "face_on": (_legs_face_on, _arms, _shaft_face_on, _eyes_and_ball, _balance_face_on, _trunk_face_on),
}  # fmt: skip
