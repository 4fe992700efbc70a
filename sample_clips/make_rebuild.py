"""Make the clips of a rebuild: `python make_rebuild.py [--out DIR]`.

One golfer without putter and ball stands still in three setups, one after the other: `rebuild/down_the_line.mp4`,
`rebuild/face_on.mp4`, and `rebuild/truth.json` with the truth of each.
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path
from typing import Any, Final

import attrs
import numpy as np
from golfers.camera import View
from golfers.film import Stock, frame_times, write_clip
from golfers.golfer import describe, describe_view, set_up
from golfers.rebuild import Rebuild
from golfers.room import draw_room
from golfers.scene import Stage
from golfers.script import PAIRS, Pair
from make_clips import SIZE, film, stand

RATE: Final = 15
STOCK: Final = Stock(quality=23)
STEPS: Final[dict[str, dict[str, float]]] = {
    "putter down": {"spine_tilt": 26.0, "hand_offset": 6.0, "elbow_bend": 18.0},
    "shoulders back": {
        "spine_tilt": 30.0, "back_rounding": 34.0, "hand_offset": 4.0, "elbow_bend": 16.0, "elbow_gap": 3.0,
    },
    "tilt from the hips": {
        "spine_tilt": 40.0, "back_rounding": 20.0, "hand_offset": 0.5, "elbow_bend": 14.0, "elbow_gap": 0.6,
        "knee_flex": 18.0,
    },
}  # fmt: skip
"""How each setup differs from the first lesson's."""
OF_THE_PUTTER: Final = (
    "eye_offset", "ball_distance", "shaft_lie", "putter_length", "ball_position", "head_position", "shaft_lean",
)  # fmt: skip
"""What cannot be known without putter and ball."""


def main() -> None:
    """Read the command line and make the clips."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=Path(__file__).parent / "rebuild")
    make_rebuild(PAIRS[0], parser.parse_args().out)


def make_rebuild(pair: Pair, folder: Path) -> None:
    """Make the two clips of a pair's student, and their truth file."""
    folder.mkdir(parents=True, exist_ok=True)
    wishes = [attrs.evolve(pair.wish, **differs) for differs in STEPS.values()]
    golfers = tuple(set_up(pair.student, wish, putter_length=pair.putter_length, fine=1) for wish in wishes)
    rebuild = Rebuild(golfers=golfers)
    truth: dict[str, Any] = {
        "invented": True,
        "student_name": pair.student_name,
        "steps": [
            {"step": name, "at_s": at, **_without_putter(describe(golfer))}
            for name, at, golfer in zip(STEPS, rebuild.marks, golfers, strict=True)
        ],
        "views": {},
    }
    views: tuple[View, ...] = ("down_the_line", "face_on")
    for view in views:
        camera = stand(pair, rebuild, view)
        aim = np.array([0.0, golfers[0].hands[1], 0.0])
        stage = Stage(camera, draw_room(camera, pair.room, aim=aim), pair.light)
        times = frame_times(rebuild.duration, RATE, variable=False)
        path = folder / f"{view}.mp4"
        write_clip(path, film(stage, rebuild, view, times), size=SIZE, rate=RATE, stock=STOCK)
        stage.close()
        truth["views"][view] = {"file": path.name, **describe_view(golfers[0], camera)}
    (folder / "truth.json").write_text(json.dumps(truth, indent=1) + "\n")


def _without_putter(told: dict[str, Any]) -> dict[str, Any]:
    measures = {name: value for name, value in told["measures"].items() if name not in OF_THE_PUTTER}
    return {"measures": measures, "pose": told["pose"]}


if __name__ == "__main__":
    main()
