"""What is known about a file before it is measured."""

import struct
from pathlib import Path
from typing import Final

from putt_posture.clips.files import check_file, check_size, read_digest
from putt_posture.clips.raster import find_orientation, find_transfer, square_size
from putt_posture.clips.stills import is_still, read_still
from putt_posture.clips.streams import OpenStream, open_stream
from putt_posture.clips.timing import read_timing
from putt_posture.errors import UnreadableClip, UsageError
from putt_posture.values import Clip, View

__all__ = ["check_whole", "read_clip"]

LEAST_USABLE_S: Final = 1.0
"""Least length of a clip that was cut short, s: a shorter one has no still setup."""

_SAME_RATE_SHARE: Final = 0.02
"""A capture rate within this share of the stored rate is the stored rate (240 and 239.7)."""

_MIRRORED: Final = "{name} was stored mirrored; it was mirrored back, so that left and right are the student's own."
_ONE_FRAME: Final = "{name} has a single frame and was treated as a still picture."
_CUT: Final = "{name} was cut short or damaged after {end:.1f} s of {promised:.1f} s; only the rest was used."
_NOT_WHOLE: Final = "{name} is not copied to its end, or its end is damaged. Copy it again."
_BOX: Final = struct.Struct(">I4s")
_LONG_BOX: Final = struct.Struct(">Q")


def read_clip(path: Path | str, *, view: View, capture_rate_hz: float | None = None) -> Clip:
    """Read a clip or still picture: what it is, how large, how long, and whether it can be used.

    Parameters
    ----------
    path : Path or str
        A video (anything that FFmpeg decodes) or a picture (JPEG, PNG, HEIC, …).
    view : View
        Where the camera stood.
    capture_rate_hz : float, optional
        Frames a second at which slow motion was filmed, where the file plays it stretched. Ignored for a still.

    Returns
    -------
    Clip

    Raises
    ------
    UnreadableClip
        Missing, empty, not a picture or video, no video track, an unknown codec, or cut off too early.
    ClipTooLarge
        More pixels than the program takes.
    UsageError
        A capture rate below the rate that the file stores.
    """
    path = Path(path)
    check_file(path)
    if is_still(path):
        still = read_still(path)
        height, width = still.picture.shape[:2]
        return Clip(
            path=path,
            sha256=read_digest(path),
            view=view,
            kind="still",
            width=width,
            height=height,
            rotation_deg=still.orientation.rotation_deg,
            mirrored=still.orientation.mirrored,
            codec=still.codec,
            pixel_format=still.pixel_format,
            transfer=still.transfer,
            notes=_notes(_MIRRORED.format(name=path.name) if still.orientation.mirrored else None),
        )
    with open_stream(path) as opened:
        return _read_video(opened, view=view, capture_rate_hz=capture_rate_hz)


def check_whole(path: Path) -> None:
    """Refuse a file that cannot be read to the end that it promises, such as one that is still being copied.

    Parameters
    ----------
    path : Path

    Raises
    ------
    UnreadableClip
        As for `read_clip`, and where the end is missing.
    ClipTooLarge
        More pixels than the program takes.
    """
    check_file(path)
    if is_still(path):
        read_still(path)
        return
    with open_stream(path) as opened:
        check_size(opened.stream.codec_context.width, opened.stream.codec_context.height, path=path)
        first = next(opened.frames(), None)
    timing = read_timing(path, first_pts=None if first is None else first[1].pts)
    if first is None or timing.promised_s > timing.duration_s or _lacks_its_end(path):
        raise UnreadableClip(_NOT_WHOLE.format(name=path.name), path=path, time_s=timing.duration_s)


def _lacks_its_end(path: Path) -> bool:
    """Whether a part of a QuickTime or MP4 file would end behind the end of the file (ISO/IEC 14496-12, 4.2)."""
    size, place = path.stat().st_size, 0
    with path.open("rb") as file:
        while len(head := file.read(_BOX.size)) == _BOX.size:
            length, kind = _BOX.unpack(head)
            if not kind.isalnum():  # another kind of file, or padding
                return False
            if length == 1:  # the length is a longer number
                length = _LONG_BOX.unpack(file.read(_LONG_BOX.size).ljust(_LONG_BOX.size, b"\0"))[0]
            if length < _BOX.size:  # 0: up to the end of the file
                return False
            place += length
            if place > size:
                return True
            file.seek(place)
    return False


def _read_video(opened: OpenStream, *, view: View, capture_rate_hz: float | None) -> Clip:
    path, codec = opened.path, opened.stream.codec_context
    check_size(codec.width, codec.height, path=path)
    first = next(opened.frames(), None)
    if first is None:
        raise UnreadableClip(
            f"{path.name} has a video track ({codec.codec.canonical_name}), but not one frame of it can be decoded. "
            "Copy it from the phone again, or convert it to H.264.",
            path=path,
        )
    frame = first[1]
    pixel_aspect = opened.stream.sample_aspect_ratio
    orientation = find_orientation(frame)
    square = square_size(frame.width, frame.height, float(pixel_aspect) if pixel_aspect else 0.0)
    width, height = orientation.size(*square)
    check_size(width, height, path=path)
    timing = read_timing(path, first_pts=frame.pts)
    one_frame = timing.frames <= 1
    cut = timing.promised_s > timing.duration_s
    if cut and timing.duration_s < LEAST_USABLE_S:
        raise UnreadableClip(
            f"{path.name} was cut short or damaged: {timing.duration_s:.1f} s of it can be read, but at least "
            f"{LEAST_USABLE_S:.0f} s are needed. Copy it from the phone again.",
            path=path,
            time_s=timing.duration_s,
        )
    return Clip(
        path=path,
        sha256=read_digest(path),
        view=view,
        kind="still" if one_frame else "video",
        width=width,
        height=height,
        duration_s=0.0 if one_frame else timing.duration_s,
        rate_hz=0.0 if one_frame else timing.rate_hz,
        rotation_deg=orientation.rotation_deg,
        mirrored=orientation.mirrored,
        codec=codec.codec.canonical_name,
        pixel_format=frame.format.name,
        transfer=find_transfer(frame),
        time_stretch=1.0 if one_frame else _find_stretch(path, timing.rate_hz, capture_rate_hz),
        variable_rate=timing.variable,
        notes=_notes(
            _MIRRORED.format(name=path.name) if orientation.mirrored else None,
            _ONE_FRAME.format(name=path.name) if one_frame else None,
            _CUT.format(name=path.name, end=timing.duration_s, promised=timing.promised_s) if cut else None,
        ),
    )


def _find_stretch(path: Path, rate_hz: float, capture_rate_hz: float | None) -> float:
    if capture_rate_hz is None:
        return 1.0
    stretch = capture_rate_hz / rate_hz
    if not stretch >= 1.0 - _SAME_RATE_SHARE:
        raise UsageError(
            f"The capture rate of {capture_rate_hz:g} frames a second is below the {rate_hz:.4g} that {path.name} "
            "stores, but slow motion is captured faster than it plays. Give the rate set on the phone, or leave it out."
        )
    return 1.0 if stretch <= 1.0 + _SAME_RATE_SHARE else stretch


def _notes(*notes: str | None) -> tuple[str, ...]:
    return tuple(note for note in notes if note is not None)
