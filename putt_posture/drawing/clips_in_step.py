"""Two overlay clips beside each other, played in step: what they have in common happens at the same time in both."""

import heapq
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import cv2
import numpy as np
from attrs import frozen
from PIL import Image, ImageColor, ImageDraw

from putt_posture.clips import iterate_frames, read_clip
from putt_posture.clips.writing import open_clip_writer
from putt_posture.disk.folders import fresh_file
from putt_posture.drawing.charts import AFTER, BEFORE, picture_letters
from putt_posture.values import OverlayClip, Picture, StrokeEvent

__all__ = ["InStep", "find_step", "write_side_by_side"]

MOST_BYTES: Final = 8_000_000
MOST_RATE_HZ: Final = 60.0
_TOGETHER_S: Final = 0.4 / MOST_RATE_HZ
"""Pictures of both clips that are closer in time than this are shown at once."""
_GAP_PX: Final = 12
_BANNER_PX: Final = 40
_TEXT_PX: Final = 22
_BY: Final[tuple[StrokeEvent, ...]] = ("impact", "top", "start", "finish")
"""What is held together, the first that both have."""
Sides = tuple[OverlayClip, OverlayClip]


@frozen(kw_only=True)
class InStep:
    """How two overlay clips are played in step.

    Attributes
    ----------
    by : StrokeEvent or None
        What happens in both at one time; None where they have nothing in common and begin together.
    begins_s : (float, float)
        When each begins, s from the beginning of both; one of them is 0.
    rates : (float, float)
        How fast each is played, so that both have the speed of the first.
    ends_s : float
        When the later one ends, s.
    """

    by: StrokeEvent | None
    begins_s: tuple[float, float]
    rates: tuple[float, float]
    ends_s: float


def find_step(before: OverlayClip, after: OverlayClip) -> InStep:
    """Return how two overlay clips are played in step at impact, at the same speed in the world.

    Parameters
    ----------
    before, after : OverlayClip
    """
    sides = before, after
    rates = 1.0, before.speed / after.speed
    by = next((name for name in _BY if all(name in side.events_s for side in sides)), None)
    at = [0.0 if by is None else side.events_s[by] / rate for side, rate in zip(sides, rates, strict=True)]
    begins = max(at) - at[0], max(at) - at[1]
    ends = [begin + side.shown_at(side.end_s) / rate for side, rate, begin in zip(sides, rates, begins, strict=True)]
    return InStep(by=by, begins_s=begins, rates=rates, ends_s=max(ends))


def write_side_by_side(
    path: Path | str,
    before: tuple[Path, OverlayClip],
    after: tuple[Path, OverlayClip],
    *,
    names: tuple[str, str] = ("before", "after"),
    replace: bool = False,
    private: bool = False,
) -> InStep:
    """Write two overlay clips as one MP4, in step at impact; the shorter one holds its first and last picture.

    Parameters
    ----------
    path : Path or str
    before, after : (Path, OverlayClip)
        The files, as `write_overlay_clip` wrote them, and what they hold. Heads are hidden in them or not.
    names : (str, str)
        Above the pictures.
    replace, private
        As for `fresh_file`.

    Raises
    ------
    UnreadableClip
        One of the two cannot be read.
    OutputError
        If the file cannot be written.
    """
    step = find_step(before[1], after[1])
    size, places = _plan(before[1], after[1])
    banner = _draw_banner(size[0], names, [left for left, _, _ in places])
    with (
        fresh_file(path, replace=replace, what="clip side by side", private=private) as out,
        open_clip_writer(
            out,
            size_px=size,
            most_frames=int(step.ends_s * MOST_RATE_HZ * 1.2) + 8,
            longest_s=max(step.ends_s, 0.1),
            most_bytes=MOST_BYTES,
        ) as writer,
    ):
        whole = np.full((size[1], size[0], 3), 16, dtype=np.uint8)
        whole[:_BANNER_PX] = banner
        for time_s, pictures in _in_step(before, after, step):
            for picture, (left, wide, high) in zip(pictures, places, strict=True):
                shown = picture if picture.shape[:2] == (high, wide) else cv2.resize(picture, (wide, high))
                whole[_BANNER_PX : _BANNER_PX + high, left : left + wide] = shown
            writer.write(whole, time_s=time_s)
    return step


def _plan(before: OverlayClip, after: OverlayClip) -> tuple[tuple[int, int], list[tuple[int, int, int]]]:
    """Return the size of the whole and the left edge, width and height of each half: one height for both."""
    high = max(before.size_px[1], after.size_px[1])
    wides = [max(2, 2 * round(side.size_px[0] * high / side.size_px[1] / 2)) for side in (before, after)]
    places = [(0, wides[0], high), (wides[0] + _GAP_PX, wides[1], high)]
    return (sum(wides) + _GAP_PX, high + _BANNER_PX), places


def _in_step(
    before: tuple[Path, OverlayClip], after: tuple[Path, OverlayClip], step: InStep
) -> Iterator[tuple[float, list[Picture]]]:
    """Yield each time at which one of the two changes, with the picture of both."""
    streams = [_timed(side, number, step) for number, side in enumerate((before, after))]
    firsts = [next(stream) for stream in streams]
    shown = [first[2] for first in firsts]
    since: float | None = 0.0
    for time_s, number, picture in heapq.merge(*streams, key=lambda each: each[0]):
        if since is not None and time_s > since + _TOGETHER_S:
            yield since, shown
            since = None
        shown[number] = picture
        since = time_s if since is None else since
    if since is not None:
        yield since, shown


def _timed(side: tuple[Path, OverlayClip], number: int, step: InStep) -> Iterator[tuple[float, int, Picture]]:
    path, overlay = side
    for frame in iterate_frames(read_clip(path, view=overlay.view)):
        yield step.begins_s[number] + frame.time_s / step.rates[number], number, frame.picture


def _draw_banner(wide: int, names: tuple[str, str], lefts: list[int]) -> Picture:
    image = Image.new("RGB", (wide, _BANNER_PX), "#FFFFFF")
    pen = ImageDraw.Draw(image)
    for name, left, colour in zip(names, lefts, (BEFORE, AFTER), strict=True):
        pen.rectangle((left, 0, left + 8, _BANNER_PX), fill=ImageColor.getrgb(colour))
        pen.text((left + 20, 7), name, font=picture_letters(_TEXT_PX, bold=True), fill="#14191E")
    return np.asarray(image)
