"""Detect what is in the clips and stills of the tests, and keep it in `tests/detected/`.

Run it as ``python tests/accuracy/keep_detections.py`` after a change to detection that is meant to change what is
found; it makes every file again. What is not here, each run of the tests detects anew: the sample pair `before` and the
golfers of the accuracy study.
"""

from collections.abc import Mapping
from pathlib import Path
from typing import Final

from kept_detections import TRAVELLING, key_of, write_detections

from putt_posture.clips import read_clip
from putt_posture.detection.detect import Detection, detect_in_clips
from putt_posture.values import VIEWS, Clip, View

__all__ = ["KEPT", "detect_anew", "file_of"]

TESTS: Final = Path(__file__).parents[1]


def _pair(name: str) -> dict[View, Path]:
    return {view: next((TESTS.parent / "sample_clips" / name).glob(f"{view}.*")) for view in VIEWS}


KEPT: Final[Mapping[str, Mapping[View, Path]]] = {
    **{name: _pair(name) for name in ("after", "left_hander", "filmed_badly")},
    **{f"golfer_{view}": {view: TESTS / "landmarks" / "pictures" / f"golfer_{view}.jpg"} for view in VIEWS},
}
"""What is kept, by name: the files that are detected together, each in its view."""


def clips_of(name: str) -> dict[View, Clip]:
    """Read the clips of one entry.

    Parameters
    ----------
    name : str
        In `KEPT`.
    """
    return {view: read_clip(path, view=view) for view, path in KEPT[name].items()}


def detect_anew(name: str) -> dict[View, Detection]:
    """Detect what the clips of one entry show.

    Parameters
    ----------
    name : str
        In `KEPT`.
    """
    return detect_in_clips(clips_of(name))


def file_of(name: str) -> Path:
    """Return the file in which the detection of one entry is kept.

    Parameters
    ----------
    name : str
        In `KEPT`.
    """
    clips = clips_of(name)
    return TRAVELLING / f"{name}-{key_of(clips.values(), [(None, None, False)] * len(clips))}.npz.xz"


if __name__ == "__main__":
    TRAVELLING.mkdir(exist_ok=True)
    for old in TRAVELLING.glob("*.npz.xz"):
        old.unlink()
    for each in KEPT:
        write_detections(detect_anew(each), file_of(each))
        print(file_of(each).name, file_of(each).stat().st_size)
