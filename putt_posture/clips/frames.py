"""Upright pictures of a clip or still, with their true times; one at a time, however long the clip."""

import math
from collections.abc import Iterator, Sequence
from typing import Final

import av
import cv2

from putt_posture.clips.files import check_file
from putt_posture.clips.motion import MotionReader
from putt_posture.clips.orientation import orientation_from_turn
from putt_posture.clips.raster import Rasterizer, fit_size
from putt_posture.clips.stills import is_still, read_still
from putt_posture.clips.streams import OpenStream, open_stream
from putt_posture.errors import UnreadableClip, UsageError
from putt_posture.values import Clip, Frame, Picture

__all__ = ["iterate_frames", "read_frames_at", "read_samples"]

_SEEK_AHEAD_S: Final = 3.0
"""Wanted times farther apart than this are reached by a seek, nearer ones by decoding on, s."""

_SAME_TIME_S: Final = 1e-4
"""Times closer than this are the same, s: a typed time may be rounded differently than the file's clock."""

_ROUNDING: Final = 1e-6
"""Share of a sampling interval that floating-point times may be off."""


def iterate_frames(
    clip: Clip,
    *,
    rate_hz: float | None = None,
    max_side: int | None = None,
    start_s: float | None = None,
    stop_s: float | None = None,
) -> Iterator[Frame]:
    """Yield the frames of a clip in order of time.

    Parameters
    ----------
    clip : Clip
    rate_hz : float, optional
        At most this many frames per second of clip time, the nearest to an even grid of times; all by default.
    max_side : int, optional
        Make the pictures so small that neither side is longer, pixels.
    start_s, stop_s : float, optional
        Clip time of the first and the last frame wanted, both included.

    Yields
    ------
    Frame
        Only one picture is in memory at a time, unless the caller keeps more.

    Raises
    ------
    UnreadableClip
        The file was changed, or nothing in it can be decoded.
    UsageError
        A rate or a size that is not above 0.
    """
    return read_samples(clip, rate_hz=rate_hz, max_side=max_side, start_s=start_s, stop_s=stop_s)


def read_samples(
    clip: Clip,
    *,
    rate_hz: float | None = None,
    max_side: int | None = None,
    start_s: float | None = None,
    stop_s: float | None = None,
    motion: MotionReader | None = None,
) -> Iterator[Frame]:
    """Yield frames like `iterate_frames` while a motion reader gets every frame of the same decoding pass.

    Parameters
    ----------
    clip, rate_hz, max_side, start_s, stop_s
        As for `iterate_frames`.
    motion : MotionReader, optional
        Fed with the luma of every frame from `start_s` to `stop_s`.

    Yields
    ------
    Frame
    """
    if rate_hz is not None and not rate_hz > 0:
        raise UsageError(f"A rate of {rate_hz:g} frames a second was asked for, but it must be above 0.")
    _check_side(max_side)
    return _walk(clip, rate_hz, max_side, start_s or 0.0, float("inf") if stop_s is None else stop_s, motion)


def read_frames_at(clip: Clip, times_s: Sequence[float], *, max_side: int | None = None) -> list[Frame]:
    """Read the frames nearest to given times.

    Parameters
    ----------
    clip : Clip
    times_s : sequence of float
        Clip times in any order; a time outside the clip takes the first or the last frame.
    max_side : int, optional
        Make the pictures so small that neither side is longer, pixels; full size by default.

    Returns
    -------
    list of Frame
        One for each time, in the order of `times_s`. A still gives its picture each time.

    Raises
    ------
    UnreadableClip
        The file was changed, or nothing in it can be decoded.
    """
    _check_side(max_side)
    if any(not math.isfinite(time) for time in times_s):
        raise UsageError("A time was asked for that is not a number. Give seconds from the start of the clip.")
    if len(times_s) == 0:
        return []
    check_file(clip.path)
    if clip.kind == "still":
        return [_read_only_frame(clip, max_side)] * len(times_s)
    wanted = sorted(set(times_s))
    found: dict[float, Frame] = {}
    with open_stream(clip.path) as opened:
        while len(found) < len(wanted):
            before = len(found)
            _read_near(opened, clip, wanted[before:], max_side, found)
            if len(found) == before:
                raise _nothing_at(clip, wanted[before])
    return [found[time] for time in times_s]


def _walk(
    clip: Clip, rate_hz: float | None, max_side: int | None, start_s: float, stop_s: float, motion: MotionReader | None
) -> Iterator[Frame]:
    check_file(clip.path)
    if clip.kind == "still":
        if start_s <= 0.0 <= stop_s:
            yield _read_only_frame(clip, max_side)
        return
    half_gap = 0.5 / clip.rate_hz
    next_s, seen = start_s, False
    small = _rasterizer(clip, fit_size(clip.width, clip.height, max_side))
    watch = None if motion is None else _rasterizer(clip, motion.size)
    with open_stream(clip.path) as opened:
        last_s = min(stop_s, clip.duration_s) + _SAME_TIME_S  # after a cut some later frame may still be whole
        for time, frame in opened.frames(start_s=start_s, stop_s=last_s):
            if time < start_s - _SAME_TIME_S:
                continue
            seen = True
            if motion is not None and watch is not None and motion.wants(time):
                motion.feed(watch.luma(frame), time_s=time)
            if rate_hz is not None:
                if time < next_s - half_gap:
                    continue
                next_s = start_s + (math.floor((time + half_gap - start_s) * rate_hz + _ROUNDING) + 1) / rate_hz
            yield _frame(clip, small.picture(frame), time)
    if not seen and start_s <= 0.0:
        raise _nothing_at(clip, start_s)


def _read_near(
    opened: OpenStream, clip: Clip, wanted: Sequence[float], max_side: int | None, found: dict[float, Frame]
) -> None:
    """Read on from the first wanted time until all are found or the next is far ahead; fills `found` in order."""
    raster = _rasterizer(clip, fit_size(clip.width, clip.height, max_side))
    earlier: tuple[float, av.VideoFrame] | None = None
    pending = list(wanted)

    def take(candidate: tuple[float, av.VideoFrame]) -> None:
        time, frame = candidate
        known = next((made for made in reversed(found.values()) if made.time_s == time), None)
        found[pending.pop(0)] = known or _frame(clip, raster.picture(frame), time)

    start_s, last_s = min(max(wanted[0], 0.0), clip.duration_s), clip.duration_s + _SAME_TIME_S
    for time, frame in opened.frames(start_s=start_s, stop_s=last_s):
        while pending and time >= pending[0]:
            later_is_nearer = earlier is None or time - pending[0] < pending[0] - earlier[0]
            take(earlier if earlier is not None and not later_is_nearer else (time, frame))
        far = bool(pending) and pending[0] - time > _SEEK_AHEAD_S and len(pending) < len(wanted)
        if not pending or (far and frame.pts is not None):
            return
        earlier = (time, frame)
    while pending and earlier is not None:  # past the end
        take(earlier)


def _read_only_frame(clip: Clip, max_side: int | None) -> Frame:
    if is_still(clip.path):
        picture = read_still(clip.path).picture
        size = fit_size(clip.width, clip.height, max_side)
        if size != (picture.shape[1], picture.shape[0]):
            picture = cv2.resize(picture, size, interpolation=cv2.INTER_AREA)
        return _frame(clip, picture, 0.0)
    with open_stream(clip.path) as opened:
        first = next(opened.frames(), None)
        if first is None:
            raise _nothing_at(clip, 0.0)
        raster = _rasterizer(clip, fit_size(clip.width, clip.height, max_side))
        return _frame(clip, raster.picture(first[1]), 0.0)


def _rasterizer(clip: Clip, size: tuple[int, int]) -> Rasterizer:
    return Rasterizer(size, orientation_from_turn(clip.rotation_deg, mirrored=clip.mirrored))


def _frame(clip: Clip, picture: Picture, time_s: float) -> Frame:
    return Frame(time_s=float(time_s), picture=picture, scale=max(picture.shape[:2]) / max(clip.width, clip.height))


def _check_side(max_side: int | None) -> None:
    if max_side is not None and max_side < 1:
        raise UsageError(f"A longest side of {max_side} pixels was asked for, but it must be at least 1.")


def _nothing_at(clip: Clip, time_s: float) -> UnreadableClip:
    return UnreadableClip(
        f"No frame of {clip.name} can be decoded at or after {time_s:.2f} s. Copy it from the phone again.",
        path=clip.path,
        time_s=time_s,
    )
