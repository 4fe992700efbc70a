"""Keep a few shots of a study set with the tests, as JPEG, so that accuracy is asserted wherever the tests run.

    python tests/accuracy/keep_golfers.py STUDY_SET [--into FOLDER]

The shots are from the part of the set that the corrections are learned on: they guard what was reached, they prove
nothing. What is not learned on stays unseen until the study.
"""

import argparse
import json
import sys
from pathlib import Path
from typing import Final

import cv2
from shots import Shot, read_shots

__all__ = ["KEPT", "keep_shot"]

HERE: Final = Path(__file__).parent / "golfers"

KEPT: Final = (
    "golfer_040_usual",
    "golfer_041_hard",
    "golfer_042_usual",
    "golfer_043_hard",
    "golfer_044_usual",
    "golfer_045_hard",
)
"""The first six golfers of the last eight to tune on, well and badly filmed in turn: both hands, both sexes, skirt,
shorts, loose and close trousers, short and long sleeves, a cap, backlight, shade, blur and compression."""

QUALITY: Final = 90
"""Of 100: what phones store is no worse, and a dozen pictures stay under 4 MB."""


def keep_shot(shot: Shot, into: Path) -> None:
    """Write a shot's two pictures as JPEG and its truth without the masks.

    Parameters
    ----------
    shot : Shot
    into : Path
        Folder in which the shot's own folder is made.
    """
    folder = into / shot.name
    folder.mkdir(parents=True, exist_ok=True)
    truth = dict(shot.truth)
    truth["views"] = {}
    for view, about in shot.truth["views"].items():
        name = f"{Path(about['file']).stem}.jpg"
        picture = cv2.imread(str(shot.folder / about["file"]))
        cv2.imwrite(str(folder / name), picture, [cv2.IMWRITE_JPEG_QUALITY, QUALITY, cv2.IMWRITE_JPEG_OPTIMIZE, 1])
        truth["views"][view] = {key: value for key, value in about.items() if key != "mask"} | {"file": name}
    (folder / "truth.json").write_text(json.dumps(truth, separators=(",", ":")) + "\n", encoding="utf-8")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("study_set", type=Path)
    parser.add_argument("--into", type=Path, default=HERE)
    options = parser.parse_args()
    shots = {shot.name: shot for shot in read_shots(options.study_set)}
    missing = [name for name in KEPT if name not in shots]
    if missing:
        sys.exit(f"{options.study_set} lacks {', '.join(missing)}; make them with sample_clips/make_stills.py.")
    for name in KEPT:
        keep_shot(shots[name], options.into)


if __name__ == "__main__":
    main()
