"""Clips of a take at other frame rates: 30 from every second frame, 120 from every second of 240, and slow motion.

Slow motion is filmed at 240 and played at 30 a second: eight clip seconds a real one, as some phones store it.
"""

from fractions import Fraction
from pathlib import Path
from typing import Any, Final, Literal

import av
from stroke_takes import Take

from putt_posture.errors import UsageError
from putt_posture.values import VIEWS, View

__all__ = ["RATES", "Rate", "film_at"]

Rate = Literal["60", "30", "120", "240", "slow"]
RATES: Final[tuple[Rate, ...]] = ("60", "30", "120", "240", "slow")
_TICKS: Final = 90_000
_QUALITY: Final = "18"


def film_at(take: Take, rate: Rate, work: Path) -> tuple[dict[View, Path], float | None]:
    """Return a take's clips at one rate, made where they are not there, and the rate at which slow motion was filmed.

    Parameters
    ----------
    take : Take
        Filmed at 60 a second, or at 240 for 120 and slow motion.
    rate : Rate
    work : Path

    Raises
    ------
    UsageError
        The take was filmed at another rate than this one is made from.
    """
    filmed = {int(view["rate"]) for view in take.truth["views"].values()}
    needed = 60 if rate in ("60", "30") else 240
    if filmed != {needed}:
        raise UsageError(
            f"{take.name} was filmed at {filmed.pop()} frames a second; {rate} is made from {needed}. "
            f"Film it with sample_clips/make_strokes.py --rate {needed}."
        )
    if rate in ("60", "240"):
        return {view: take.clip(view) for view in VIEWS}, None
    paths = {}
    for view in VIEWS:
        path = paths[view] = work / f"{take.name}_{view}_{rate}.mp4"
        if not path.exists():
            every, played_hz = {"30": (2, 30), "120": (2, 120), "slow": (1, 30)}[rate]
            thin_clip(take.clip(view), path, every=every, played_hz=played_hz)
    return paths, 240.0 if rate == "slow" else None


def thin_clip(source: Path, target: Path, *, every: int, played_hz: int) -> None:
    """Write every so many frames of a clip anew, evenly spaced from 0 on.

    Parameters
    ----------
    source, target : Path
    every : int
    played_hz : int
        Frames a second of the new clip.
    """
    unfinished = target.with_suffix(".part.mp4")
    with av.open(str(source)) as read, av.open(str(unfinished), "w") as written:
        old: Any = read.streams.video[0]
        new: Any = written.add_stream("libx264", rate=played_hz)
        new.width, new.height, new.pix_fmt = old.width, old.height, "yuv420p"
        new.time_base = new.codec_context.time_base = Fraction(1, _TICKS)
        new.options = {"crf": _QUALITY, "preset": "veryfast"}
        kept = 0
        for number, frame in enumerate(read.decode(old)):
            if number % every:
                continue
            fresh = frame.reformat(format="yuv420p")
            fresh.pts, fresh.time_base = kept * _TICKS // played_hz, Fraction(1, _TICKS)
            written.mux(new.encode(fresh))
            kept += 1
        written.mux(new.encode())
    unfinished.replace(target)
