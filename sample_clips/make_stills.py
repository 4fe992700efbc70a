"""Make stills of varied golfers with known posture: `python make_stills.py OUT --seeds 0-39`.

For each seed a folder golfer_NN with down_the_line and face_on pictures (dtl.png, fo.png), outline masks
(dtl_mask.png, fo_mask.png) and truth.json. The same seed makes the same golfer.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from pathlib import Path

import attrs
import cv2
import numpy as np
from golfers.camera import Camera, View, stand_camera
from golfers.golfer import Golfer, Student, describe, describe_view, fits, set_up
from golfers.pose import Wish
from golfers.room import Room, draw_room
from golfers.scene import Light, Stage
from golfers.wardrobe import HAIR_COLOURS, SKIN_TONES, Outfit

PICTURES: dict[View, str] = {"down_the_line": "dtl", "face_on": "fo"}
STATURES = {"male": (1.757, 0.075), "female": (1.630, 0.068)}
"""Mean and standard deviation, metres: US Army survey of 2012 (Gordon et al. 2014), spread a little wider."""
MOST_TRIES = 8
CLOSE_ENOUGH = {"spine_tilt": 2.0, "hand_offset": 1.5, "knee_flex": 3.0}
"""How far a solved posture may be from the wish before another one is drawn, degrees and centimetres."""


def main() -> None:
    """Read the command line and make the stills."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("out", type=Path)
    parser.add_argument("--seeds", default="0-39", help="first-last")
    parser.add_argument("--replace", action="store_true", help="make golfers again that are already there")
    options = parser.parse_args()
    first, last = (int(s) for s in options.seeds.split("-"))
    for seed in range(first, last + 1):
        folder = options.out / f"golfer_{seed:02d}"
        if (folder / "truth.json").exists() and not options.replace:
            continue
        start = time.monotonic()
        make_golfer(seed, folder)
        sys.stdout.write(f"{folder.name} {time.monotonic() - start:.0f} s\n")
        sys.stdout.flush()


def make_golfer(seed: int, folder: Path) -> None:
    """Make one golfer's pictures and truth file."""
    rng = np.random.default_rng([seed, 2026])
    student = draw_student(rng)
    golfer, tries = stand_golfer(rng, student)
    truth = {"seed": seed, "tries": tries, **describe(golfer), "views": {}}
    folder.mkdir(parents=True, exist_ok=True)
    room, light = draw_surroundings(rng, seed)
    for view, name in PICTURES.items():
        camera = place_camera(rng, golfer, view)
        aim = np.array([0.0, golfer.hands[1], 0.0])
        stage = Stage(camera, draw_room(camera, room, aim=aim), light)
        shapes = golfer.shapes()
        picture, _ = stage.draw(shapes)
        cv2.imwrite(str(folder / f"{name}.png"), cv2.cvtColor(picture, cv2.COLOR_RGB2BGR))
        cv2.imwrite(str(folder / f"{name}_mask.png"), stage.outline(shapes))
        stage.close()
        truth["views"][view] = {"file": f"{name}.png", "mask": f"{name}_mask.png", **describe_view(golfer, camera)}
    (folder / "truth.json").write_text(json.dumps(truth, indent=1) + "\n")


def draw_student(rng: np.random.Generator) -> Student:
    """Draw a body and clothes."""
    sex = str(rng.choice(["male", "female"]))
    mean, spread = STATURES[sex]
    bright = tuple(float(c) for c in rng.uniform(0.08, 0.95, 3))
    outfit = Outfit(
        skin=SKIN_TONES[rng.integers(len(SKIN_TONES))],
        shirt=bright,
        sleeves=str(rng.choice(["short", "short", "long"])),  # type: ignore[arg-type]
        trousers=tuple(float(c) for c in rng.uniform(0.08, 0.75) * np.array([1.0, 0.95, 0.88])),
        legs=str(rng.choice(["long", "long", "long", "shorts"])),  # type: ignore[arg-type]
        shoes=tuple(float(c) for c in rng.uniform(0.15, 0.95) * np.ones(3)),
        hair=HAIR_COLOURS[rng.integers(len(HAIR_COLOURS))],
        hair_style=str(rng.choice(["short", "cap"] if sex == "male" else ["long", "long", "cap"])),  # type: ignore[arg-type]
    )
    return Student(
        sex=sex,  # type: ignore[arg-type]
        stature=float(np.clip(rng.normal(mean, spread), 1.50, 1.98)),
        handed=str(rng.choice(["right", "right", "left"])),  # type: ignore[arg-type]
        weight=float(rng.uniform(0.25, 0.80)),
        muscle=float(rng.uniform(0.35, 0.75)),
        proportions=float(rng.uniform(0.35, 0.80)),
        outfit=outfit,
    )


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


def stand_golfer(rng: np.random.Generator, student: Student) -> tuple[Golfer, int]:
    """Draw postures until the body can take one."""
    for tries in range(1, MOST_TRIES + 1):
        wish = draw_wish(rng)
        golfer = set_up(student, wish, butt_above=float(rng.uniform(0.10, 0.17)))
        got = golfer.truth.measures
        if all(abs((got[name] or 0.0) - getattr(wish, name)) <= limit for name, limit in CLOSE_ENOUGH.items()):
            return golfer, tries
    msg = f"No posture within reach of this body was found in {MOST_TRIES} tries. Use another seed."
    raise RuntimeError(msg)


def draw_surroundings(rng: np.random.Generator, seed: int) -> tuple[Room, Light]:
    """Draw a room and its light."""
    room = Room(
        green=tuple(float(c) for c in np.array([0.34, 0.50, 0.29]) * rng.uniform(0.75, 1.25)),
        wall=tuple(float(c) for c in np.clip(rng.uniform(0.45, 0.88) + rng.normal(0, 0.03, 3), 0, 1)),
        trim=tuple(float(c) for c in rng.uniform(0.15, 0.6) * np.array([1.0, 0.8, 0.65])),
        wall_distance=float(rng.uniform(1.8, 4.5)),
        post_every=float(rng.uniform(1.2, 2.6)),
        seed=seed,
        brightness=float(rng.uniform(0.8, 1.1)),
    )
    light = Light(
        azimuth=float(rng.uniform(-165, -15)),
        elevation=float(rng.uniform(40, 72)),
        key=float(rng.uniform(0.6, 1.0)),
        fill=float(rng.uniform(0.35, 0.6)),
    )
    return room, light


def place_camera(rng: np.random.Generator, golfer: Golfer, view: View) -> Camera:
    """Draw a camera that has the whole golfer in the picture."""
    size = (1080, 1920) if rng.uniform() < 0.75 else (1920, 1080)
    aim = golfer.hands * [1, 1, 0] + np.array([0, 0, float(rng.uniform(0.74, 0.92))])
    if view == "face_on":
        aim[0] = 0.0
    spot = {
        "distance": float(rng.uniform(2.8, 5.0)),
        "height": float(rng.uniform(0.7, 1.3)),
        "yaw": float(rng.uniform(-6, 6)),
        "roll": float(rng.uniform(-2, 2)),
    }
    equivalent = float(rng.uniform(26, 42))
    while True:
        camera = stand_camera(view=view, mirror=golfer.mirror, aim=aim, equivalent=equivalent, size=size, **spot)
        if fits(golfer, camera) or equivalent < 16:
            return attrs.evolve(camera)
        equivalent *= 0.95


if __name__ == "__main__":
    main()
