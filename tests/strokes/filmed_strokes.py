"""Strokes by closed forms as a camera and a landmark model would see them, with known events.

Ways back and through are shares from 0 to 1: minimum jerk (Flash and Hogan 1985), half cosine, constant acceleration,
quarter sine. The putter head goes 241 mm back, hands 107 mm (a 2007 study of 99 tour players, as a newsletter quotes
it: 670 ± 90 ms back, 317 ± 35 ms through, 1510 ± 119 mm/s at impact); 2 pixels are 1 cm.
"""

import numpy as np
from attrs import frozen

from putt_posture.values import HAND_POINTS, LANDMARK_INDEX, Estimate, SeenStroke, absent

PX_PER_CM = 2.0


def minimum_jerk(share):
    share = np.clip(share, 0, 1)
    return share**3 * (10 - 15 * share + 6 * share**2)


def half_cosine(share):
    return (1 - np.cos(np.pi * np.clip(share, 0, 1))) / 2


def constant_acceleration(share):
    share = np.clip(share, 0, 1)
    return np.where(share < 0.5, 2 * share**2, 1 - 2 * (1 - share) ** 2)


BACK = {"minimum jerk": minimum_jerk, "half cosine": half_cosine, "constant acceleration": constant_acceleration}


def through_by(shape, share):
    """Return the way from the top, 1 at impact (share 1), and to where it ends after it."""
    share = np.clip(share, 0, None)
    if shape == "minimum jerk":
        return 2 * minimum_jerk(share / 2)
    if shape == "quarter sine":
        after = np.clip((share - 1) / 1.2, 0, 1)
        return np.where(share < 1, 1 - np.cos(np.pi / 2 * np.clip(share, 0, 1)), 1 + 1.2 * np.sin(np.pi / 2 * after))
    after = np.clip(share - 1, 0, 1)
    return np.where(share < 1, share**2, 1 + 2 * after - after**2)


@frozen
class Filmed:
    """A stroke as seen, and its true events."""

    seen: SeenStroke
    truth: dict


def film_stroke(
    *,
    rng,
    rate_hz=60.0,
    back_s=0.67,
    through_s=0.317,
    held_s=0.0,
    start_s=1.2,
    back="minimum jerk",
    through="minimum jerk",
    view="face_on",
    head_mm=241.0,
    hands_mm=107.0,
    noise_px=0.3,
    sway_px=0.0,
    memory_s=0.02,
    head_seen=True,
    ball_seen=True,
    dropped=0.0,
    time_stretch=1.0,
    scale=1.0,
    mirrored=False,
    first_s=0.0,
    builds_up_s=0.0,
):
    """Return a stroke filmed from `first_s` on; all times are real seconds, those in the result clip time.

    A force that turns at once turns within `builds_up_s`, before and after evenly; start and top move with it.
    """
    times = (
        first_s + rng.uniform(0, 1 / rate_hz) + np.arange(0, start_s + back_s + held_s + through_s + 1.4, 1 / rate_hz)
    )
    start_s += first_s
    top, impact = start_s + back_s + held_s, start_s + back_s + held_s + through_s
    follow = {"minimum jerk": 1.0, "quarter sine": 1.2, "constant acceleration": 1.0}[through]
    kept = rng.random(len(times)) >= dropped
    times = times[kept]

    def goes(at):
        return through_by(through, (at - top) / through_s) - BACK[back]((at - start_s) / back_s)

    way = goes(times)
    if builds_up_s:
        spread = builds_up_s * (np.arange(41) - 20) / 40
        weights = 1 - np.abs(spread) / (builds_up_s / 2)
        way = goes(times[:, None] + spread) @ weights / weights.sum()
        close = np.arange(top - builds_up_s, top + builds_up_s, 1e-3)
        top = float(close[np.argmin(goes(close[:, None] + spread) @ weights)])
        start_s -= builds_up_s / 2
    facing = -1.0 if mirrored else 1.0

    def noise(shape, sd):
        fresh = rng.normal(size=(len(times), *shape))
        for at in range(1, len(times) if memory_s else 0):
            kept_part = np.exp(-(times[at] - times[at - 1]) / memory_s)
            fresh[at] = kept_part * fresh[at - 1] + np.sqrt(1 - kept_part**2) * fresh[at]
        return sd * fresh

    def moved(length_mm):
        cm = length_mm / 10 * way
        along, up = (cm, 0.1 * cm**2 / 24) if view == "face_on" else (0.02 * cm, -0.25 * cm)
        return PX_PER_CM * np.stack([facing * along, -up], axis=1)

    phase = rng.uniform(0, 2 * np.pi)
    sway = sway_px * np.sqrt(2) * np.sin(2 * np.pi * 0.35 * times + phase)[:, None]
    points = 300 + noise((33, 2), noise_px) + sway[:, None]
    for part in (*HAND_POINTS, "elbow", "shoulder"):
        share = {"elbow": 0.6, "shoulder": 0.2}.get(part, 1.0)
        for side in ("left", "right"):
            points[:, LANDMARK_INDEX[f"{side}_{part}"]] += share * moved(hands_mm)
    frame = 1 / rate_hz
    ball = absent("The ball was not seen.", unit="s")
    if ball_seen:
        ball = Estimate(
            value=(impact + rng.uniform(-0.5, 0.5) * frame) * time_stretch,
            standard_uncertainty=frame / np.sqrt(12) * time_stretch,
            unit="s",
        )
    seen = SeenStroke.without_putter(
        view=view,
        times_s=times * time_stretch,
        address_s=((first_s + 0.1) * time_stretch, (start_s - 0.15) * time_stretch),
        stroke_s=((start_s - 0.1) * time_stretch, (impact + follow * through_s + 0.1) * time_stretch),
        points_px=scale * points,
        ball_leaves_s=ball,
        why="made",
    )
    head = 500 + moved(head_mm) + noise((2,), noise_px)
    object.__setattr__(seen, "putter_head_px", scale * head if head_seen else np.full_like(head, np.nan))
    object.__setattr__(seen, "putter_head_sd_px", np.full(len(times), scale * noise_px if head_seen else np.nan))
    truth = {"start": start_s, "top": top, "impact": impact, "finish": impact + follow * through_s}
    return Filmed(seen=seen, truth={name: time * time_stretch for name, time in truth.items()})


def film_players(count, *, seed, **how):
    """Yield strokes with times drawn like those of the published tour players."""
    rng = np.random.default_rng(seed)
    for _ in range(count):
        times = {
            "back_s": float(np.clip(rng.normal(0.67, 0.09), 0.45, 0.95)),
            "through_s": float(np.clip(rng.normal(0.317, 0.035), 0.22, 0.42)),
        }
        yield film_stroke(rng=rng, **(times | how))
