"""What is drawn on the still taken down the line."""

import math

from putt_posture.report.colours import PART_COLOURS
from putt_posture.report.pen import Pen, Wish, Wishes, draw_arm, draw_balance, draw_gap, midway

__all__ = ["draw_side"]


def draw_side(pen: Pen) -> Wishes:
    """Draw the marks of the side view, the main ones last and so on top; return what wants a label."""
    wishes = _back(pen) | _leg(pen)
    draw_arm(pen, "near_arm")
    wishes |= draw_gap(pen, "elbow_gap", measure="elbow_gap_trail", wanted=pen.toward(ahead=0.4, up=0.2))
    wishes |= _shaft(pen) | _eyes_over_ball(pen) | _head(pen) | _foot(pen)
    return wishes | _spine(pen) | _hands(pen)


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


def _shaft(pen: Pen) -> Wishes:
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
