"""Looks that are kept between runs of the study: looking is the slow part, and most changes are to what follows.

A kept detection is found again only where all that it depends on is the same: the picture's digest, the view, the
source of every module that looking imports, their data files, and the versions of the libraries.
"""

import functools
import hashlib
import importlib.metadata
import os
import pickle
import platform
import zlib
from collections.abc import Mapping
from pathlib import Path
from typing import Final

import grimp
from attrs import frozen

import putt_posture
from putt_posture.clips import read_clip, read_frames_at
from putt_posture.detection.detect import Detection, detect_in_clips
from putt_posture.values import Clip, Landmarks, Setup, View

__all__ = ["code_digest", "detect_in_stills", "modules_of_detection"]

_PACKAGE: Final = "putt_posture"
_ROOT: Final = Path(putt_posture.__file__).parent
_LIBRARIES: Final = ("av", "mediapipe", "numpy", "opencv-contrib-python", "pillow", "pillow-heif", "scipy")
_WEIGHTS: Final = ".task"
"""Weights are checked against digests.json before each use, so that their digests stand for them."""


@frozen
class _Kept:
    """A detection without its picture, which is read again from the still."""

    setups: tuple[Setup, ...]
    landmarks: Landmarks
    still_s: float
    still_index: int
    notes: tuple[str, ...]


def detect_in_stills(pictures: Mapping[View, Path], *, cache: Path | None = None) -> dict[View, Detection]:
    """Look at the stills of one shot as the command does, or take the detections that were kept.

    Parameters
    ----------
    pictures : mapping of View to Path
    cache : Path, optional
        Folder of kept detections; made where it is not there.
    """
    clips = {view: read_clip(path, view=view) for view, path in pictures.items()}
    if cache is None:
        return detect_in_clips(clips)
    files = {view: cache / f"{_key(clip)}.detection" for view, clip in clips.items()}
    detections = {view: _take(file, clips[view]) for view, file in files.items() if file.exists()}
    missing = {view: clip for view, clip in clips.items() if view not in detections}
    if missing:
        fresh = detect_in_clips(missing)
        for view, detection in fresh.items():
            _keep(detection, files[view])
        detections |= fresh
    return {view: detections[view] for view in clips}


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


def _key(clip: Clip) -> str:
    return hashlib.sha256(f"{clip.sha256} {clip.view} {code_digest()}".encode()).hexdigest()[:40]


def _keep(detection: Detection, file: Path) -> None:
    kept = _Kept(detection.setups, detection.landmarks, detection.still.time_s, detection.still_index, detection.notes)
    file.parent.mkdir(parents=True, exist_ok=True)
    unfinished = file.with_suffix(f".{os.getpid()}")
    unfinished.write_bytes(zlib.compress(pickle.dumps(kept), level=1))
    unfinished.replace(file)


def _take(file: Path, clip: Clip) -> Detection:
    kept: _Kept = pickle.loads(zlib.decompress(file.read_bytes()))
    (still,) = read_frames_at(clip, [kept.still_s])
    return Detection(
        clip=clip,
        setups=kept.setups,
        landmarks=kept.landmarks,
        still=still,
        still_index=kept.still_index,
        notes=kept.notes,
    )
