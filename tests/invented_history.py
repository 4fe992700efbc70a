"""Invented histories: how a student's measures went, and putts on a practice green. Nobody real is meant."""

import math
from datetime import date, timedelta

import numpy as np

from putt_posture.changes import control_family, weigh_change
from putt_posture.measures import MEASURES
from putt_posture.setup_arc import find_make_probability
from putt_posture.values import Changes, Estimate, History, Measured, PracticeTest, PuttCount, Visit, absent

START = date(2025, 11, 3)

FIRST = {
    "spine_tilt": 24.0, "back_rounding": 34.0, "head_drop": 12.0, "knee_flex": 22.0, "elbow_bend_lead": 38.0,
    "elbow_bend_trail": 41.0, "hand_offset": 9.0, "hand_height": 78.0, "elbow_gap_lead": 6.0, "elbow_gap_trail": 7.0,
    "elbow_depth": 5.0, "eye_offset": -6.0, "ball_distance": 31.0, "balance": 58.0, "shaft_lie": 67.0,
    "putter_length": 90.2, "stance_width": 34.0, "ball_position": 4.0, "shoulder_level": 3.0, "side_bend": 2.0,
    "head_position": -2.0, "shaft_lean": 1.0, "sideways_balance": 51.0,
}  # fmt: skip
REBUILT = FIRST | {
    "spine_tilt": 36.0, "back_rounding": 22.0, "hand_offset": 1.0, "hand_height": 70.0, "elbow_depth": -1.0,
    "eye_offset": -1.0, "shaft_lie": 71.0, "putter_length": 85.1, "elbow_bend_lead": 22.0, "ball_distance": 26.0,
}  # fmt: skip
NOISE = {"deg": 1.6, "cm": 1.0, "%": 3.5}


def part_way(share):
    """Return the measures `share` of the way from the first setup to the rebuilt one."""
    return {name: FIRST[name] + share * (REBUILT[name] - FIRST[name]) for name in MEASURES}


def measured(values, *, noise=1.0, seed=0, without=()):
    drawn = np.random.default_rng(seed)
    found = {}
    for name, measure in MEASURES.items():
        unit, views = measure.unit, measure.views
        u = noise * NOISE[unit]
        value = values[name] + 0.4 * u * float(drawn.standard_normal())
        found[name] = (
            absent("No clip of this view was given.", unit=unit)
            if name in without or set(views) & set(without)
            else Estimate(value=value, standard_uncertainty=u, unit=unit, view=views[0], frames=15, method="landmarks")
        )
    return Measured(measures=found, scale_sources={"down_the_line": "stature", "face_on": "stature"})


def visit(lesson, day, moment, values, *, putter=None, suggested=85.1, without=(), coach="", place=""):
    return Visit(
        lesson=lesson, day=day, moment=moment, measured=measured(values, seed=lesson, without=without),
        putter_in_use_cm=putter, coach=coach, place=place,
        suggested=Estimate(value=suggested, standard_uncertainty=1.2, unit="cm")
        if suggested
        else absent("No hands.", unit="cm"),
    )  # fmt: skip


def practice(day, sigma, *, tried=20, feet=(3, 6, 10, 15), seed=1, note=""):
    drawn = np.random.default_rng(seed)
    counts = []
    for each in feet:
        chance = float(find_make_probability(each * 30.48, sigma_deg=sigma))
        counts.append(PuttCount(distance_cm=each * 30.48, tried=tried, holed=int(drawn.binomial(tried, chance))))
    return PracticeTest(day=day, counts=tuple(counts), note=note)


def one_visit(**more):
    return History(name="Robin Example", visits=(visit(1, START, "before", FIRST, putter=90.2),), **more)


def one_day(**more):
    visits = (
        visit(1, START, "before", FIRST, putter=90.2, coach="Coach One", place="Putting studio"),
        visit(2, START, "after", REBUILT, putter=85.1, coach="Coach One", place="Putting studio"),
    )
    return History(name="Robin Example", visits=visits, **more)


def drift(**more):
    """Return six visits over a year: rebuilt at the second, part of it gone back at the end."""
    shares = [0.0, 1.0, 0.95, 0.85, 0.6, 0.45]
    days = [0, 0, 45, 120, 250, 365]
    moments = ["before", "after", "check", "check", "check", "check"]
    visits = []
    for place, (share, after, moment) in enumerate(zip(shares, days, moments, strict=True)):
        values = part_way(share) | {"hand_height": (78.0, 70.0)[place > 0], "putter_length": (90.2, 85.1)[place > 0]}
        values |= {"shaft_lie": (67.0, 71.0)[place > 0], "eye_offset": (-6.0, -1.0)[place > 0]}
        without = ("face_on",) if place == 3 else ("eye_offset",) if place == 4 else ()
        visits.append(
            visit(place + 1, START + timedelta(days=after), moment, values, putter=(90.2, 85.1)[place > 0],
                  suggested=80.0 if place == 5 else 85.1, without=without, place="Putting studio")
        )  # fmt: skip
    return History(name="Robin Example", visits=tuple(visits), **more)


def many(number=40, **more):
    """Return visits over seven years, rebuilt every tenth, drifting in between, with four putters."""
    visits = []
    for place in range(number):
        since = place % 10
        moment = "before" if since == 0 else "after" if since == 1 else "check"
        share = max(0.0, 1.1 - 0.12 * since) if since else 0.1
        day = START + timedelta(days=int(62 * place + 20 * math.sin(place)))
        visits.append(
            visit(place + 1, day, moment, part_way(share), putter=(90.2, 87.6, 85.1, 83.8)[place // 10],
                  without=("face_on",) if place % 7 == 3 else ())
        )  # fmt: skip
    return History(name="Robin Example", visits=tuple(visits), **more)


def practised(number=5):
    """Return practice tests of a student who gets steadier."""
    return tuple(
        practice(START + timedelta(days=90 * place), 2.6 - 0.3 * place, tried=25, seed=place + 3)
        for place in range(number)
    )


def plain_changes(before, after, *, repeats=None):
    """Return after minus before; the errors taken as independent but for a fixed half of the variance, shared."""
    found = {}
    for name, measure in MEASURES.items():
        unit = measure.unit
        none = absent("It was not measured.", unit=unit)
        one, two = (each.measures.get(name, none) for each in (before, after))
        if not (one and two):
            change = absent("It was not measured both times.", unit=unit)
        else:
            u = math.hypot(one.standard_uncertainty, two.standard_uncertainty) * math.sqrt(0.5)
            change = Estimate(value=two.value - one.value, standard_uncertainty=u, unit=unit)
        found[name] = weigh_change(name, one, two, change)
    return Changes(measures=control_family(found))
