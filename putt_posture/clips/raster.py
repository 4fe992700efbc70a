"""From a decoded frame to an upright RGB picture, or to a small grey one, no larger than asked for.

Pictures are made small before they are turned and tone-mapped, so that thumbnails of a 4K clip are cheap.
"""

import math
from typing import Any, Final

import av
import cv2
import numpy as np
from av.sidedata.sidedata import Type
from av.video.reformatter import ColorPrimaries, ColorRange, Colorspace, ColorTrc, Interpolation, VideoReformatter
from numpy.typing import NDArray

from putt_posture.clips.hdr import Transfer, tone_picture
from putt_posture.clips.orientation import AS_STORED, Orientation, orientation_from_matrix
from putt_posture.values import Picture

__all__ = ["Rasterizer", "find_orientation", "find_transfer", "fit_size", "square_size"]

_HIGH_DEFINITION_LINES: Final = 720
"""An untagged picture with this many lines counts as BT.709, a smaller one as BT.601 (common practice)."""

_MATRICES: Final = {
    1: Colorspace.ITU709,
    4: Colorspace.FCC,
    5: Colorspace.ITU601,
    6: Colorspace.ITU601,
    7: Colorspace.SMPTE240M,
    9: Colorspace.BT2020,
    10: Colorspace.BT2020,
}
"""Matrix coefficients of ITU-T H.273, table 4, to swscale's names."""

_FULL_CODE: Final = 255 << 8
"""White as swscale writes it in 16 bits when it comes from limited or full range Y'CbCr."""

_ROWS_AVERAGED: Final = 3
"""Rows of the frame that are used for each row of a small luma picture; all columns are used."""

_SMALLER: Final = Interpolation.AREA | Interpolation.ACCURATE_RND | Interpolation.FULL_CHR_H_INT
_SAME: Final = Interpolation.BICUBIC | Interpolation.ACCURATE_RND | Interpolation.FULL_CHR_H_INT


class Rasterizer:
    """Makes pictures from the frames of one clip.

    Parameters
    ----------
    size : (int, int)
        Width and height of the pictures to make, pixels, upright.
    orientation : Orientation
        How the frames are stored.
    """

    def __init__(self, size: tuple[int, int], orientation: Orientation) -> None:
        self._size = orientation.size(*size)
        self._orientation = orientation
        self._reformatter = VideoReformatter()

    def picture(self, frame: av.VideoFrame) -> Picture:
        """Return the (H, W, 3) uint8 RGB picture, upright, tone-mapped where it is HDR.

        Parameters
        ----------
        frame : av.VideoFrame
            A decoded frame of the stream.
        """
        transfer = find_transfer(frame)
        stored = self._convert(frame, "rgb24" if transfer == "sdr" else "rgb48le")
        if transfer != "sdr":
            stored = tone_picture(stored, transfer=transfer, full_code=_FULL_CODE)
        return self._orientation.turn(stored)

    def luma(self, frame: av.VideoFrame) -> NDArray[np.uint8]:
        """Return the (H, W) uint8 luma, upright, as coded: cheap, to compare frames with each other.

        Parameters
        ----------
        frame : av.VideoFrame
            A decoded frame of the stream.
        """
        plane = _luma_plane(frame)
        if plane is None:
            return self._orientation.turn(self._convert(frame, "gray"))
        every = max(1, plane.shape[0] // (_ROWS_AVERAGED * self._size[1]))
        small = _average(plane[::every], self._size)
        if small.dtype == np.uint16:
            small = (small >> (frame.format.components[0].bits - 8)).astype(np.uint8)
        return self._orientation.turn(small)

    def _convert(self, frame: av.VideoFrame, pixel_format: str) -> NDArray[Any]:
        width, height = self._size
        smaller = width < frame.width or height < frame.height
        converted = self._reformatter.reformat(
            frame,
            width=width,
            height=height,
            format=pixel_format,
            src_colorspace=_matrix(frame),
            src_color_range=_range(frame),
            dst_color_range=ColorRange.JPEG,
            interpolation=_SMALLER if smaller else _SAME,
        )
        return converted.to_ndarray()


def find_orientation(frame: av.VideoFrame) -> Orientation:
    """Read a frame's display matrix; as stored where it has none.

    Parameters
    ----------
    frame : av.VideoFrame
        A decoded frame with its side data.
    """
    side_data: Any = frame.side_data
    data = side_data.get(Type.DISPLAYMATRIX)
    if data is None:
        return AS_STORED
    return orientation_from_matrix(np.frombuffer(bytes(data), "<i4").reshape(3, 3)[:2, :2])


def find_transfer(frame: av.VideoFrame) -> Transfer:
    """Return how light is coded.

    Parameters
    ----------
    frame : av.VideoFrame
        A decoded frame.
    """
    if frame.color_trc == ColorTrc.ARIB_STD_B67:
        return "hlg"
    if frame.color_trc == ColorTrc.SMPTE2084:
        return "pq"
    return "sdr"


def square_size(width: int, height: int, pixel_aspect: float) -> tuple[int, int]:
    """Return the size at which a stored picture has square pixels; the coarser axis is stretched.

    Parameters
    ----------
    width, height : int
        Stored.
    pixel_aspect : float
        Width of a stored pixel over its height; 0 where unknown, which counts as 1.
    """
    if pixel_aspect > 1:
        return max(1, round(width * pixel_aspect)), height
    if 0 < pixel_aspect < 1:
        return width, max(1, round(height / pixel_aspect))
    return width, height


def fit_size(width: int, height: int, max_side: int | None) -> tuple[int, int]:
    """Return the size at which neither side is over `max_side`; never larger than it was.

    Parameters
    ----------
    width : int
        Pixels.
    height : int
        Pixels.
    max_side : int or None
        Largest side, pixels; None for no limit.
    """
    longest = max(width, height)
    if max_side is None or longest <= max_side:
        return width, height
    return max(1, round(width * max_side / longest)), max(1, round(height * max_side / longest))


def _matrix(frame: av.VideoFrame) -> Colorspace:
    guess = Colorspace.ITU709 if min(frame.width, frame.height) >= _HIGH_DEFINITION_LINES else Colorspace.ITU601
    if find_transfer(frame) != "sdr" or frame.color_primaries == ColorPrimaries.BT2020:
        guess = Colorspace.BT2020
    return _MATRICES.get(int(frame.colorspace), guess)


def _range(frame: av.VideoFrame) -> ColorRange:
    full = frame.color_range == ColorRange.JPEG or frame.format.name.startswith("yuvj") or frame.format.is_rgb
    return ColorRange.JPEG if full else ColorRange.MPEG


def _average(rows: NDArray[Any], size: tuple[int, int]) -> NDArray[Any]:
    """Make a plane smaller by averaging, exactly like cv2's INTER_AREA, in half of the time where that is possible.

    Where whole rows go into one they are added up first; a running sum along each row then gives the sum of any part of
    it, and what an edge cuts off a column is a whole number of parts. cv2 rounds a mean of exactly one half either way,
    so this is used only where there is none: for sums over an odd number.
    """
    high, wide = rows.shape
    across, down = size
    each = high // down
    if high != each * down or each * wide // math.gcd(wide, across) % 2 == 0:
        return np.asarray(cv2.resize(rows, size, interpolation=cv2.INTER_AREA))
    added = rows[::each].astype(np.uint32 if rows.itemsize > 1 else np.uint16)
    for start in range(1, each):
        np.add(added, rows[start::each], out=added)
    whole, part = np.divmod(np.arange(across + 1) * wide, across)
    before = np.zeros((down, wide + 1), dtype=np.uint32)
    np.cumsum(added, axis=1, out=before[:, 1:])
    up_to = across * before[:, whole].astype(np.int64) + part * added[:, np.minimum(whole, wide - 1)]
    return np.asarray(np.rint(np.diff(up_to, axis=1) / (each * wide)), dtype=rows.dtype)


def _luma_plane(frame: av.VideoFrame) -> NDArray[Any] | None:
    """View the first plane as (H, W) where it is luma alone, 8 bits or little-endian 9 to 16 bits deep."""
    pixel_format = frame.format
    bits = pixel_format.components[0].bits
    name = pixel_format.name
    if not name.startswith(("yuv4", "yuvj4", "nv12", "nv21", "gray")) or name.endswith("be") or bits < 8:
        return None
    if bits > 16 or name in {"yuyv422", "grayf32le", "grayf16le"}:
        return None
    plane: Any = frame.planes[0]
    sample = np.dtype(np.uint8 if bits == 8 else "<u2")
    rows: NDArray[Any] = np.frombuffer(plane, dtype=sample).reshape(-1, plane.line_size // sample.itemsize)
    return rows[: frame.height, : frame.width]
