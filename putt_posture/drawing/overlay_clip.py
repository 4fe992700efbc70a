"""A short clip of one stroke that a student keeps: the clip's own pictures with lines and trails on them, slowed down.

One picture is in memory at a time, however long the clip is. The pictures keep their true times; of a clip with many
frames a second only as many are taken as are shown well.
"""

import io
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO, Final

import cv2
import numpy as np
from attrs import evolve, frozen

from putt_posture.clips import iterate_frames, read_clip, read_frames_at
from putt_posture.clips.writing import ClipWriter, open_clip_writer
from putt_posture.disk.folders import fresh_file
from putt_posture.drawing.faces import hide_heads
from putt_posture.drawing.overlay_frame import BAR_PX, OverlayPen, hand_centres
from putt_posture.drawing.overlay_heads import HeadsInTime, follow_head, search_times
from putt_posture.errors import UsageError
from putt_posture.landmarks import find_heads
from putt_posture.values import (
    Clip,
    Estimate,
    Floats,
    Frame,
    Head,
    OverlayClip,
    Picture,
    SeenStroke,
    SeenStrokes,
    Stroke,
)

__all__ = [
    "MOST_BYTES",
    "FilmedStroke",
    "draw_frame",
    "draw_overlay_clip",
    "hide_overlay_heads",
    "plan_overlay",
    "write_overlay_clip",
]

HALF_SPEED: Final = 0.5
HEIGHT_PX: Final = 720
"""Of the whole picture with its time bar."""
MOST_BYTES: Final = 4_000_000
MOST_RATE_HZ: Final = 60.0
"""Pictures a second that are played; more are hardly seen, and cost room."""
BEFORE_S: Final = 0.7
AFTER_S: Final = 0.7
"""Real seconds shown before the start and after the finish."""
LONGEST_S: Final = 8.0
"""Real seconds that are shown at most; what is cut off is at the beginning."""
_MARGIN: Final = 0.09
"""Room around student, putter and ball, in heights of their box."""
_ABOVE: Final = 0.10
"""The same above the head's landmarks, which end at the eyes."""
_ASPECTS: Final = (0.62, 1.2)
"""Least and most width over height."""
_SAME_TIME_S: Final = 1e-4


@frozen(kw_only=True, eq=False)
class FilmedStroke:
    """One stroke with the clip that shows it.

    Attributes
    ----------
    clip : Clip
        Its file is read.
    stroke : Stroke
        As measured; its events are named as they pass.
    seen : SeenStroke
        The same stroke as seen.
    px_per_cm : float or None
        Scale, where it is known: heads are hidden by it.
    """

    clip: Clip
    stroke: Stroke
    seen: SeenStroke
    px_per_cm: float | None = None

    @classmethod
    def of(cls, clip: Clip, stroke: Stroke, seen: SeenStrokes, *, scale: Estimate) -> "FilmedStroke":
        """Return a stroke with its clip, found by its number among those that were seen in it.

        Parameters
        ----------
        clip : Clip
        stroke : Stroke
        seen : SeenStrokes
            Of the same clip.
        scale : Estimate
            Pixels per cm; may be absent.
        """
        px_per_cm = float(scale.value) if scale else None
        return cls(clip=clip, stroke=stroke, seen=seen.strokes[stroke.number - 1], px_per_cm=px_per_cm)


def write_overlay_clip(
    path: Path | str,
    filmed: FilmedStroke,
    *,
    hide_head: bool = False,
    speed: float = HALF_SPEED,
    replace: bool = False,
    private: bool = False,
) -> OverlayClip:
    """Write the overlay clip of a stroke as MP4, whole or not at all.

    Parameters
    ----------
    path : Path or str
    filmed : FilmedStroke
    hide_head : bool
        Hide all heads: the student's by the landmarks of every frame, and those of others whom the large model finds,
        which takes some seconds more.
    speed : float
        Seconds of the world for each second of the clip.
    replace, private
        As for `fresh_file`.

    Returns
    -------
    OverlayClip

    Raises
    ------
    UnreadableClip
        The clip was changed or cannot be read.
    UsageError
        The clip is a still, or the stroke was seen in fewer than two frames.
    OutputError
        If the file cannot be written.
    """
    overlay = plan_overlay(filmed, hide_head=hide_head, speed=speed)
    with fresh_file(path, replace=replace, what="overlay clip", private=private) as out:
        _write(out, filmed, overlay)
    return overlay


def draw_overlay_clip(
    filmed: FilmedStroke, *, hide_head: bool = False, speed: float = HALF_SPEED
) -> tuple[bytes, OverlayClip]:
    """Return the overlay clip of a stroke as the bytes of an MP4 file, `MOST_BYTES` at most, and what it holds.

    Parameters
    ----------
    filmed, hide_head, speed
        As for `write_overlay_clip`.

    Raises
    ------
    UnreadableClip, UsageError
        As `write_overlay_clip`.
    """
    overlay, out = plan_overlay(filmed, hide_head=hide_head, speed=speed), io.BytesIO()
    _write(out, filmed, overlay)
    return out.getvalue(), overlay


def draw_frame(filmed: FilmedStroke, *, time_s: float) -> Picture:
    """Return the frame of a stroke that is nearest to a time, with lines and trails, cut as in its overlay clip.

    Parameters
    ----------
    filmed : FilmedStroke
    time_s : float
        Clip time, s.

    Returns
    -------
    (H, W, 3) uint8
        RGB, without the time bar.
    """
    overlay = plan_overlay(filmed)
    (frame,) = read_frames_at(filmed.clip, [time_s], max_side=_max_side(filmed.clip, overlay))
    drawn = OverlayPen(filmed.seen, overlay).draw(_cut(frame, overlay), time_s=frame.time_s)
    return np.ascontiguousarray(drawn[: overlay.picture_px[1]])


def hide_overlay_heads(
    source: Path,
    target: Path | str,
    overlay: OverlayClip,
    seen: SeenStroke,
    *,
    px_per_cm: float | None = None,
    replace: bool = False,
    private: bool = False,
) -> OverlayClip:
    """Write an overlay clip again with all heads hidden, from its own pictures: the clip that was filmed is not needed.

    Parameters
    ----------
    source : Path
        As `write_overlay_clip` wrote it.
    target : Path or str
    overlay : OverlayClip
        What `source` holds.
    seen : SeenStroke
    px_per_cm : float or None
        As in `FilmedStroke`.
    replace, private
        As for `fresh_file`.

    Returns
    -------
    OverlayClip
        What `target` holds.
    """
    clip = read_clip(source, view=overlay.view)
    rows = overlay.picture_px[1]

    def read(time_s: float) -> Picture:
        (frame,) = read_frames_at(clip, [overlay.shown_at(time_s)])
        return np.ascontiguousarray(frame.picture[:rows])

    hiding = _HidingHeads.of(seen, overlay, px_per_cm=px_per_cm, read=read)
    with (
        fresh_file(target, replace=replace, what="overlay clip", private=private) as out,
        _writer(out, overlay) as writer,
    ):
        for frame in iterate_frames(clip):
            picture = frame.picture.copy()
            picture[:rows] = hiding.hide(picture[:rows], time_s=overlay.clip_time(frame.time_s))
            writer.write(picture, time_s=frame.time_s)
    return evolve(overlay, heads_hidden=True)


def plan_overlay(filmed: FilmedStroke, *, hide_head: bool = False, speed: float = HALF_SPEED) -> OverlayClip:
    """Return which part of the pictures and of the time an overlay clip shows.

    Parameters
    ----------
    filmed : FilmedStroke
    hide_head, speed
        As for `write_overlay_clip`.

    Raises
    ------
    UsageError
        As `write_overlay_clip`.
    """
    clip, seen = filmed.clip, filmed.seen
    if clip.kind == "still" or len(seen.times_s) < 2:
        raise UsageError(f"{clip.name} shows no stroke in two frames or more, so no overlay clip can be made of it.")
    if not speed > 0:
        raise UsageError(f"A speed of {speed:g} was asked for, but it must be above 0.")
    events = {name: float(time.value) for name, time in filmed.stroke.events.items() if time}
    stretch = clip.time_stretch
    start = events.get("start", seen.stroke_s[0]) - BEFORE_S * stretch
    end = events.get("finish", seen.stroke_s[1]) + AFTER_S * stretch
    first, last = float(seen.times_s[0]), float(seen.times_s[-1])
    end = min(max(end, first), last)
    start = max(min(start, last), first, end - LONGEST_S * stretch)
    if end - start < clip.time_stretch / 10:
        start, end = max(first, last - LONGEST_S * stretch), last
    start, end = (float(seen.times_s[np.argmin(np.abs(seen.times_s - each))]) for each in (start, end))
    box = _find_box(filmed, start_s=start, end_s=end)
    high = HEIGHT_PX - BAR_PX
    wide = max(2, 2 * round(high * (box[2] - box[0]) / (box[3] - box[1]) / 2))
    shown = OverlayClip(
        view=filmed.stroke.view,
        number=filmed.stroke.number,
        start_s=start,
        end_s=end,
        speed=speed,
        time_stretch=stretch,
        events_s={},
        size_px=(wide, HEIGHT_PX),
        box_px=box,
        picture_px=(wide, high),
        heads_hidden=hide_head,
    )
    inside = {name: shown.shown_at(time) for name, time in events.items() if start <= time <= end}
    return evolve(shown, events_s=inside)


@frozen(kw_only=True, eq=False)
class _HidingHeads:
    """Hides the heads in the pictures of an overlay clip."""

    student: HeadsInTime
    others: HeadsInTime
    overlay: OverlayClip

    @classmethod
    def of(
        cls,
        seen: SeenStroke,
        overlay: OverlayClip,
        *,
        px_per_cm: float | None,
        read: Callable[[float], Picture],
    ) -> "_HidingHeads":
        """Follow the student's head and search for those of others; `read` gives the shown part at a clip time."""
        stretch = overlay.time_stretch
        times = search_times(overlay.start_s, overlay.end_s, time_stretch=stretch)
        found = tuple(_in_full_size(find_heads(read(float(time))), overlay) for time in times)
        return cls(
            student=follow_head(seen, px_per_cm=px_per_cm, time_stretch=stretch),
            others=HeadsInTime(times_s=times, heads=found, around_s=0.0, none_is_none=True),
            overlay=overlay,
        )

    def hide(self, picture: Picture, *, time_s: float) -> Picture:
        left, top, right, bottom = self.overlay.box_px
        heads = (*self.student.at(time_s), *self.others.at(time_s))
        if not self.student.any_known:  # nothing tells where it is, so that no part of the picture may stay
            middle = (left + right) / 2, (top + bottom) / 2
            heads = (Head(centre_px=middle, radius_px=float(np.hypot(right - left, bottom - top))),)
        return hide_heads(picture, heads, corner=(left, top), scale=self.overlay.picture_px[0] / (right - left))


def _write(out: BinaryIO, filmed: FilmedStroke, overlay: OverlayClip) -> None:
    def read(time_s: float) -> Picture:
        (frame,) = read_frames_at(filmed.clip, [time_s], max_side=_max_side(filmed.clip, overlay))
        return _cut(frame, overlay)

    hiding = None
    if overlay.heads_hidden:
        hiding = _HidingHeads.of(filmed.seen, overlay, px_per_cm=filmed.px_per_cm, read=read)
    pen = OverlayPen(filmed.seen, overlay)
    with _writer(out, overlay) as writer:
        for frame in _frames_of(filmed, overlay):
            picture = _cut(frame, overlay)
            if hiding is not None:
                picture = hiding.hide(picture, time_s=frame.time_s)
            writer.write(pen.draw(picture, time_s=frame.time_s), time_s=max(overlay.shown_at(frame.time_s), 0.0))


@contextmanager
def _writer(out: BinaryIO, overlay: OverlayClip) -> Iterator[ClipWriter]:
    longest_s = overlay.shown_at(overlay.end_s)
    with open_clip_writer(
        out,
        size_px=overlay.size_px,
        most_frames=int(longest_s * MOST_RATE_HZ * 1.1) + 8,
        longest_s=longest_s,
        most_bytes=MOST_BYTES,
    ) as writer:
        yield writer


def _in_full_size(heads: tuple[Head, ...], overlay: OverlayClip) -> tuple[Head, ...]:
    left, top, right, _ = overlay.box_px
    scale = overlay.picture_px[0] / (right - left)
    return tuple(
        Head(
            centre_px=(left + head.centre_px[0] / scale, top + head.centre_px[1] / scale),
            radius_px=head.radius_px / scale,
        )
        for head in heads
    )


def _frames_of(filmed: FilmedStroke, overlay: OverlayClip) -> Iterator[Frame]:
    """Yield the frames that are shown; a frame that was doubled on the way is left out where the stroke has none."""
    most = MOST_RATE_HZ / (filmed.clip.time_stretch * overlay.speed)
    yield from iterate_frames(
        filmed.clip,
        rate_hz=most if filmed.clip.rate_hz > most else None,
        max_side=_max_side(filmed.clip, overlay),
        start_s=overlay.start_s - _SAME_TIME_S,
        stop_s=overlay.end_s + _SAME_TIME_S,
    )


def _max_side(clip: Clip, overlay: OverlayClip) -> int:
    """Return the longest side at which frames are read, so that the part that is shown is not made smaller again."""
    left, _, right, _ = overlay.box_px
    return int(np.ceil(max(clip.width, clip.height) * min(1.0, overlay.picture_px[0] / (right - left))))


def _cut(frame: Frame, overlay: OverlayClip) -> Picture:
    """Return the part of a frame that is shown, at its size."""
    left, top, right, _ = overlay.box_px
    wide, high = overlay.picture_px
    step = (right - left) / wide * frame.scale
    way = np.array([[step, 0, left * frame.scale + step / 2 - 0.5], [0, step, top * frame.scale + step / 2 - 0.5]])
    cut = cv2.warpAffine(
        frame.picture, way, (wide, high), flags=cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP, borderMode=cv2.BORDER_REPLICATE
    )
    return np.asarray(cut, dtype=np.uint8)


def _find_box(filmed: FilmedStroke, *, start_s: float, end_s: float) -> tuple[int, int, int, int]:
    """Return the part of the picture that holds student, putter and the ball at rest, whole pixels."""
    seen, clip = filmed.seen, filmed.clip
    rows = (seen.times_s >= start_s - _SAME_TIME_S) & (seen.times_s <= end_s + _SAME_TIME_S)
    parts: list[Floats] = [
        *np.moveaxis(seen.points_px[rows], 1, 0),
        hand_centres(seen.points_px[rows]),
        seen.putter_head_px[rows],
        *np.moveaxis(seen.shaft_px[rows], 1, 0),
        seen.ball_px[rows][:1],
    ]
    places = np.concatenate([part[np.isfinite(part).all(axis=1)] for part in parts])
    inside = (places >= 0).all(axis=1) & (places <= (clip.width, clip.height)).all(axis=1)
    places = places[inside]
    if len(places) < 2:
        return 0, 0, clip.width, clip.height
    (u0, v0), (u1, v1) = np.percentile(places, (0.2, 99.8), axis=0)
    tall = max(v1 - v0, (u1 - u0) / 2, 1.0)
    low = np.array([u0 - _MARGIN * tall, v0 - (_MARGIN + _ABOVE) * tall])
    high = np.array([u1 + _MARGIN * tall, v1 + _MARGIN * tall])
    wide, tall = high - low
    wide = max(wide, _ASPECTS[0] * tall)
    tall = max(tall, wide / _ASPECTS[1])
    left, right = _fit((low[0] + high[0]) / 2, wide, clip.width)
    top, bottom = _fit((low[1] + high[1]) / 2, tall, clip.height)
    return left, top, right, bottom


def _fit(middle: float, length: float, most: int) -> tuple[int, int]:
    """Return the ends of a stretch around `middle`, moved and shortened to lie within 0 to `most`."""
    length = min(length, float(most))
    low = min(max(middle - length / 2, 0.0), most - length)
    return int(np.floor(low)), min(most, max(int(np.floor(low)) + 2, int(np.ceil(low + length))))
