"""Film strokes of varied golfers with their truth: `python make_strokes.py OUT --seeds 0-11`.

For each seed a folder stroke_NNN: one performance filmed by two cameras that start at different moments, each clip
(down_the_line.mp4, face_on.mp4) with an archive of the truth of its frames (down_the_line.npz, face_on.npz), and
truth.json with the golfer, the cameras and the events of every stroke. Golfers are those of make_stills.py with the
same seed; `--poses` takes their poses from its folders instead of solving them anew. The same seed makes the same
clips.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import attrs
import cv2
import numpy as np
from golfers.body import Array
from golfers.camera import View
from golfers.cast import cast_golfer, describe_outfit, draw_gear, draw_outfit
from golfers.film import Stock, write_clip
from golfers.golfer import Golfer, describe, describe_view, wear
from golfers.room import draw_room
from golfers.scene import Stage
from golfers.shots import draw_condition, draw_light, draw_style, draw_surroundings, part_of, place_camera, stray_balls
from golfers.stroke_cast import SCENARIOS, draw_plan
from golfers.take import Hand, Take
from make_stills import STUDY, draw_person

VIEWS: tuple[View, ...] = ("down_the_line", "face_on")
SMALLER = 1.5
"""The cameras of the stills are this much finer."""
LATEST_START = 0.35
"""A camera starts up to this long after the performance, seconds."""
HARD_EVERY, SHAKEN_EVERY, SMEARED_EVERY = 4, 12, 6
"""Every so many seeds are filmed in hard conditions, by a hand that shakes, with an open shutter."""
SHUTTER = 1 / 120
GRAINS = 8
LOOKED_AT = (48, 50, 53, 54, 55, 56, 57, 58, 60, 61, 68, 69)
"""Held-out golfers whose strokes were looked at one by one while the measuring was written: they count as tuning."""
FINE = 0
MARGIN = 48
"""Round all that moves, clothes reach a little farther than skin; pixels."""


def main() -> int:
    """Read the command line and film; 1 if a seed could not be filmed."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("out", type=Path)
    parser.add_argument("--seeds", nargs="+", default=["0-11"], help="first-last, or single ones")
    parser.add_argument("--poses", type=Path, nargs="*", default=[], help="folders of make_stills.py")
    parser.add_argument("--rate", type=int, default=60, help="frames a second")
    parser.add_argument("--replace", action="store_true", help="film again what is already there")
    parser.add_argument("--only-truth", action="store_true", help="write the truth anew; film nothing")
    options = parser.parse_args()
    failed = 0
    for seed in (s for said in options.seeds for s in _range(said)):
        folder = options.out / (f"stroke_{seed:03d}" if options.rate == 60 else f"stroke_{seed:03d}_{options.rate}")
        if (folder / "truth.json").exists() and not options.replace and not options.only_truth:
            continue
        start = time.monotonic()
        try:
            film_seed(seed, folder, rate=options.rate, poses=options.poses, only_truth=options.only_truth)
        except Exception as error:  # the others are still wanted
            failed += 1
            sys.stderr.write(f"seed {seed} could not be filmed: {type(error).__name__}: {error}\n")
        else:
            sys.stdout.write(f"seed {seed} {time.monotonic() - start:.0f} s\n")
        sys.stdout.flush()
    return int(failed > 0)


def film_seed(seed: int, folder: Path, *, rate: int, poses: list[Path], only_truth: bool = False) -> None:
    """Film one golfer from both sides and write what is true."""
    folder.mkdir(parents=True, exist_ok=True)
    golfer = dress_golfer(seed, poses)
    plan = draw_plan(np.random.default_rng([seed, STUDY, 10]), golfer, SCENARIOS[seed % len(SCENARIOS)])
    take = Take(golfer, plan, strays=stray_balls(np.random.default_rng([seed, STUDY, 11]), golfer))
    hard = seed % HARD_EVERY == HARD_EVERY - 1
    shaken = seed % SHAKEN_EVERY == SHAKEN_EVERY - 1
    shutter = SHUTTER if seed % SMEARED_EVERY == 0 else 0.0
    views = {}
    for k, view in enumerate(VIEWS):
        rng = np.random.default_rng([seed, STUDY, 12, k])
        starts = float(rng.uniform(0, LATEST_START))
        times = np.arange(int((plan.duration - starts) * rate)) / rate
        condition = attrs.evolve(draw_condition(rng, "hard" if hard else "usual"), quality="clean", shape="portrait")
        # the same camera as the stills would have, on a coarser grid
        fine = place_camera(rng, golfer, view, shot="hard" if hard else "usual", part="tuning", shape=condition.shape)
        camera = attrs.evolve(
            fine, width=int(fine.width / SMALLER), height=int(fine.height / SMALLER), focal=fine.focal / SMALLER
        )
        hand = Hand(shift=2.5, turn=0.003, seed=seed) if shaken else Hand()
        if not only_truth:
            room = draw_surroundings(rng, golfer, condition, "tuning")
            light, style = draw_light(rng, camera, condition), draw_style(rng, condition, "tuning")
            empty = draw_room(camera, room, aim=np.array([0.0, golfer.hands[1], 0.0]))
            stage = Stage(camera, empty, light, style, window=take.window(camera, light, margin=MARGIN))
            frames = take.film(stage, camera, times + starts, hand=hand, shutter=shutter)
            size = (camera.width, camera.height)
            stock = Stock(quality=20 if not hard else 26)
            noise = float(rng.uniform(0.8, 2.5))
            pictures = zip(times.tolist(), with_grain(frames, rng, size, spread=noise), strict=True)
            write_clip(folder / f"{view}.mp4", pictures, size=size, rate=rate, stock=stock)
            stage.close()
        np.savez_compressed(
            folder / f"{view}.npz", times_s=times, **_small(take.tell_frames(camera, times + starts, hand=hand))
        )
        views[view] = {
            "file": f"{view}.mp4",
            "rate": rate,
            "frames": len(times),
            "starts_s": round(starts, 5),
            "condition": attrs.asdict(condition),
            "shaken": shaken,
            "shutter_s": round(shutter, 5),
            **describe_view(golfer, camera),
        }
    truth = {
        "seed": seed,
        "part": "tuning" if seed in LOOKED_AT else part_of(seed),
        "scenario": plan.scenario,
        **describe(golfer),
        "clothes": describe_outfit(golfer.student.outfit),
        "quiet_s": [list(span) for span in plan.quiet],
        "address_exact_s": list(plan.marks),
        "strokes": take.tell_strokes(),
        "views": views,
    }
    truth["ball_m"] = np.round(take.ball_at(0.0) * [1, -1, 1], 5).tolist()
    (folder / "truth.json").write_text(json.dumps(truth, indent=1) + "\n")


def dress_golfer(seed: int, poses: list[Path]) -> Golfer:
    """Make the golfer of a seed as make_stills.py does, in an outfit drawn less finely."""
    rng = np.random.default_rng([seed, STUDY])
    student = draw_person(rng, part_of(seed))
    solved = None
    for told in (folder / f"golfer_{seed:03d}_usual" / "truth.json" for folder in poses):
        if told.exists():
            truth = json.loads(told.read_text())
            solved = truth["tries"], np.array(truth["pose"])
            break
    golfer, _ = cast_golfer(rng, student, solved=solved)
    rng = np.random.default_rng([seed, STUDY, 1])
    outfit = draw_outfit(rng, sex=golfer.student.sex, patterned=False)
    return wear(golfer, outfit, draw_gear(rng), fine=FINE)


def with_grain(
    frames: Iterator[Array], rng: np.random.Generator, size: tuple[int, int], *, spread: float
) -> Iterator[Array]:
    """Add a sensor's noise, a few pictures of it used in turn."""
    grain = rng.normal(0.0, spread, (GRAINS, size[1], size[0], 1)).round()
    lighter, darker = (np.repeat(np.maximum(k * grain, 0).astype(np.uint8), 3, axis=3) for k in (1, -1))
    for k, picture in enumerate(frames):
        yield cv2.subtract(cv2.add(picture, lighter[k % GRAINS]), darker[k % GRAINS])


def _small(told: dict[str, Array]) -> dict[str, Any]:
    """Single precision: a hundredth of a pixel is enough."""
    return {name: value.astype(np.float32) if value.dtype == np.float64 else value for name, value in told.items()}


def _range(said: str) -> range:
    first, _, last = said.partition("-")
    return range(int(first), int(last or first) + 1)


if __name__ == "__main__":
    sys.exit(main())
