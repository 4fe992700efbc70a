"""Film: pictures into real video files with the oddities of phones.

H.264 or HEVC, constant or variable rate, stored upright or turned or mirrored with the display matrix that says so.
"""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from pathlib import Path
from typing import Any, Literal

import attrs
import av
import numpy as np

from .body import Array

TICKS = 90_000
"""Ticks a second of the files' clock."""

Codec = Literal["h264", "hevc"]


@attrs.frozen
class Stock:
    """How a clip is stored."""

    codec: Codec = "h264"
    quality: int = 20
    """Constant rate factor: lower is better and larger."""
    turned: Literal[0, 90, 180, 270] = 0
    """Degrees clockwise that a player has to turn the stored picture."""
    mirrored: bool = False
    """Stored mirrored left to right, with a display matrix that mirrors it back."""
    variable_rate: bool = False


def write_clip(
    path: Path, frames: Iterable[tuple[float, Array]], *, size: tuple[int, int], rate: int, stock: Stock
) -> None:
    """Write a clip.

    Parameters
    ----------
    frames : (time in seconds, (height, width, 3) uint8 upright picture), times increasing.
    size : width and height of the upright picture.
    rate : nominal frames a second.
    """
    swapped = stock.turned in (90, 270)
    with av.open(str(path), "w") as container:
        stream: Any = container.add_stream("libx264" if stock.codec == "h264" else "libx265", rate=rate)
        stream.width, stream.height = (size[1], size[0]) if swapped else size
        stream.pix_fmt = "yuv420p"
        stream.time_base = Fraction(1, TICKS)
        stream.codec_context.time_base = Fraction(1, TICKS)
        stream.options = {"crf": str(stock.quality), "preset": "medium"}
        if stock.codec == "hevc":
            stream.codec_context.codec_tag = "hvc1"
            stream.options |= {"x265-params": "log-level=error"}
        if stock.turned or stock.mirrored:
            stream.set_display_rotation(-stock.turned, hflip=stock.mirrored)
        for time, picture in frames:
            frame = av.VideoFrame.from_ndarray(_stored(picture, stock), format="rgb24")
            frame.pts = round(time * TICKS)
            frame.time_base = Fraction(1, TICKS)
            container.mux(stream.encode(frame))
        container.mux(stream.encode())


def frame_times(duration: float, rate: int, *, variable: bool, seed: int = 0) -> Array:
    """Lay out the times of the frames, seconds from 0.

    A variable rate wanders between the nominal and two thirds of it, with a few frames dropped, as a phone does
    in dim light.
    """
    if not variable:
        return np.arange(int(duration * rate)) / rate
    rng = np.random.default_rng(seed)
    times, now = [], 0.0
    while now < duration:
        times.append(now)
        slow = 1.0 + 0.25 * (1 + np.sin(2 * np.pi * now / 2.9)) * 0.5
        now += slow / rate * rng.uniform(0.93, 1.07) + (1 / rate if rng.uniform() < 0.04 else 0.0)
    return np.round(np.array(times) * TICKS) / TICKS


def _stored(picture: Array, stock: Stock) -> Array:
    """Turn the picture as it lies in the file: undo what the player will do."""
    seen = picture[:, ::-1] if stock.mirrored else picture
    return np.ascontiguousarray(np.rot90(seen, k=stock.turned // 90))
