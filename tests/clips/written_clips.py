"""Clips written for the tests: small, short, and with every frame's number in its picture.

A numbered picture has eight blocks along its top, white for 1 and black for 0, the lowest bit first, over
three plain colours that differ in every corner, so that no turn or flip looks like another.
"""

from collections.abc import Iterable, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

import av
import numpy as np
from numpy.typing import NDArray

TICKS_A_SECOND = 90_000
BITS = 8
QUIET = {"libx264": {"crf": "10"}, "libx265": {"crf": "10", "x265-params": "log-level=none"}}
EXACT = {"libx264": {"qp": "0"}, "libx265": {"x265-params": "log-level=none:lossless=1"}}


def numbered_picture(number: int, *, width: int = 128, height: int = 96) -> NDArray[np.uint8]:
    picture = np.full((height, width, 3), 128, np.uint8)
    picture[height // 4 :, : width // 2] = (200, 40, 40)
    picture[height // 2 :, width // 2 :] = (40, 60, 200)
    block = width // BITS
    for bit in range(BITS):
        picture[: height // 4, bit * block : (bit + 1) * block] = 255 if number >> bit & 1 else 0
    return picture


def number_of(picture: NDArray[np.uint8]) -> int:
    height, width = picture.shape[:2]
    block = width / BITS
    bits = [picture[height // 8, int((bit + 0.5) * block)].mean() > 127 for bit in range(BITS)]
    return sum(1 << bit for bit, is_set in enumerate(bits) if is_set)


def write_clip(
    path: Path,
    pictures: Iterable[NDArray[np.uint8] | av.VideoFrame],
    *,
    codec: str = "libx264",
    times_s: Sequence[float] | None = None,
    rate_hz: int = 30,
    pixel_format: str = "yuv420p",
    turn: tuple[float, bool, bool] | None = None,
    options: dict[str, str] | None = None,
    muxer: dict[str, str] | None = None,
    pixel_aspect: Fraction | None = None,
    colours: dict[str, int] | None = None,
) -> Path:
    """Write RGB pictures, or frames as they are, through PyAV.

    Give libx265 four frames or more: with fewer its time stamps are not set.

    `turn` is (degrees counter-clockwise, flip left to right, flip top to bottom) of the display matrix;
    `colours` sets attributes of the coder such as color_trc.
    """
    with av.open(str(path), "w", options=muxer or {}) as container:
        stream: Any = None
        for index, picture in enumerate(pictures):
            frame = picture if isinstance(picture, av.VideoFrame) else av.VideoFrame.from_ndarray(picture, "rgb24")
            if stream is None:
                chosen = options or QUIET.get(codec, {})
                stream = container.add_stream(codec, rate=rate_hz, options=dict(chosen))
                stream.width, stream.height, stream.pix_fmt = frame.width, frame.height, pixel_format
                stream.codec_context.time_base = Fraction(1, TICKS_A_SECOND)
                for name, value in (colours or {}).items():
                    setattr(stream.codec_context, name, value)
                if pixel_aspect is not None:
                    stream.codec_context.sample_aspect_ratio = pixel_aspect
                if turn is not None:
                    stream.set_display_rotation(turn[0], hflip=turn[1], vflip=turn[2])
            time = index / rate_hz if times_s is None else times_s[index]
            frame.time_base = Fraction(1, TICKS_A_SECOND)
            frame.pts = round(time * TICKS_A_SECOND)
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))
    return path


def yuv_frame(
    luma: NDArray[Any], blue: NDArray[Any], red: NDArray[Any], *, pixel_format: str = "yuv420p"
) -> av.VideoFrame:
    """Make a frame of exact code values; the two colour planes are half as wide and high as luma."""
    height, width = luma.shape
    frame = av.VideoFrame(width, height, pixel_format)
    sample = "<u2" if "10" in pixel_format else np.uint8
    for plane, values in zip(frame.planes, (luma, blue, red), strict=True):
        rows = np.zeros((values.shape[0], plane.line_size // np.dtype(sample).itemsize), sample)
        rows[:, : values.shape[1]] = values
        plane.update(rows.tobytes())
    return frame


def patches_frame(
    codes: Sequence[tuple[int, int, int]], *, pixel_format: str = "yuv420p", patch: int = 32, height: int = 64
) -> av.VideoFrame:
    """Make a frame of upright strips, one for each (luma, blue difference, red difference) code."""
    luma, blue, red = (np.repeat([code[part] for code in codes], patch)[None].repeat(height, 0) for part in range(3))
    return yuv_frame(luma, blue[::2, ::2], red[::2, ::2], pixel_format=pixel_format)


def patch_colours(picture: NDArray[np.uint8], count: int) -> NDArray[np.float64]:
    """Return the mean RGB, (count, 3), of the middle of each strip."""
    width = picture.shape[1] / count
    half = max(1, int(width / 4))
    middles = [int((index + 0.5) * width) for index in range(count)]
    return np.array([picture[:, middle - half : middle + half].mean(axis=(0, 1)) for middle in middles])
