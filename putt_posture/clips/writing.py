"""A clip written picture by picture: H.264 in MP4, as phones, browsers and messengers play it.

The list of frames stands at the beginning of the file, so that playing starts before all of it has arrived.
"""

import math
from collections.abc import Iterator
from contextlib import contextmanager
from fractions import Fraction
from typing import Any, BinaryIO, Final

import av
from attrs import define, field
from av.video.reformatter import ColorPrimaries, ColorRange, Colorspace, ColorTrc, VideoReformatter

from putt_posture.errors import UsageError
from putt_posture.values import Picture

__all__ = ["ClipWriter", "open_clip_writer"]

CODEC: Final = "libx264"
PIXEL_FORMAT: Final = "yuv420p"
"""The only kind that every phone plays."""
QUALITY: Final = "21"
"""Constant rate factor of x264: 18 is hardly told from the source, 23 is its default."""
KEY_EVERY: Final = "15"
"""Frames from one that stands alone to the next, so that a browser jumps to any time without a wait."""
FULLEST_BIT_RATE: Final = 5_000_000
"""Bits a second where the length of the clip allows it."""
TICKS: Final = 90_000
"""Of the clip's clock in a second."""
FOR_LIST: Final = 4096, 64
"""Bytes kept for the list of frames: for the file, and for each frame."""
_SPARE: Final = 0.92
"""Share of the most bytes that the encoder may plan with."""
_BUFFER_S: Final = 1.0
"""Seconds' worth of bits that the encoder may write at once, beyond its bits a second."""


@define(eq=False)
class ClipWriter:
    """Takes the pictures of one clip in order of time; only the last one is kept in memory.

    Attributes
    ----------
    size_px : (int, int)
        Width and height.
    frames : int
        Written so far.
    """

    size_px: tuple[int, int]
    most_frames: int
    _container: Any = field(repr=False)
    _stream: Any = field(repr=False)
    _reformatter: VideoReformatter = field(factory=VideoReformatter, init=False, repr=False)
    _held: Any = field(default=None, init=False, repr=False)
    _shown_for: int = field(default=TICKS // 30, init=False, repr=False)
    frames: int = field(default=0, init=False)

    def write(self, picture: Picture, *, time_s: float) -> None:
        """Add a picture.

        Parameters
        ----------
        picture : (H, W, 3) uint8
            RGB, of the size of the clip.
        time_s : float
            When it is shown, s from the start of the clip; later than the one before.

        Raises
        ------
        UsageError
            For another size, for a time that is not later, and for more pictures than were announced.
        """
        found = picture.shape[1], picture.shape[0]
        if found != self.size_px:
            raise UsageError(f"A picture of {found[0]} × {found[1]} pixels came into a clip of {self.size_px}.")
        if self.frames >= self.most_frames:
            raise UsageError(f"More pictures came than the {self.most_frames} that were announced.")
        tick = round(time_s * TICKS)
        if self._held is not None and tick <= self._held.pts:
            raise UsageError("The times of the pictures do not increase.")
        self._encode(shown_until=tick)
        frame: Any = self._reformatter.reformat(
            av.VideoFrame.from_ndarray(picture, "rgb24"),
            format=PIXEL_FORMAT,
            src_color_range=ColorRange.JPEG,
            dst_colorspace=Colorspace.ITU709,
            dst_color_range=ColorRange.MPEG,
        )
        frame.pts, frame.time_base = tick, Fraction(1, TICKS)
        self._held = frame
        self.frames += 1

    def finish(self) -> None:
        """Write what is left; the last picture is shown as long as the one before it."""
        self._encode(shown_until=None)
        self._container.mux(self._stream.encode(None))

    def _encode(self, *, shown_until: int | None) -> None:
        if self._held is None:
            return
        frame, self._held = self._held, None
        if shown_until is not None:
            self._shown_for = shown_until - frame.pts
        frame.duration = self._shown_for
        self._container.mux(self._stream.encode(frame))


@contextmanager
def open_clip_writer(
    out: BinaryIO,
    *,
    size_px: tuple[int, int],
    most_frames: int,
    longest_s: float,
    most_bytes: int,
    title: str = "",
) -> Iterator[ClipWriter]:
    """Yield a writer into an open file; the clip is complete when the block ends without an error.

    Parameters
    ----------
    out : BinaryIO
        Open for writing, with `seek`. Of a file that is written whole or not at all, see `disk.folders`.
    size_px : (int, int)
        Width and height, both even.
    most_frames : int
        As many pictures may come.
    longest_s : float
        As long the clip may play, s; with `most_bytes` it limits the bits a second.
    most_bytes : int
        The file becomes no larger, as good as the encoder keeps to its bits a second.
    title : str
        Told in the file.

    Raises
    ------
    UsageError
        For odd sizes and for a block without a picture.
    """
    if size_px[0] % 2 or size_px[1] % 2 or min(size_px) < 2:
        raise UsageError(f"A clip of {size_px[0]} × {size_px[1]} pixels cannot be written: both must be even.")
    for_list = FOR_LIST[0] + FOR_LIST[1] * most_frames
    planned = 8 * _SPARE * max(most_bytes - for_list, 1000) / (longest_s + _BUFFER_S)
    bits = min(FULLEST_BIT_RATE, int(planned))
    container: Any = av.open(out, "w", format="mp4", options={"moov_size": str(for_list)})
    try:
        if title:
            container.metadata["title"] = title
        rate = Fraction(max(1, math.ceil(most_frames / max(longest_s, 0.1))))
        options = {"crf": QUALITY, "preset": "veryfast", "bf": "0", "g": KEY_EVERY}
        stream: Any = container.add_stream(
            CODEC, rate=rate, options={**options, "maxrate": str(bits), "bufsize": str(int(_BUFFER_S * bits))}
        )
        stream.width, stream.height, stream.pix_fmt = *size_px, PIXEL_FORMAT
        codec = stream.codec_context
        codec.time_base = Fraction(1, TICKS)
        codec.colorspace, codec.color_range = int(Colorspace.ITU709), int(ColorRange.MPEG)
        codec.color_primaries, codec.color_trc = int(ColorPrimaries.BT709), int(ColorTrc.BT709)
        writer = ClipWriter(size_px, most_frames, container, stream)
        yield writer
        if not writer.frames:
            raise UsageError("A clip without a picture cannot be written.")
        writer.finish()
    except BaseException:
        _close_broken(container)
        raise
    container.close()


def _close_broken(container: Any) -> None:
    """Give the encoder back; what it still has to say about a clip that is thrown away does not count."""
    try:
        container.close()
    except (av.FFmpegError, OSError, ValueError):
        return
