"""The video track of a file: opened safely, its frames decoded in order with their true times.

Times are seconds from the first frame that is shown. A time comes from the file's time stamps alone; where a frame has
none, or one no later than the frame before it, the mean rate gives its time, or it is left out.
"""

import math
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import chain, takewhile
from pathlib import Path
from typing import Any, Final

import av
from attrs import define, field
from av.stream import Disposition

from putt_posture.errors import UnreadableClip
from putt_posture.threads import most_threads

__all__ = ["OpenStream", "open_stream"]

_FORMATS: Final = (
    "mov,mp4,3gp,matroska,webm,avi,mpegts,mpeg,mpegvideo,m4v,h264,hevc,obu,av1,ivf,flv,asf,mxf,gxf,ogg,dv,mjpeg,"
    "mp3,aac,flac,wav,amr,caf"
)
"""Containers that are accepted. Play lists are not: they could make the program open other files."""

_SEEK_MARGINS_S: Final = (0.5, 4.0, math.inf)
"""How far before the wanted time to search for a key frame, s: first a little, for frames stored out of order."""

_BEFORE_START_S: Final = 1.0
"""A seek to the very start aims this much before the first frame, s, whose key frame may have an earlier time."""

_ONE_THREAD_PX: Final = 1920 * 1088
"""Only larger frames are decoded several at once: on frames of 1080p that takes half as much processor time again, and
one thread decodes them faster than the pose model runs."""

_FALLBACK_RATE_HZ: Final = 30.0
"""Rate of a file with neither times nor a rate, frames a second."""


@define(eq=False)
class OpenStream:
    """An open video track.

    Attributes
    ----------
    path : Path
    container : av.container.InputContainer
    stream : av.VideoStream
    """

    path: Path
    container: Any = field(repr=False)
    stream: Any = field(repr=False)
    _origin: float | None = field(default=None, init=False)

    @property
    def time_base_s(self) -> float:
        """One tick of the file's clock, seconds."""
        return float(self.stream.time_base) if self.stream.time_base else 1 / 90000

    @property
    def nominal_rate_hz(self) -> float:
        """The rate in the file's header, frames a second."""
        for rate in (self.stream.average_rate, self.stream.guessed_rate, self.stream.base_rate):
            if rate and 0.1 <= float(rate) <= 10000:
                return float(rate)
        return _FALLBACK_RATE_HZ

    def frames(self, *, start_s: float = 0.0, stop_s: float = math.inf) -> Iterator[tuple[float, av.VideoFrame]]:
        """Decode forward from the last key frame at or before a time.

        Parameters
        ----------
        start_s : float
            Seconds from the first frame. Frames before it, back to the key frame, are yielded too.
        stop_s : float
            Frames later than this are not yielded.

        Yields
        ------
        (float, av.VideoFrame)
            Time in seconds, strictly increasing, and the frame as stored.
        """
        timed = self._timed(self._decode())
        first = None if self._origin is not None else next(timed, None)
        if self._origin is None:
            return  # no frame can be decoded
        if first is None or (start_s > _SEEK_MARGINS_S[0] and first[1].pts is not None):
            for margin in _SEEK_MARGINS_S:
                if not self._seek(start_s - margin):
                    break  # go on from the decoder's position
                timed = self._timed(self._decode())
                first = next(timed, None)
                if first is not None and first[0] <= start_s:
                    break
        if first is not None:
            yield from takewhile(lambda found: found[0] <= stop_s, chain([first], timed))

    def packets(self) -> Iterator[Any]:
        """Read through the rest of the file without decoding; packets that are not shown are left out."""
        packets = self.container.demux(self.stream)
        while True:
            try:
                packet = next(packets, None)
            except av.FFmpegError:
                return
            if packet is None or packet.size == 0:
                return
            if not packet.is_discard:
                yield packet

    def decodes(self, key_packet: Any) -> bool:
        """Return whether one key frame by itself can be decoded without error concealment.

        Only for a stream that was not decoded before; nothing can be read from it afterwards.

        Parameters
        ----------
        key_packet : av.Packet
            A packet of the stream that holds a key frame.
        """
        self.stream.codec_context.options = {"err_detect": "crccheck+bitstream+buffer+explode"}
        try:
            frames = [*self.stream.decode(key_packet), *self.stream.decode(None)]
        except (av.FFmpegError, EOFError):
            return False
        return any(not frame.is_corrupt for frame in frames)

    def _seek(self, time_s: float) -> bool:
        time_s = max(time_s, -_BEFORE_START_S) + (self._origin or 0.0)
        try:
            self.container.seek(round(time_s / self.time_base_s), stream=self.stream, backward=True)
        except av.FFmpegError:
            return False
        return True

    def _decode(self) -> Iterator[av.VideoFrame]:
        packets = self.container.demux(self.stream)
        while True:
            try:
                packet = next(packets, None)
            except av.FFmpegError:
                packet = None  # cut short: what was read so far is still good
            try:
                frames = self.stream.decode(packet)
            except EOFError:
                return
            except av.FFmpegError:
                frames = []  # one damaged packet; the decoder picks up again at the next
            yield from (frame for frame in frames if not frame.is_corrupt)
            if packet is None or packet.size == 0:
                return

    def _timed(self, frames: Iterator[av.VideoFrame]) -> Iterator[tuple[float, av.VideoFrame]]:
        step = 1.0 / self.nominal_rate_hz
        last: float | None = None
        for frame in frames:
            stamp = None if frame.pts is None else float(frame.pts) * self.time_base_s
            if stamp is None:
                stamp = (self._origin or 0.0) if last is None else last + step
            if self._origin is None:
                self._origin = stamp
            if last is not None and stamp <= last:
                continue
            last = stamp
            yield stamp - self._origin, frame


@contextmanager
def open_stream(path: Path) -> Iterator[OpenStream]:
    """Open the largest video track of a file.

    Parameters
    ----------
    path : Path

    Yields
    ------
    OpenStream

    Raises
    ------
    UnreadableClip
        Not a video, cut off before its index, without a video track, or with a codec that cannot be read.
    """
    options = {"protocol_whitelist": "file", "format_whitelist": _FORMATS}
    try:
        container = av.open("file:" + str(path.absolute()), options=options)
    except (av.FFmpegError, OSError, ValueError) as error:
        raise _unopened(path) from error
    with container:
        tracks = [track for track in container.streams.video if not track.disposition & Disposition.attached_pic]
        if not tracks:
            raise UnreadableClip(
                f"{path.name} has no video track ({_count_audio(container)} found). "
                "Record again, or pick another file.",
                path=path,
            )
        coded = [track for track in tracks if track.codec_context is not None]
        if not coded:
            raise UnreadableClip(
                f"{path.name} has a video track with an unknown codec, so it cannot be decoded. Record in H.264 or "
                "HEVC, or convert it.",
                path=path,
            )
        stream = max(coded, key=_pixels)
        stream.thread_count = most_threads()
        stream.thread_type = "AUTO" if _pixels(stream) > _ONE_THREAD_PX else "SLICE"
        yield OpenStream(path, container, stream)


def _pixels(track: Any) -> int:
    return int(track.codec_context.width * track.codec_context.height)


def _count_audio(container: Any) -> str:
    count = len(container.streams.audio)
    return f"{count or 'no'} audio track{'' if count == 1 else 's'}"


def _unopened(path: Path) -> UnreadableClip:
    with path.open("rb") as file:
        head = file.read(12)
    if head[4:8] in {b"ftyp", b"moov", b"mdat", b"wide", b"free", b"skip"}:
        return UnreadableClip(
            f"{path.name} is cut short or damaged: the index that a video needs is missing. "
            "Copy it from the phone again.",
            path=path,
        )
    return UnreadableClip(
        f"{path.name} is not a video or picture that can be read. Pick the clip as the phone stored it.", path=path
    )
