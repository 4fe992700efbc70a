"""How far the rig's bones lie from the anatomical joint centres: `python compare_joints.py STILLS`.

Prints, over the golfers of a study set, where each centre lies from the start of the bone that stands for it, and what
that does to the angles; then the hip centres of an average man and woman by each published rule, and how far the rig
tears a centre apart between the bones on its two sides.
"""

from __future__ import annotations

import argparse
import json
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from golfers.anatomy import HIP_RULES, find_hip, mark_bones
from golfers.body import Array, load_body

TRUNK = ("hip", "shoulder", "elbow")
"""Told along the trunk and square to it; the others by the vertical."""
JOINTS = (*TRUNK, "knee", "ankle")
AVERAGE = {"male": 1.756, "female": 1.629}
"""Statures of ANSUR II (Gordon et al. 2014), metres."""


def main() -> None:
    """Read the command line and print the tables."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("stills", type=Path)
    options = parser.parse_args()
    told = list(read_golfers(options.stills))
    if not told:
        sys.exit(f"{options.stills} holds no shot (a folder with truth.json). Make some with make_stills.py.")
    write = sys.stdout.write
    write(f"{len(told)} golfers; from the bone to the centre, cm\n")
    for joint in JOINTS:
        ahead, up = np.array([find_step(one, joint) for one in told]).T
        share = np.array([find_trunk(one["joints_m"]) for one in told])
        write(
            f"  {joint:9s} up {up.mean():+5.1f} ± {up.std():.1f}   front {ahead.mean():+5.1f} ± {ahead.std():.1f}"
            f"   front, % of the trunk {100 * (ahead / share).mean():+5.1f}\n"
        )
    for name in ("spine_tilt", "knee_flex", "hand_offset"):
        more = np.array([one["by_bones"][name] - one["measures"][name] for one in told])
        low, high = np.quantile(more, [0.05, 0.95])
        write(f"  bones tell {name} {more.mean():+.1f} more [{low:+.1f}, {high:+.1f}]\n")
    for sex, stature in AVERAGE.items():
        body = load_body(sex=sex, stature=stature)  # type: ignore[arg-type]
        bone = body.heads[body.index["upperleg01.L"]]
        marks = mark_bones(body)
        leg = float(np.linalg.norm(marks["asis.L"] - marks["inner_malleolus.L"]))
        for rule in HIP_RULES:
            out, back, up = 100 * (find_hip(marks, "L", rule=rule, leg=leg) - bone)
            write(f"  {sex} at rest, hip by {rule}: front {-back:+.1f}, up {up:+.1f}, outward {out:+.1f} cm\n")


def read_golfers(folder: Path) -> Iterator[dict[str, Any]]:
    """Read the truth of each golfer once."""
    seen: set[int] = set()
    for path in sorted(folder.glob("*/truth.json")):
        truth = json.loads(path.read_text())
        if truth["seed"] not in seen:
            seen.add(truth["seed"])
            yield truth


def find_step(truth: dict[str, Any], joint: str) -> tuple[float, float]:
    """Return how far the centre lies in front of the bone's start and above it, cm, mid-points of both sides."""
    step = middle(truth["joints_m"], joint) - middle(truth["bones_m"], joint)
    up = np.array([0.0, 1.0])
    if joint in TRUNK:
        spine = middle(truth["joints_m"], "shoulder") - middle(truth["joints_m"], "hip")
        up = spine / np.linalg.norm(spine)
    ahead = np.array([up[1], -up[0]])
    return 100 * float(step @ ahead), 100 * float(step @ up)


def find_trunk(at: dict[str, Any]) -> float:
    """Return the length of the trunk in the plane across the target line, cm."""
    return 100 * float(np.linalg.norm(middle(at, "shoulder") - middle(at, "hip")))


def middle(at: dict[str, Any], joint: str) -> Array:
    """Return the mid-point of a joint's two sides, ahead and up, metres."""
    return np.mean([at[f"{side}_{joint}"][1:] for side in ("left", "right")], axis=0)


if __name__ == "__main__":
    main()
