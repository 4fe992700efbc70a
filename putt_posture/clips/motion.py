"""How much each part of the picture changes over time, measured quickly in every frame.

The picture is cut into cells. A reading compares a small grey picture with an earlier one, as near as possible to 1/30
s of real time before it. So clips of any rate, slow motion or not, have the same scale, and noise counts the same in
all of them.
"""

from collections import deque
from typing import Final

import cv2
import numpy as np
from attrs import field, frozen
from numpy.typing import ArrayLike, NDArray

from putt_posture.values import Clip

__all__ = ["MotionGrid", "MotionReader", "motion_in_box"]

REFERENCE_S: Final = 1 / 30
"""Change is measured over this much real time, s: the spacing of ordinary phone video."""

FEED_RATE_HZ: Final = 60.0
"""Frames of faster clips are thinned to about this many per real second."""

LONG_SIDE_PX: Final = 160
CELL_PX: Final = 8
"""Size of the small grey picture and of one square cell in it."""

_FEED_SHARE: Final = 0.85
_REFERENCE_SHARE: Final = 0.7
"""A frame counts after this share of its interval (jitter of time stamps; 24 to 50 Hz)."""


@frozen(kw_only=True, eq=False)
class MotionGrid:
    """Change in every cell of the picture through a clip.

    Attributes
    ----------
    times_s : (M,)
        Clip time of each reading (of the later of the two frames compared), seconds, increasing.
    change : (M, gh, gw) float16
        Mean absolute change of luma, 0 to 255 levels, per 1/30 s of real time.
    cell_px : (float, float)
        Width and height of a cell in pixels of the full-size upright picture.
    """

    times_s: NDArray[np.float64]
    change: NDArray[np.float16] = field(repr=False)
    cell_px: tuple[float, float]


class MotionReader:
    """Collects a `MotionGrid` from small grey pictures, about half a kilobyte a reading.

    Parameters
    ----------
    clip : Clip
        For the shape of the picture, and the ratio of clip time to real time.
    """

    def __init__(self, clip: Clip) -> None:
        longest = max(clip.width, clip.height)
        self._cells = tuple(
            max(1, round(LONG_SIDE_PX * side / longest / CELL_PX)) for side in (clip.width, clip.height)
        )
        self._full_size = (clip.width, clip.height)
        self._stretch = clip.time_stretch
        self._recent: deque[tuple[float, NDArray[np.uint8]]] = deque()
        self._times: list[float] = []
        self._change: list[NDArray[np.float16]] = []

    @property
    def size(self) -> tuple[int, int]:
        """Width and height of the pictures to feed, pixels."""
        return self._cells[0] * CELL_PX, self._cells[1] * CELL_PX

    def wants(self, time_s: float) -> bool:
        """Return whether a frame at this clip time is wanted, or comes too soon after the last.

        Parameters
        ----------
        time_s : float
            Clip time, seconds.
        """
        if not self._recent:
            return True
        return (time_s - self._recent[-1][0]) / self._stretch >= _FEED_SHARE / FEED_RATE_HZ

    def feed(self, luma: NDArray[np.uint8], *, time_s: float) -> None:
        """Compare one frame with those before it.

        Parameters
        ----------
        luma : (H, W) uint8
            Upright, of `size`.
        time_s : float
            Clip time, later than any fed before.
        """
        while len(self._recent) > 1 and self._misses(time_s, 1) <= self._misses(time_s, 0):
            self._recent.popleft()
        if self._recent:
            then, earlier = self._recent[0]
            elapsed = (time_s - then) / self._stretch
            if elapsed >= _REFERENCE_SHARE * REFERENCE_S:
                levels = cv2.absdiff(luma, earlier).astype(np.float32)
                cells = cv2.resize(levels, self._cells, interpolation=cv2.INTER_AREA)
                self._change.append((cells * (REFERENCE_S / elapsed)).astype(np.float16))
                self._times.append(time_s)
        self._recent.append((time_s, luma))

    def _misses(self, time_s: float, index: int) -> float:
        """Return by how much the age of a recent frame differs from the reference, real seconds."""
        return abs((time_s - self._recent[index][0]) / self._stretch - REFERENCE_S)

    def grid(self) -> MotionGrid:
        """Return the readings so far."""
        width, height = self._full_size
        columns, rows = self._cells
        change = np.stack(self._change) if self._change else np.empty((0, rows, columns), dtype=np.float16)
        return MotionGrid(
            times_s=np.array(self._times, dtype=np.float64), change=change, cell_px=(width / columns, height / rows)
        )


def motion_in_box(grid: MotionGrid, box_px: ArrayLike) -> NDArray[np.float64]:
    """Average the change inside a box.

    Parameters
    ----------
    grid : MotionGrid
    box_px : (4,) or (M, 4)
        u0, v0, u1, v1 in pixels of the full-size upright picture: one box for all readings or one for each. Cells count
        by their share inside.

    Returns
    -------
    (M,)
        Mean absolute change of luma, 0 to 255 levels, per 1/30 s of real time; NaN where the box is NaN or is outside
        the picture.
    """
    boxes = np.broadcast_to(np.asarray(box_px, dtype=np.float64), (len(grid.times_s), 4))
    _, rows, columns = grid.change.shape
    across = _shares(boxes[:, 0], boxes[:, 2], grid.cell_px[0], columns)
    down = _shares(boxes[:, 1], boxes[:, 3], grid.cell_px[1], rows)
    total = np.einsum("mhw,mh,mw->m", grid.change.astype(np.float32), down, across)
    area = down.sum(axis=1) * across.sum(axis=1)
    usable = area > 0  # False for NaN
    mean: NDArray[np.float64] = np.full(len(boxes), np.nan)
    mean[usable] = total[usable] / area[usable]
    return mean


def _shares(low: NDArray[np.float64], high: NDArray[np.float64], cell: float, count: int) -> NDArray[np.float64]:
    """Return (M, count): how much of each of `count` cells in a row lies between `low` and `high`, 0 to 1."""
    edges = np.arange(count) * cell
    overlap = np.minimum(high[:, None], edges + cell) - np.maximum(low[:, None], edges)
    shares: NDArray[np.float64] = np.clip(overlap / cell, 0.0, 1.0)
    return shares
