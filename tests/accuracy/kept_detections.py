"""Detections that are kept: detecting is the slow part, and most tests and changes are about what follows.

A kept detection is found again only where all that it depends on is the same: the clips' digests, the views, what the
coach said of setups and student, and, between runs, the source of every module that detection imports, their data
files, and the versions of the libraries.

Those in `tests/detected/` travel with the tests, so that a run detects few clips anew; `keep_detections.py` makes them,
and a test of the second step compares each with a fresh one.
"""

import functools
import hashlib
import importlib.metadata
import io
import json
import lzma
import os
import platform
import sys
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import IO, Any, Final, Literal

import grimp
import numpy as np
from filelock import FileLock

import putt_posture
from putt_posture.clips import read_clip, read_frames_at
from putt_posture.detection.detect import Detection, detect_in_clips
from putt_posture.documents.json_values import as_json, as_value
from putt_posture.values import Clip, Landmarks, Point, Progress, Setup, View

__all__ = [
    "TRAVELLING",
    "code_digest",
    "detect_in_stills",
    "detect_or_take",
    "key_of",
    "modules_of_detection",
    "parts_of_detection",
    "write_detections",
]

_PACKAGE: Final = "putt_posture"
_ROOT: Final = Path(putt_posture.__file__).parent
_LIBRARIES: Final = ("av", "mediapipe", "numpy", "opencv-contrib-python", "pillow", "pillow-heif", "scipy")
_WEIGHTS: Final = ".task"
"""Weights are checked against digests.json before each use, so that their digests stand for them."""


TRAVELLING: Final = Path(__file__).parents[1] / "detected"
"""The detections that travel with the tests, by `key_of`."""
_ARRAYS: Final = ("times_s", "setup_index", "points_px", "visibility", "depth", "masks", "outlines")
_FIELDS: Final = ("mask_box_px", "size_px", "model", "notes")


def detect_in_stills(pictures: Mapping[View, Path], *, cache: Path | None = None) -> dict[View, Detection]:
    """Detect what the stills of one shot show as the command does, or take the detections that were kept.

    Parameters
    ----------
    pictures : mapping of View to Path
    cache : Path, optional
        Folder of kept detections, of this run or of an earlier one; made where it is not there.
    """
    clips = {view: read_clip(path, view=view) for view, path in pictures.items()}
    if cache is None:
        return detect_in_clips(clips)
    return detect_or_take(clips, cache=cache, code=code_digest())


def detect_or_take(
    clips: Mapping[View, Clip],
    *,
    cache: Path,
    code: str = "",
    setup_at: Mapping[View, Sequence[float]] | None = None,
    student_at: Mapping[View, Point] | None = None,
    without_putter: bool = False,
    progress: Progress | None = None,
) -> dict[View, Detection]:
    """Detect what clips show, or take the detections that were kept; two processes never detect the same.

    Those that travel with the tests are taken too, unless the code is named: then only what that code found.

    Parameters
    ----------
    clips : mapping of View to Clip
    cache : Path
        Folder of kept detections; made where it is not there.
    code : str
        What the code is known by; empty where the folder is of one run.
    setup_at, student_at, without_putter, progress
        As for `detect_in_clips`.
    """
    cache.mkdir(parents=True, exist_ok=True)
    stills = [(view,) for view, clip in clips.items() if clip.kind == "still"]
    videos = tuple(view for view, clip in clips.items() if clip.kind != "still")
    found: dict[View, Detection] = {}
    for group in [*stills, *([videos] if videos else [])]:
        together = {view: clips[view] for view in group}
        said = [((setup_at or {}).get(view), (student_at or {}).get(view), without_putter) for view in group]
        key = key_of(together.values(), said, code)
        if not code and (travelling := next(TRAVELLING.glob(f"*-{key}.npz.xz"), None)) is not None:
            found |= _take(travelling, together)
            continue
        file = cache / f"{key}.npz"
        with FileLock(f"{file}.lock"):
            if not file.exists():
                fresh = detect_in_clips(
                    together,
                    setup_at=setup_at,
                    student_at=student_at,
                    without_putter=without_putter,
                    progress=progress,
                )
                write_detections(fresh, file)
            found |= _take(file, together)
    return {view: found[view] for view in clips}


@functools.cache
def code_digest(root: Path = _ROOT) -> str:
    """Return the digest of all that looking depends on, apart from the picture: source, data files, libraries.

    Parameters
    ----------
    root : Path
        Folder of the package's source.
    """
    digest = hashlib.sha256(platform.python_version().encode())
    for library in _LIBRARIES:
        digest.update(f"{library} {importlib.metadata.version(library)}\n".encode())
    for path in _sources(root):
        digest.update(f"{path.relative_to(root)}\n".encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()


@functools.cache
def modules_of_detection() -> frozenset[str]:
    """Return the modules that `putt_posture.detection.detect` imports, directly or through others, itself included."""
    graph = grimp.build_graph(_PACKAGE, cache_dir=None)
    start = f"{_PACKAGE}.detection.detect"
    return frozenset({start, *graph.find_upstream_modules(start)})


def parts_of_detection() -> dict[tuple[str, ...], object]:
    """Return every name of the modules that detection imports and of their classes, with what it stands for now.

    Where two answers differ a test has replaced a part, and what is then detected is neither kept nor taken.
    """
    parts: dict[tuple[str, ...], object] = {}
    for module in sorted(modules_of_detection() & sys.modules.keys()):
        for name, part in vars(sys.modules[module]).items():
            parts[module, name] = part
            if isinstance(part, type) and part.__module__ == module:
                parts.update({(module, name, inner): each for inner, each in vars(part).items()})
    return parts


def _sources(root: Path) -> list[Path]:
    """Return the source files of the modules of looking and the data files beside them."""
    files, folders = set(), set()
    for module in modules_of_detection():
        place = root.joinpath(*module.split(".")[1:])
        package = (place / "__init__.py").is_file()
        files.add(place / "__init__.py" if package else place.with_suffix(".py"))
        folders.add(place if package else place.parent)
    for folder in folders - {root}:
        beside = (path for path in folder.rglob("*") if path.is_file() and "__pycache__" not in path.parts)
        files |= {path for path in beside if path.suffix not in {".py", _WEIGHTS}}
    return sorted(files)


def key_of(clips: Iterable[Clip], said: object, code: str = "") -> str:
    """Return what a detection is known by.

    Parameters
    ----------
    clips : iterable of Clip
        Those that were detected together.
    said : object
        For each of them the times of the setups, the place of the student, and whether there was a putter.
    code : str
        As for `detect_or_take`.
    """
    known = [(clip.sha256, clip.view, clip.time_stretch) for clip in clips]
    return hashlib.sha256(repr((known, said, code)).encode()).hexdigest()[:40]


def write_detections(detections: Mapping[View, Detection], file: Path) -> None:
    """Write detections without their pictures, which are read from the clips again; all of the file or nothing.

    Parameters
    ----------
    detections : mapping of View to Detection
    file : Path
        Ends in ``.npz``, or in ``.npz.xz`` where it is to be small.
    """
    arrays: dict[str, Any] = {}
    texts: dict[str, Any] = {}
    for view, each in detections.items():
        arrays |= {f"{view}.{name}": getattr(each.landmarks, name) for name in _ARRAYS}
        texts[view] = {
            "setups": [as_json(setup) for setup in each.setups],
            "landmarks": {name: as_json(getattr(each.landmarks, name)) for name in _FIELDS},
            "still_s": float(each.still.time_s),
            "still_index": int(each.still_index),
            "notes": list(each.notes),
        }
    unfinished = file.with_suffix(f".{os.getpid()}")
    with _opened(unfinished, "wb", small=file.suffix == ".xz") as stream:
        np.savez(stream, texts=np.array(json.dumps(texts)), **arrays)
    unfinished.replace(file)


def _opened(file: Path, mode: Literal["rb", "wb"], *, small: bool) -> IO[bytes]:
    return lzma.open(file, mode) if small else file.open(mode)


def _take(file: Path, clips: Mapping[View, Clip]) -> dict[View, Detection]:
    found = {}
    with _opened(file, "rb", small=file.suffix == ".xz") as stream:
        arrays = np.load(io.BytesIO(stream.read()))
        texts = json.loads(str(arrays["texts"]))
        for view, clip in clips.items():
            each = texts[view]
            fields = each["landmarks"]
            (still,) = read_frames_at(clip, [each["still_s"]])
            found[view] = Detection(
                clip=clip,
                setups=tuple(as_value(setup, Setup) for setup in each["setups"]),
                landmarks=Landmarks(
                    view=view,
                    mask_box_px=tuple(fields["mask_box_px"]),
                    size_px=tuple(fields["size_px"]),
                    model=fields["model"],
                    notes=tuple(fields["notes"]),
                    **{name: arrays[f"{view}.{name}"] for name in _ARRAYS},
                ),
                still=still,
                still_index=each["still_index"],
                notes=tuple(each["notes"]),
            )
    return found
