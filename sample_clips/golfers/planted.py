"""Planted: golfers who stand as a coach wants it, but for one planted fault.

Each golfer is first stood in the setup that the program's coach wants, and gets the putter that fits it. Then one thing
is put wrong, with what a person cannot help but do with it. What is asked for is asked of the truth (anatomical joints
and skin), so the size of the fault is known in the measure's own unit. Degrees, centimetres and per cent, signs as in
the measures of the program.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, get_args

import attrs
import numpy as np

from .body import Body, child_age
from .cast import draw_student
from .golfer import Golfer, Student, body_of, set_up
from .pose import Posed, Wish, shaft_direction, solve_address
from .putter import hold_putter, place_ball
from .truth import measure_truth

Fault = Literal["putter_long", "hands_out", "heels", "elbows_behind", "elbows_floating", "too_much_tilt", "none"]
FAULTS: tuple[Fault, ...] = get_args(Fault)
ORDER: tuple[Fault, ...] = (
    "none", "putter_long", "hands_out", "none", "heels", "elbows_behind", "none", "elbows_floating", "too_much_tilt",
)  # fmt: skip
"""Faults of one seed after the other, over and over: wherever a set is cut off, it is about balanced."""

TOO_LONG = 7.6
"""How much longer than the right one the putter of `putter_long` is: three inches."""
CHILDREN = 0.2
"""Share of the golfers who are children."""
CHILD_STATURES = (1.15, 1.50)
"""Metres."""
BUTT_ABOVE = (0.075, 0.100)
"""How far the butt of the right putter ends above the hand centre of a grown golfer, metres: at the top of the grip."""
BUTT_POSSIBLE = (0.05, 0.20)
"""The same with a fault: hands still on the grip, metres."""
SPARE = 3.0
"""How much longer than the right one the putter of other faults may be, where the hands are too high for it, cm."""
SPARE_BEHIND = 6.5
"""The same of `elbows_behind`: arms that fold so far bring the hands up by more than a body can come down."""
GROWN = 1.65
"""Stature from which on elbows are put wrong by the whole, metres; a child's arms are shorter."""
MORE_BENT: tuple[Fault, ...] = ("putter_long", "elbows_behind", "elbows_floating", "too_much_tilt")
"""Faults that are not to be had without a deeper bend of the elbows."""
LEAST_DEPTH = -2.5
"""In the wanted setup the elbows are no further behind the front of the ribs, cm."""
MOST_TRIES = 4
ROUNDS = 7

LEVERS: Mapping[str, Mapping[str, tuple[str, float]]] = {
    "usual": {
        "spine_tilt": ("spine_tilt", 1.0),
        "hand_offset": ("hand_offset", 1.0),
        "knee_flex": ("knee_flex", 1.0),
        "head_drop": ("head_drop", 0.9),
        "balance": ("balance", 0.9),
        "eye_offset": ("lie", 0.65),
        "elbow_bend_trail": ("elbow_bend", 0.9),
    },
    "by_bend": {
        "elbow_depth": ("elbow_bend", -2.0),
        "putter_length": ("elbow_bend", 2.5),
        "elbow_gap_trail": ("elbow_bend", 4.0),
    },
}
"""Which wish moves a measure, and by how much for one more of it: short of the whole way, so that rounds settle."""
LIMITS = {"elbow_bend": (6.0, 100.0), "lie": (62.0, 79.0), "spine_tilt": (10.0, 62.0), "balance": (15.0, 75.0)}
"""Wishes stay within what a person can take and a putter can have (Equipment Rules: at most 80 degrees)."""
CLOSE_ENOUGH = {
    "spine_tilt": 1.0, "hand_offset": 0.5, "knee_flex": 1.5, "head_drop": 2.0, "balance": 1.5, "eye_offset": 0.5,
    "elbow_depth": 0.6, "putter_length": 0.6, "elbow_bend_trail": 3.0,
    "elbow_gap_trail": 1.0,
}  # fmt: skip
"""How far the truth may be from what was asked for."""
STILL_IN_REACH, WRONG_IN_REACH = 2.5, 8.0
"""A golfer is taken whose every measure is within so many times `CLOSE_ENOUGH`, in the wanted setup and with the fault:
the truth says how large a fault became."""


@attrs.frozen
class Planted:
    """What was planted.

    Attributes
    ----------
    fault : what is wrong.
    right_putter_cm : the putter that fits the wanted setup.
    wanted : the true measures of that setup, before anything was put wrong.
    """

    fault: Fault
    right_putter_cm: float
    wanted: dict[str, float | None]


@attrs.frozen(eq=False)
class _Stood:
    wish: Wish
    posed: Posed
    measures: dict[str, float | None]
    off: float
    """The farthest that a measure is from what was asked, in units of `CLOSE_ENOUGH`."""


def fault_of(seed: int) -> Fault:
    """Which fault a golfer gets."""
    return ORDER[seed % len(ORDER)]


def draw_planted_student(rng: np.random.Generator) -> Student:
    """Draw a body, a child's one time in five."""
    student = draw_student(rng)
    stature, child = float(rng.uniform(*CHILD_STATURES)), rng.uniform() < CHILDREN
    if not child:
        return student
    return attrs.evolve(student, stature=stature, age=child_age(stature), muscle=0.4)


def cast_planted(rng: np.random.Generator, student: Student, fault: Fault) -> tuple[Golfer, int, Planted]:
    """Stand a golfer in the wanted setup and put one thing wrong; return how many were tried as well."""
    body = body_of(student)
    for tries in range(1, MOST_TRIES + 1):
        wish, asked = _draw_wanted(rng, fault)
        butt = float(rng.uniform(*BUTT_ABOVE)) * min(1.0, student.stature / GROWN)
        right = _stand(body, wish, asked, levers=("usual",), butt_above=butt)
        if right.off > STILL_IN_REACH or _number(right.measures, "elbow_depth") < LEAST_DEPTH:
            continue
        length = _number(right.measures, "putter_length")
        stood, putter = _put_wrong(rng, body, right, asked, fault=fault, butt_above=butt)
        below = _number(stood.measures, "putter_length") - 100 * butt
        putter = max(putter, below + 100 * BUTT_POSSIBLE[0] * min(1.0, student.stature / GROWN))
        spare = {"putter_long": TOO_LONG + SPARE, "elbows_behind": SPARE_BEHIND}.get(fault, SPARE)
        if stood.off > WRONG_IN_REACH or putter > length + spare or putter - below > 100 * BUTT_POSSIBLE[1]:
            continue
        golfer = set_up(student, stood.wish, putter_length=putter / 100, angles=stood.posed.angles)
        return golfer, tries, Planted(fault=fault, right_putter_cm=round(length, 3), wanted=right.measures)
    msg = f"No posture with this fault was within reach of this body in {MOST_TRIES} tries. Use another seed."
    raise RuntimeError(msg)


def _draw_wanted(rng: np.random.Generator, fault: Fault) -> tuple[Wish, dict[str, float]]:
    """Draw a setup near the program's wanted one, and what the truth is asked to be.

    The tilt is about what the program asks of any body (37 degrees by its tables). On most women of this rig, whose
    trunks are flat, the elbows are then a little ahead of the ribs. Elbows that are put wrong make the arms shorter; so
    they start from softer ones and less tilt, and the right putter still reaches.
    """
    elbows = fault.startswith("elbows")
    asked = {
        "hand_offset": rng.uniform(-1.0, 1.5),
        "spine_tilt": rng.uniform(33.5, 36.5) if elbows else rng.uniform(34.5, 39.5),
        "eye_offset": rng.uniform(-2.5, 0.0),
        "balance": rng.uniform(56, 64),
        "knee_flex": rng.uniform(11, 19),
        "head_drop": rng.uniform(14, 22),
        "elbow_bend_trail": rng.uniform(21, 27) if elbows else rng.uniform(15, 25),
    }
    wish = Wish(
        spine_tilt=asked["spine_tilt"] + 3,
        back_rounding=rng.uniform(14, 26),
        hand_offset=asked["hand_offset"],
        elbow_bend=asked["elbow_bend_trail"] + 10,
        elbow_gap=rng.uniform(0, 2),
        knee_flex=asked["knee_flex"] + 8,
        stance_width=rng.uniform(24, 36),
        side_bend=rng.normal(1.0, 1.0),
        shoulder_level=rng.uniform(2.0, 6.0),
        balance=asked["balance"],
        head_drop=asked["head_drop"],
        lie=71.0,
        shaft_lean=rng.normal(0.5, 1.0),
        foot_splay=rng.uniform(0, 15),
    )
    return wish, {name: float(value) for name, value in asked.items()}


def _put_wrong(
    rng: np.random.Generator,
    body: Body,
    right: _Stood,
    asked: Mapping[str, float],
    *,
    fault: Fault,
    butt_above: float,
) -> tuple[_Stood, float]:
    """Put one thing wrong; return the setup and the putter's length, cm."""
    tilt, length = _number(right.measures, "spine_tilt"), _number(right.measures, "putter_length")
    wish, asked = right.wish, dict(asked)
    if fault in MORE_BENT:
        del asked["elbow_bend_trail"]
    levers: tuple[str, ...] = ("usual",)
    if fault == "none":
        return right, length
    if fault == "putter_long":
        length += TOO_LONG
        asked |= {
            "putter_length": length,
            "spine_tilt": tilt - rng.uniform(8, 11),
            "hand_offset": rng.uniform(4.5, 7.5),
            "head_drop": asked["head_drop"] + rng.uniform(5, 10),
            "eye_offset": rng.uniform(-5.0, -2.0),
        }
        wish = attrs.evolve(wish, back_rounding=wish.back_rounding + rng.uniform(12, 18))
        levers = ("usual", "by_bend")
    elif fault == "hands_out":
        asked["hand_offset"] = rng.uniform(7, 12)
    elif fault == "heels":
        asked["balance"] = rng.uniform(20, 30)
    elif fault in ("elbows_behind", "elbows_floating"):
        # bent arms are short, so the body comes down a little with them
        asked["spine_tilt"] += rng.uniform(4.0, 5.5)
        asked["knee_flex"] = min(asked["knee_flex"] + rng.uniform(5, 8), 24.0)
        part = min(1.0, body.stature / GROWN)
        if fault == "elbows_behind":
            asked["elbow_depth"] = -part * rng.uniform(8.5, 11)
            asked["hand_offset"] = rng.uniform(-2.7, -1.5)
            wish = attrs.evolve(wish, elbow_bend=wish.elbow_bend + 25)
        else:
            gap = part * rng.uniform(9, 12)
            asked["elbow_gap_trail"] = gap
            wish = attrs.evolve(wish, elbow_gap=gap, elbow_bend=wish.elbow_bend + 35)
        levers = ("usual", "by_bend")
    elif fault == "too_much_tilt":
        asked["spine_tilt"] = tilt + rng.uniform(15, 20)
        wish = attrs.evolve(wish, elbow_bend=wish.elbow_bend + 8)
    stood = _stand(body, wish, asked, levers=levers, butt_above=butt_above)
    return stood, length


def _stand(body: Body, wish: Wish, asked: Mapping[str, float], *, levers: tuple[str, ...], butt_above: float) -> _Stood:
    """Change a wish until the truth is what is asked for; the nearest of all rounds."""
    moves = {name: move for one in levers for name, move in LEVERS[one].items() if name in asked}
    best, start = None, None
    for _ in range(ROUNDS):
        posed = solve_address(body, wish, start=start)
        start = posed.angles
        putter = hold_putter(posed, shaft_direction(wish), butt_above=butt_above)
        got = measure_truth(posed, putter, place_ball(putter)).measures
        missing = {name: value - _number(got, name) for name, value in asked.items()}
        off = max(abs(value) / CLOSE_ENOUGH[name] for name, value in missing.items())
        if best is None or off < best.off:
            best = _Stood(wish, posed, got, off)
        if off <= 1:
            break
        for name, (lever, share) in moves.items():
            value = getattr(wish, lever) + share * missing[name]
            wish = attrs.evolve(wish, **{lever: float(np.clip(value, *LIMITS.get(lever, (-90, 90))))})
    assert best is not None
    return best


def _number(measures: Mapping[str, float | None], name: str) -> float:
    value = measures[name]
    assert value is not None
    return value
