"""Pictures that a camera gave as JPEG put into one clip, as they are: nothing is compressed again."""

import io
import itertools
from collections.abc import Sequence
from fractions import Fraction
from typing import Final

import av

from putt_posture.errors import UsageError

__all__ = ["MOST_PICTURES", "MOTION_JPEG_SUFFIX", "join_pictures"]

MOTION_JPEG_SUFFIX: Final = ".mov"
MOST_PICTURES: Final = 100
_TICKS: Final = 1000
"""Of the clip's clock in a second: browsers tell the times of their pictures in milliseconds."""


def join_pictures(pictures: Sequence[bytes], times_s: Sequence[float], *, size_px: tuple[int, int]) -> bytes:
    """Return a clip (Motion JPEG in QuickTime) of pictures with their times.

    Parameters
    ----------
    pictures : sequence of bytes
        JPEG images of one size, upright, not mirrored.
    times_s : sequence of float
        When each was taken, s; increasing by a millisecond or more.
    size_px : (int, int)
        Width and height of the pictures.

    Raises
    ------
    UsageError
        If there is no picture, or more than `MOST_PICTURES`, or the times do not increase.
    """
    ticks = [round((time_s - times_s[0]) * _TICKS) for time_s in times_s]
    if not 0 < len(pictures) <= MOST_PICTURES or len(pictures) != len(ticks):
        raise UsageError(f"{len(pictures)} pictures came; 1 to {MOST_PICTURES} were needed, each with its time.")
    if any(after <= before for before, after in itertools.pairwise(ticks)):
        raise UsageError("The times of the pictures do not increase. Hold once more.")
    out = io.BytesIO()
    with av.open(out, "w", format="mov") as clip:
        stream = clip.add_stream("mjpeg", rate=Fraction(_TICKS))
        stream.width, stream.height = size_px
        stream.pix_fmt = "yuvj420p"
        stream.time_base = Fraction(1, _TICKS)
        last = ticks[-1] - ticks[-2] if len(ticks) > 1 else _TICKS // 25
        for number, (picture, tick) in enumerate(zip(pictures, ticks, strict=True)):
            packet = av.Packet(picture)
            packet.stream, packet.time_base = stream, Fraction(1, _TICKS)
            packet.pts = packet.dts = tick
            packet.duration = ticks[number + 1] - tick if number + 1 < len(ticks) else last
            packet.is_keyframe = True
            clip.mux(packet)
    return out.getvalue()
