"""Stroke cast: strokes drawn at random for the accuracy study of the stroke, and when they happen in a clip."""

from __future__ import annotations

from typing import Literal, get_args

import attrs
import numpy as np

from .body import Array
from .golfer import Golfer
from .moving import OutOfReachError, head_radius, move_golfer
from .performance import StepUp
from .putt import KNOTS, STAYS, Changes, Law, Putt, Triple
from .putter import BALL_RADIUS, HEAD_DEPTH

Scenario = Literal["putt", "practice_then_putt", "two_putts", "practice_then_held_top"]
SCENARIOS: tuple[Scenario, ...] = (
    "putt", "practice_then_putt", "putt", "two_putts", "putt", "practice_then_held_top", "putt", "putt",
)  # fmt: skip
"""By the remainder of the seed."""
LENGTH = (0.10, 0.40)
"""How far the head goes back, metres."""
BACK = (0.45, 0.95)
RATIO = (1.6, 2.7)
"""Back over through. Tour players: 670 ms back, 317 ms through, 241 mm, 1510 mm/s at impact in the mean (Marquardt
2007, secondary); the set lies around them."""
THROUGH = (0.20, 0.46)
QUIET = (0.8, 1.2)
"""Seconds of quiet address before a stroke."""
TALK = 0.9
"""Seconds from the step up, or the new ball, to the start."""
GAP = (0.002, 0.012)
"""Between face and ball at address, metres."""
SHRINK = 0.8
MOST_SHRINKS = 25
CHECKED = np.linspace(*KNOTS[:: len(KNOTS) - 1], 25)
ABOVE = ("head_along", "head_across", "head_up", "chest_along", "chest_across", "tilt", "lag", "hands_across")
"""What is made smaller where arms would not reach."""


@attrs.frozen
class Plan:
    """What happens in a clip, and when; seconds."""

    scenario: Scenario
    putts: tuple[Putt, ...]
    marks: tuple[float, ...]
    """When the golfer stands exactly at the pose of address."""
    quiet: tuple[tuple[float, float], ...]
    """The true quiet address before each stroke."""
    duration: float
    gap: float
    step_up: StepUp | None = None


def draw_plan(rng: np.random.Generator, golfer: Golfer, scenario: Scenario) -> Plan:
    """Draw what a golfer does."""
    gap = float(rng.uniform(*GAP))
    first = float(rng.uniform(*QUIET))
    last_hold = float(rng.uniform(0.5, 0.9))
    held = float(rng.uniform(0.8, 1.2))
    if scenario == "putt":
        putts: tuple[Putt, ...] = (draw_putt(rng, golfer, gap=gap, start=first),)
        step_up = None
    else:
        kind: Literal["putt", "practice"] = "putt" if scenario == "two_putts" else "practice"
        one = draw_putt(rng, golfer, gap=gap, start=first, kind=kind)
        one = attrs.evolve(one, hold=float(rng.uniform(0.1, 0.6)), home=float(rng.uniform(0.7, 1.0)))
        after = one.end + (0.1 if kind == "practice" else 0.4)
        step = StepUp(back=float(rng.uniform(0.08, 0.16)), start=after, end=after + float(rng.uniform(0.7, 1.0)))
        step_up = step if kind == "practice" else None
        start = (step.end if step_up else after) + TALK + float(rng.uniform(0, 0.3))
        two = draw_putt(rng, golfer, gap=gap, start=start)
        if scenario == "practice_then_held_top":
            two = attrs.evolve(two, pause=held)
        putts = (one, two)
    putts = (*putts[:-1], attrs.evolve(putts[-1], hold=last_hold + 5.0))
    ready = [0.0, *((step_up.end if step_up else putt.end) + 0.15 for putt in putts[:-1])]
    quiet = tuple((r, p.start) for r, p in zip(ready, putts, strict=True))
    return Plan(
        scenario=scenario,
        putts=putts,
        marks=tuple(p.start - 0.35 for p in putts),
        quiet=quiet,
        duration=putts[-1].finish + last_hold,
        gap=gap,
        step_up=step_up,
    )


def draw_putt(
    rng: np.random.Generator,
    golfer: Golfer,
    *,
    gap: float,
    start: float,
    kind: Literal["putt", "practice"] = "putt",
) -> Putt:
    """Draw one stroke that this golfer's arms can make."""
    plane = float(np.radians(rng.uniform(8, 32)))
    radius = head_radius(golfer.posed, golfer.putter, plane)
    length = float(LENGTH[0] + (LENGTH[1] - LENGTH[0]) * rng.beta(1.6, 2.0))
    back = float(rng.uniform(*BACK))
    putt = Putt(
        start=start,
        kind=kind,
        back=back,
        pause=float(rng.uniform(0.05, 0.30)) if rng.uniform() < 0.35 else 0.0,
        through=float(np.clip(back / rng.uniform(*RATIO), *THROUGH)),
        law=str(rng.choice(get_args(Law))),  # type: ignore[arg-type]
        swing=length / radius,
        contact=gap / radius,
        follow=float(rng.uniform(0.8, 1.6)),
        loss=float(rng.uniform(0.05, 0.15)),
        plane=plane,
        ball_way=float(np.radians(np.clip(rng.normal(0, 1.3), -4, 4))),
        changes=draw_changes(rng),
    )
    return make_reachable(golfer, putt)


def draw_changes(rng: np.random.Generator) -> Changes:
    """Draw how the body, the wrists and the line change; each of them stays in about half of the strokes."""

    def along(most: float) -> Triple:
        size = float(rng.choice([-1.0, 1.0]) * rng.uniform(0.15, 1.0) * most)
        return -size, float(rng.uniform(-0.3, 0.4)) * size, float(rng.uniform(0.5, 1.1)) * size

    def slow(most: float) -> Triple:
        size = float(rng.choice([-1.0, 1.0]) * rng.uniform(0.2, 1.0) * most)
        return size * float(rng.uniform(0.2, 0.6)), size * float(rng.uniform(0.6, 1.0)), size

    def sometimes(triple: Triple, share: float = 0.55) -> Triple:
        return triple if rng.uniform() < share else STAYS

    rise = float(np.radians(rng.uniform(-3.0, 0.8)))
    turn = np.radians
    path = [float(rng.uniform(-0.025, 0.025)), float(rng.uniform(-0.004, 0.004)), float(rng.uniform(-0.025, 0.025))]
    lag = [float(turn(rng.uniform(-2.5, 2.5))), float(turn(rng.uniform(-3.5, 3.5))), float(turn(rng.uniform(-5, 5)))]
    return Changes(
        head_along=sometimes(along(0.022)),
        head_across=sometimes(slow(0.010)),
        head_up=sometimes(slow(0.014)),
        chest_along=sometimes(along(0.016)),
        chest_across=sometimes(slow(0.008)),
        hips_along=sometimes(along(0.014)),
        hips_across=sometimes(slow(0.006), 0.3),
        knee_lead=sometimes(along(float(turn(16))), 0.4),
        knee_trail=sometimes(along(float(turn(16))), 0.4),
        tilt=sometimes((0.4 * rise, 0.8 * rise, rise)),
        elbow_lead=sometimes((float(turn(rng.uniform(0, 8))), float(turn(rng.uniform(2, 18))), 0.0), 0.4),
        elbow_trail=sometimes((float(turn(rng.uniform(2, 18))), float(turn(rng.uniform(0, 8))), 0.0), 0.4),
        lag=sometimes((lag[0], lag[1], lag[2])),
        hands_across=sometimes((path[0], path[1], path[2]), 0.6),
    )


def make_reachable(golfer: Golfer, putt: Putt) -> Putt:
    """Make the changes smaller until no arm is pulled straight."""
    for _ in range(MOST_SHRINKS):
        try:
            for come in CHECKED:
                move_golfer(
                    golfer.posed,
                    golfer.putter,
                    turn=float(np.interp(come, KNOTS, (0.0, -putt.swing, putt.contact, putt.follow * putt.swing))),
                    plane=putt.plane,
                    changes=putt.changes.at(float(come)),
                    bones_only=True,
                )
        except OutOfReachError:
            putt = attrs.evolve(putt, changes=putt.changes.shrunk(SHRINK, *ABOVE), swing=putt.swing * (1 + SHRINK) / 2)
        else:
            return putt
    msg = "no stroke was found that this golfer's arms can make"
    raise OutOfReachError(msg)


def place_ball_at_gap(golfer: Golfer, gap: float) -> Array:
    """Centre of a ball (3,) `gap` metres before the face."""
    sole = golfer.putter.sole
    return np.array([sole[0] + HEAD_DEPTH / 2 + gap + BALL_RADIUS, sole[1], BALL_RADIUS])
