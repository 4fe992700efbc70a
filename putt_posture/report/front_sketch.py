"""What is drawn on the still taken face on."""

import math

from putt_posture.report.colours import PART_COLOURS
from putt_posture.report.pen import Pen, Wish, Wishes, draw_arm, draw_balance, draw_gap, midway

__all__ = ["draw_front"]


def draw_front(pen: Pen) -> Wishes:
    """Draw the marks of the front view, the main ones last and so on top; return what wants a label."""
    wishes = _stance(pen)
    draw_arm(pen, "lead_arm")
    draw_arm(pen, "trail_arm")
    wishes |= draw_gap(pen, "elbow_gap_lead", measure="elbow_gap_lead", wanted=pen.toward(ahead=1))
    wishes |= draw_gap(pen, "elbow_gap_trail", measure="elbow_gap_trail", wanted=pen.toward(ahead=-1))
    wishes |= _shaft(pen) | _ball(pen)
    wishes |= draw_balance(pen, measure="sideways_balance", wanted=pen.toward(ahead=0.7, up=-1))
    return wishes | _side_bend(pen) | _shoulders(pen)


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


def _shaft(pen: Pen) -> Wishes:
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
