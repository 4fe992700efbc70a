"""Heads that are kept: to search a picture for everybody takes the large model a second, and pictures come again."""

import hashlib
import json
import os
from pathlib import Path

from filelock import FileLock

from putt_posture.landmarks import find_heads
from putt_posture.values import Head, Picture

__all__ = ["find_or_take"]


def find_or_take(picture: Picture, *, cache: Path) -> tuple[Head, ...]:
    """Find the heads in a picture, or take those that were kept; two processes never search the same.

    Parameters
    ----------
    picture : (H, W, 3) uint8
    cache : Path
        Folder of one run; made where it is not there.
    """
    cache.mkdir(parents=True, exist_ok=True)
    key = hashlib.sha256(repr(picture.shape).encode() + picture.tobytes()).hexdigest()
    file = cache / f"{key[:40]}.json"
    with FileLock(f"{file}.lock"):
        if not file.exists():
            heads = [[*head.centre_px, head.radius_px] for head in find_heads(picture)]
            unfinished = file.with_suffix(f".{os.getpid()}")
            unfinished.write_text(json.dumps(heads), encoding="utf-8")
            unfinished.replace(file)
    kept = json.loads(file.read_text(encoding="utf-8"))
    return tuple(Head(centre_px=(u, v), radius_px=radius) for u, v, radius in kept)
