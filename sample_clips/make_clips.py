"""Make the sample clips: `python make_clips.py [--only NAME] [--out DIR]`.

Each pair gets a folder with down_the_line, face_on and truth.json; scenario.json lists them with the facts that the
program is told.
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
from golfers.camera import Camera, View, stand_camera
from golfers.film import frame_times, write_clip
from golfers.golfer import CENTIMETRES_PER_INCH, describe, describe_view
from golfers.performance import Performance
from golfers.room import draw_room
from golfers.scene import Stage
from golfers.script import PAIRS, Pair
from golfers.stroke import STILL_FOR, SWAY

RATE = 30
SIZE = (720, 1280)
GRAIN = 0.9
"""Standard deviation of the sensor's noise, of 255."""
GRAINS = 12
"""Different pictures of noise, used in turn."""
SEED = 7


def main() -> None:
    """Read the command line and make the clips."""
    parser = argparse.ArgumentParser(description=__doc__)
    names = [pair.name for pair in PAIRS]
    parser.add_argument("--only", choices=[*names, "scenario"], help="one pair, or just scenario.json")
    parser.add_argument("--out", type=Path, default=Path(__file__).parent)
    parser.add_argument("--only-truth", action="store_true", help="write the truth files anew; film nothing")
    options = parser.parse_args()
    scenario = []
    for pair in PAIRS:
        if options.only in (None, pair.name):
            start = time.monotonic()
            if options.only_truth:
                retell_pair(pair, options.out / pair.name)
            else:
                make_pair(pair, options.out / pair.name)
            sys.stdout.write(f"{pair.name} {time.monotonic() - start:.0f} s\n")
            sys.stdout.flush()
        scenario.append(describe_pair(pair))
    (options.out / "scenario.json").write_text(
        json.dumps({"invented": True, "note": SCENARIO_NOTE, "pairs": scenario}, indent=1) + "\n"
    )


SCENARIO_NOTE = (
    "No person here exists. The golfers are rendered bodies, their names and lessons are made up for the demonstration."
)


def make_pair(pair: Pair, folder: Path) -> None:
    """Make one pair's two clips and its truth file."""
    folder.mkdir(parents=True, exist_ok=True)
    performance = pair.perform()
    golfer = performance.golfer
    truth: dict[str, Any] = {"name": pair.name, "student_name": pair.student_name, **describe(golfer)}
    truth["sway"] = {"radians": SWAY, "nothing_at_s": performance.marks, "fades_over_s": STILL_FOR}
    truth["strokes"] = describe_strokes(performance)
    truth["address"] = [list(span) for span in pair.address]
    truth["address_exact_s"] = list(performance.marks)
    truth["views"] = {}
    for view, stock in pair.stocks.items():
        camera = stand(pair, performance, view)
        aim = np.array([0.0, golfer.hands[1], 0.0])
        stage = Stage(camera, draw_room(camera, pair.room, aim=aim), pair.light)
        times = frame_times(performance.duration, RATE, variable=stock.variable_rate, seed=SEED)
        path = folder / f"{view}{pair.suffixes[view]}"
        write_clip(path, film(stage, performance, view, times), size=SIZE, rate=RATE, stock=stock)
        stage.close()
        facts = {"frames": len(times), "nominal_rate": RATE, **attrs.asdict(stock), "bytes": path.stat().st_size}
        truth["views"][view] = {"file": path.name, "stored": facts, **describe_view(golfer, camera)}
    (folder / "truth.json").write_text(json.dumps(truth, indent=1) + "\n")


def retell_pair(pair: Pair, folder: Path) -> None:
    """Write a pair's truth file anew, whose clips stay as they are."""
    path = folder / "truth.json"
    truth = json.loads(path.read_text())
    performance = pair.perform()
    truth |= describe(performance.golfer)
    for view in pair.stocks:
        truth["views"][view] |= describe_view(performance.golfer, stand(pair, performance, view))
    path.write_text(json.dumps(truth, indent=1) + "\n")


def stand(pair: Pair, performance: Performance, view: View) -> Camera:
    """Stand the camera of one view."""
    golfer = performance.golfer
    aim = golfer.hands * [0, 1, 0] + np.array([0.0, 0.0, pair.aim_height])
    return stand_camera(view=view, mirror=golfer.mirror, aim=aim, size=SIZE, **pair.cameras[view])


def film(stage: Stage, performance: Performance, view: View, times: Array) -> Iterator[tuple[float, Array]]:
    """Draw each frame, with a little grain."""
    grain = np.random.default_rng(SEED).normal(0.0, GRAIN, (GRAINS, SIZE[1], SIZE[0], 1)).round()
    lighter, darker = (np.repeat(np.maximum(k * grain, 0).astype(np.uint8), 3, axis=3) for k in (1, -1))
    for k, moment in enumerate(times):
        picture, _ = stage.draw(performance.shapes_at(float(moment), view))
        yield float(moment), cv2.subtract(cv2.add(picture, lighter[k % GRAINS]), darker[k % GRAINS])


def describe_strokes(performance: Performance) -> list[dict[str, Any]]:
    """When each stroke's parts happen."""
    return [
        {
            "kind": "practice" if idle else "putt",
            "start_s": round(stroke.start, 4),
            "top_s": round(stroke.top, 4),
            "impact_s": round(stroke.impact, 4),
            "finish_s": round(stroke.finish, 4),
            "hold_until_s": round(stroke.finish + stroke.hold, 4),
        }
        for stroke, idle in zip(performance.strokes, performance.practice, strict=True)
    ]


def describe_pair(pair: Pair) -> dict[str, Any]:
    """Describe what the program is told about a pair."""
    inches = pair.putter_length / CENTIMETRES_PER_INCH * 100
    return {
        "name": pair.name,
        "student": pair.student_name,
        "story": pair.story,
        "down_the_line": f"{pair.name}/down_the_line{pair.suffixes['down_the_line']}",
        "face_on": f"{pair.name}/face_on{pair.suffixes['face_on']}",
        "truth": f"{pair.name}/truth.json",
        "options": {
            "stature": f"{100 * pair.student.stature:.0f}cm",
            "handed": pair.student.handed,
            "sex": pair.student.sex,
            "putter_length": f"{inches:g}in",
        },
        "said": pair.said,
    }


if __name__ == "__main__":
    main()
