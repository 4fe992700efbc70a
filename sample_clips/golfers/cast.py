"""Cast: bodies, clothes and postures drawn at random for the accuracy study."""

from __future__ import annotations

import attrs
import numpy as np

from .body import Array, Sex
from .golfer import Gear, Golfer, Student, set_up
from .outfit import HAIR_COLOURS, SKIN_TONES, Colour, Outfit
from .pose import GRIPS, Wish
from .shapes import GRAPHITE, STEEL, WHITE
from .truth import measure_by_bones

STATURES = {"male": (1.757, 0.075), "female": (1.630, 0.068)}
"""Mean and standard deviation, metres: US Army survey of 2012 (Gordon et al. 2014), spread a little wider."""
BALL_COLOURS: tuple[Colour, ...] = ((0.93, 0.92, 0.25), (0.95, 0.50, 0.15), (0.95, 0.45, 0.65), (0.45, 0.85, 0.35))
MOST_TRIES = 8
CLOSE_ENOUGH = {"spine_tilt": 2.0, "hand_offset": 1.5, "knee_flex": 3.0}
"""How far a solved posture may be from the wish before another one is drawn, degrees and centimetres."""


def draw_student(rng: np.random.Generator) -> Student:
    """Draw a body; its clothes are drawn by themselves."""
    sex = str(rng.choice(["male", "female"]))
    mean, spread = STATURES[sex]
    return Student(
        sex=sex,  # type: ignore[arg-type]
        stature=float(np.clip(rng.normal(mean, spread), 1.50, 1.98)),
        handed=str(rng.choice(["right", "right", "left"])),  # type: ignore[arg-type]
        weight=float(rng.uniform(0.25, 0.80)),
        muscle=float(rng.uniform(0.35, 0.75)),
        proportions=float(rng.uniform(0.35, 0.80)),
    )


def draw_unusual_student(rng: np.random.Generator) -> Student:
    """Draw a body of any age and build: juniors from 1.40 m on, heavy bellies, and the rest."""
    student = draw_student(rng)
    kind = str(rng.choice(["junior", "heavy", "any"]))
    if kind == "junior":
        return attrs.evolve(student, stature=float(rng.uniform(1.40, 1.55)), muscle=0.4)
    if kind == "heavy":
        return attrs.evolve(student, weight=float(rng.uniform(0.80, 0.98)), muscle=float(rng.uniform(0.3, 0.5)))
    return student


def draw_unusual_outfit(rng: np.random.Generator, *, sex: Sex) -> Outfit:
    """Draw clothes with caps on a third of the heads and every skin tone as often."""
    outfit = draw_outfit(rng, sex=sex, patterned=False)
    bare = ("short", "bald") if sex == "male" else ("long", "short")
    return attrs.evolve(outfit, hair_style=str(rng.choice(["cap", *bare])))  # type: ignore[arg-type]


def draw_outfit(rng: np.random.Generator, *, sex: Sex, patterned: bool) -> Outfit:
    """Draw clothes; `patterned` allows stripes and checks."""
    legs = str(
        rng.choice(["long", "long", "shorts"] if sex == "male" else ["long", "long", "shorts", "skirt", "skirt"])
    )
    girth = {"long": rng.uniform(0.42, 0.50), "shorts": rng.uniform(0.54, 0.62), "skirt": 0.0}[legs]
    dye = np.array([1.0, 0.95, 0.88]) if rng.uniform() < 0.7 else rng.uniform(0.4, 1.3, 3)
    pattern = str(rng.choice(["stripes", "checks", "plain"])) if patterned else "plain"
    return Outfit(
        skin=SKIN_TONES[rng.integers(len(SKIN_TONES))],
        shirt=_colour(rng.uniform(0.08, 0.95, 3)),
        sleeves=str(rng.choice(["short", "short", "long"])),  # type: ignore[arg-type]
        trousers=_colour(rng.uniform(0.08, 0.75) * dye),
        legs=legs,  # type: ignore[arg-type]
        shoes=_colour(rng.uniform(0.15, 0.95) * np.ones(3)),
        hair=HAIR_COLOURS[rng.integers(len(HAIR_COLOURS))],
        hair_style=str(rng.choice(["short", "cap"] if sex == "male" else ["long", "long", "cap"])),  # type: ignore[arg-type]
        peak=True,
        shirt_ease=float(rng.uniform(0.03, 0.10)) if rng.uniform() < 0.55 else 0.0,
        leg_girth=float(girth) if rng.uniform() < 0.5 else 0.0,
        pattern=pattern,  # type: ignore[arg-type]
        pattern_colour=_colour(rng.uniform(0.05, 0.95, 3)),
    )


def draw_gear(rng: np.random.Generator) -> Gear:
    """Draw a ball and a shaft: mostly white, mostly steel."""
    ball = WHITE if rng.uniform() < 0.7 else BALL_COLOURS[int(rng.integers(len(BALL_COLOURS)))]
    return Gear(ball=ball, shaft=STEEL if rng.uniform() < 0.7 else GRAPHITE)


def describe_outfit(outfit: Outfit) -> dict[str, str]:
    """Say what the truth file says of the clothes."""
    loose_legs = outfit.legs == "long" and outfit.leg_girth > 0
    return {
        "top": "loose" if outfit.shirt_ease else "fitted",
        "sleeves": outfit.sleeves,
        "legs": "loose" if loose_legs else outfit.legs,
        "head": outfit.hair_style,
        "pattern": outfit.pattern,
    }


def draw_wish(rng: np.random.Generator) -> Wish:
    """Draw a posture; hands stay clear of the thighs."""
    tilt = rng.uniform(15, 50)
    clear = 19 - 46 * np.sin(np.radians(tilt))
    return Wish(
        spine_tilt=tilt,
        back_rounding=rng.uniform(3, 48),
        hand_offset=rng.uniform(max(-5.0, clear), max(18.0 - 0.2 * (tilt - 15), clear + 4)),
        elbow_bend=rng.uniform(12, 48),
        elbow_gap=max(0.0, rng.uniform(-4, 13)),
        knee_flex=rng.uniform(5, 30),
        stance_width=rng.uniform(18, 42),
        side_bend=rng.normal(1.0, 2.0),
        shoulder_level=rng.uniform(1.0, 7.0),
        balance=rng.uniform(38, 62),
        head_drop=rng.uniform(8, 32),
        lie=rng.uniform(67, 76),
        shaft_lean=rng.normal(0.5, 2.5),
        foot_splay=rng.uniform(0, 18),
    )


def draw_unusual_wish(rng: np.random.Generator) -> Wish:
    """Draw a posture with any grip; a fifth stoop as some seniors do."""
    grip = str(rng.choice(["lead_hand_low", "lead_hand_low", "claw", "arm_lock", "long", "usual"]))
    wish = attrs.evolve(draw_wish(rng), grip=grip)
    if rng.uniform() < 0.2:
        wish = attrs.evolve(wish, back_rounding=float(rng.uniform(45, 60)), head_drop=float(rng.uniform(25, 42)))
    if grip == "lead_hand_low":
        return attrs.evolve(wish, shoulder_level=float(rng.uniform(-4.0, 2.0)))
    if grip == "arm_lock":
        return attrs.evolve(wish, shaft_lean=float(rng.uniform(4, 8)), elbow_bend=float(rng.uniform(10, 22)))
    if grip == "long":
        return attrs.evolve(
            wish,
            spine_tilt=float(rng.uniform(14, 28)),
            lie=float(rng.uniform(75, 79)),
            elbow_bend=float(rng.uniform(45, 70)),
            hand_offset=float(rng.uniform(12, 20)),
        )
    return wish


def cast_golfer(
    rng: np.random.Generator, student: Student, *, unusual: bool = False, solved: tuple[int, Array] | None = None
) -> tuple[Golfer, int]:
    """Draw postures until the body can take one; return the golfer and how many were drawn.

    Parameters
    ----------
    unusual : of `draw_unusual_wish`.
    solved : how many were drawn and the angles of the last one's pose, where it was solved before.
    """
    for tries in range(1, MOST_TRIES + 1):
        wish = draw_unusual_wish(rng) if unusual else draw_wish(rng)
        butt_above = float(rng.uniform(*GRIPS[wish.grip].butt_above))
        if solved is not None and tries < solved[0]:
            continue
        golfer = set_up(student, wish, butt_above=butt_above, angles=None if solved is None else solved[1])
        if solved is not None or _is_close(golfer):
            return golfer, tries
    msg = f"No posture within reach of this body was found in {MOST_TRIES} tries. Use another seed."
    raise RuntimeError(msg)


def _is_close(golfer: Golfer) -> bool:
    got, wish = measure_by_bones(golfer.posed), attrs.asdict(golfer.wish)
    return all(abs(got[name] - wish[name]) <= limit for name, limit in CLOSE_ENOUGH.items())


def _colour(values: np.ndarray) -> Colour:
    red, green, blue = (float(np.clip(v, 0.02, 0.98)) for v in values)
    return red, green, blue
