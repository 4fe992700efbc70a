"""The shots kept with the tests are those that the script names, and small."""

import json

import cv2
import numpy as np
from keep_golfers import HERE, KEPT, keep_shot
from shots import read_shots
from test_shots import NEW

MOST_BYTES = 4_000_000
"""What every clone of the project may carry for this."""


def test_kept_golfers_are_those_that_the_script_keeps() -> None:
    assert tuple(shot.name for shot in read_shots(HERE)) == KEPT
    assert sum(path.stat().st_size for path in HERE.rglob("*")) < MOST_BYTES


def test_shot_is_kept_as_jpeg_with_its_truth_and_without_masks(tmp_path) -> None:
    folder = tmp_path / "set" / "golfer_001_hard"
    folder.mkdir(parents=True)
    ramp = np.tile(np.linspace(20, 220, 96, dtype=np.uint8)[:, None, None], (1, 64, 3))
    truth = NEW | {"views": {view: about | {"mask": "mask.png"} for view, about in NEW["views"].items()}}
    for name in ("dtl.png", "fo.png"):
        cv2.imwrite(str(folder / name), ramp)
    (folder / "truth.json").write_text(json.dumps(truth), encoding="utf-8")
    keep_shot(read_shots(tmp_path / "set")[0], tmp_path / "kept")
    (kept,) = read_shots(tmp_path / "kept")
    assert kept.truth["measures"] == truth["measures"]
    assert kept.truth["clothes"] == truth["clothes"]
    for view in ("down_the_line", "face_on"):
        assert kept.picture(view).suffix == ".jpg"
        assert "mask" not in kept.truth["views"][view]
        assert np.abs(cv2.imread(str(kept.picture(view))).astype(int) - ramp).max() <= 4
