"""Make stills of varied golfers with known posture: `python make_stills.py OUT --seeds 0-95`.

For each seed two folders, golfer_NNN_usual and golfer_NNN_hard: the same golfer, once filmed as asked for and once
badly. Each holds down_the_line and face_on pictures (dtl.png, fo.png), outline masks (dtl_mask.png, fo_mask.png) and
truth.json. The same seed makes the same golfer.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from pathlib import Path
from typing import Any, get_args

import attrs
import cv2
import numpy as np
from golfers.camera import View
from golfers.cast import (
    cast_golfer,
    describe_outfit,
    draw_gear,
    draw_outfit,
    draw_student,
    draw_unusual_outfit,
    draw_unusual_student,
)
from golfers.golfer import Golfer, Student, describe, describe_view, set_up, wear
from golfers.planted import cast_planted, draw_planted_student, fault_of
from golfers.pose import Wish
from golfers.room import draw_room
from golfers.scene import Stage
from golfers.shapes import Shape, shape_ball
from golfers.shots import (
    Part,
    Shot,
    develop_picture,
    draw_condition,
    draw_light,
    draw_style,
    draw_surroundings,
    part_of,
    place_camera,
    stray_balls,
)

PICTURES: dict[View, str] = {"down_the_line": "dtl", "face_on": "fo"}
STUDY = 2027
"""Seeds of all draws start from this and the golfer's own."""
FAST_PNG = (cv2.IMWRITE_PNG_COMPRESSION, 2)


def main() -> int:
    """Read the command line and make the stills; 1 if a golfer could not be made."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("out", type=Path)
    parser.add_argument("--seeds", default="0-95", help="first-last")
    parser.add_argument("--shots", nargs="+", choices=get_args(Shot), default=get_args(Shot), help="by default both")
    parser.add_argument("--replace", action="store_true", help="make golfers again that are already there")
    parser.add_argument("--only-truth", action="store_true", help="write the truth of those there anew; draw nothing")
    options = parser.parse_args()
    first, last = (int(s) for s in options.seeds.split("-"))
    failed = 0
    for seed in range(first, last + 1):
        folders: dict[Shot, Path] = {shot: options.out / f"golfer_{seed:03d}_{shot}" for shot in options.shots}
        there = [(folder / "truth.json").exists() for folder in folders.values()]
        if not any(there) if options.only_truth else all(there) and not options.replace:
            continue
        start = time.monotonic()
        try:
            if options.only_truth:
                retell_golfer(seed, folders)
            else:
                make_golfer(seed, folders)
        except Exception as error:  # the other golfers are still wanted
            failed += 1
            sys.stderr.write(f"golfer {seed} could not be made: {type(error).__name__}: {error}\n")
        else:
            sys.stdout.write(f"golfer {seed} {time.monotonic() - start:.0f} s\n")
        sys.stdout.flush()
    return int(failed > 0)


def make_golfer(seed: int, folders: dict[Shot, Path]) -> None:
    """Make one golfer's pictures and truth files: solved and dressed once, filmed in every shot."""
    part = part_of(seed)
    rng = np.random.default_rng([seed, STUDY])
    unusual = part == "unusual"
    planted: dict[str, Any] = {}
    if part == "planted":
        golfer, tries, what = cast_planted(rng, draw_person(rng, part), fault_of(seed))
        planted = {"planted": attrs.asdict(what)}
    else:
        golfer, tries = cast_golfer(rng, draw_person(rng, part), unusual=unusual)
    rng = np.random.default_rng([seed, STUDY, 1])
    if unusual:
        outfit = draw_unusual_outfit(rng, sex=golfer.student.sex)
    else:
        outfit = draw_outfit(rng, sex=golfer.student.sex, patterned=part == "other_renderer")
    gear = draw_gear(rng)
    golfer = wear(golfer, outfit, gear)
    shapes = golfer.shapes()
    told = {
        "seed": seed,
        "part": part,
        "tries": tries,
        **planted,
        **describe(golfer),
        "clothes": describe_outfit(outfit),
        "gear": attrs.asdict(gear),
    }
    for shot, folder in folders.items():
        folder.mkdir(parents=True, exist_ok=True)
        views, k = {}, get_args(Shot).index(shot)
        for m, (view, name) in enumerate(PICTURES.items()):
            rng = np.random.default_rng([seed, STUDY, 2, k, m])
            views[view] = film(rng, golfer, shapes, view=view, shot=shot, part=part, stem=folder / name)
        truth = {**told, "shot": shot, "views": views}
        (folder / "truth.json").write_text(json.dumps(truth, indent=1) + "\n")


def draw_person(rng: np.random.Generator, part: Part) -> Student:
    """Draw a body for a part of the study."""
    draw = {"unusual": draw_unusual_student, "planted": draw_planted_student}.get(part, draw_student)
    return draw(rng)


def retell_golfer(seed: int, folders: dict[Shot, Path]) -> None:
    """Write the truth of a golfer anew, whose pose and pictures stay as they are."""
    for shot, folder in folders.items():
        path = folder / "truth.json"
        if not path.exists():
            continue
        told = json.loads(path.read_text())
        rng = np.random.default_rng([seed, STUDY])
        solved = (told["tries"], np.array(told["pose"])) if "pose" in told else None
        part = part_of(seed)
        student = draw_person(rng, part)
        if part == "planted":
            length = told["student"]["putter_length_cm"] / 100
            golfer = set_up(student, Wish(**told["wish"]), putter_length=length, angles=np.array(told["pose"]))
        else:
            golfer, _ = cast_golfer(rng, student, unusual=part == "unusual", solved=solved)
        told |= describe(golfer)
        for m, view in enumerate(PICTURES):
            rng = np.random.default_rng([seed, STUDY, 2, get_args(Shot).index(shot), m])
            condition = draw_condition(rng, shot)
            camera = place_camera(rng, golfer, view, shot=shot, part=part_of(seed), shape=condition.shape)
            told["views"][view] |= describe_view(golfer, camera)
        path.write_text(json.dumps(told, indent=1) + "\n")


def film(
    rng: np.random.Generator,
    golfer: Golfer,
    shapes: list[Shape],
    *,
    view: View,
    shot: Shot,
    part: Part,
    stem: Path,
) -> dict[str, Any]:
    """Make one picture and its mask; return what the truth file says of them."""
    condition = draw_condition(rng, shot)
    camera = place_camera(rng, golfer, view, shot=shot, part=part, shape=condition.shape)
    room = draw_surroundings(rng, golfer, condition, part)
    light, style = draw_light(rng, camera, condition), draw_style(rng, condition, part)
    strays = [shape_ball(at, mirror=golfer.mirror, colour=golfer.gear.ball) for at in stray_balls(rng, golfer)]
    stage = Stage(camera, draw_room(camera, room, aim=np.array([0.0, golfer.hands[1], 0.0])), light, style)
    picture, _ = stage.draw([*shapes, *strays])
    mask = stage.outline(shapes)
    stage.close()
    picture = develop_picture(picture, rng, condition, part)
    picture_file, mask_file = (stem.with_name(f"{stem.name}{end}.png") for end in ("", "_mask"))
    cv2.imwrite(str(picture_file), np.ascontiguousarray(picture[..., ::-1]), FAST_PNG)
    cv2.imwrite(str(mask_file), mask)
    return {
        "file": picture_file.name,
        "mask": mask_file.name,
        "condition": attrs.asdict(condition),
        "style": attrs.asdict(style),
        **describe_view(golfer, camera),
    }


if __name__ == "__main__":
    sys.exit(main())
