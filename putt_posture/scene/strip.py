"""A straight strip cut out of a picture along a line, resampled so that the line runs down its middle."""

import math
from typing import Final

import cv2
import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from putt_posture.values import Floats, Picture, Point

__all__ = ["Strip", "opponent"]


_CHROMA: Final = 0.7
"""Weight of a difference in colour relative to the same difference in brightness."""


@frozen(kw_only=True, eq=False)
class Strip:
    """The place of a strip in the picture.

    Points are continuous: the picture's top left corner is 0, 0, so the middle of its first pixel is 0.5, 0.5.

    Attributes
    ----------
    start_px : (2,)
        Picture point of distance 0 along the line, offset 0.
    along : (2,)
        Unit vector down the line, picture axes.
    step_px : float
        Picture pixels between neighbouring samples, both ways.
    first, last : float
        Distances of the first and the last row along the line, px.
    half_width : float
        Offsets run from minus to plus this, px.
    """

    start_px: Floats
    along: Floats
    step_px: float
    first: float
    last: float
    half_width: float

    @property
    def across(self) -> Floats:
        """Unit vector square to the line; to the right where the line runs down."""
        return np.array([self.along[1], -self.along[0]])

    @property
    def distances(self) -> Floats:
        """Distance along the line of each row, (rows,) px."""
        return np.asarray(self.first + self.step_px * np.arange(int((self.last - self.first) / self.step_px) + 1))

    @property
    def offsets(self) -> Floats:
        """Offset across the line of each column, (columns,) px."""
        half = int(self.half_width / self.step_px)
        return np.asarray(self.step_px * np.arange(-half, half + 1), dtype=np.float64)

    def cut(self, picture: Picture) -> Floats:
        """Return the strip's brightness and two colour differences, (rows, columns, 3); NaN outside the picture.

        Parameters
        ----------
        picture : (H, W, 3) uint8
            Full size.

        Returns
        -------
        (rows, columns, 3)
            Brightness, red less green, and yellow less blue, as `opponent` returns them.
        """
        rows, columns = len(self.distances), len(self.offsets)
        corner = self.start_px + self.first * self.along + self.offsets[0] * self.across
        picture, corner = _crop(picture, self._corners(), corner)
        if self.step_px > 1.2:
            picture = np.asarray(cv2.GaussianBlur(picture, (0, 0), 0.4 * self.step_px))
        matrix = np.column_stack([self.step_px * self.across, self.step_px * self.along, corner - 0.5])
        flags = cv2.INTER_LINEAR | cv2.WARP_INVERSE_MAP
        colours = cv2.warpAffine(
            picture.astype(np.float32),
            matrix,
            (columns, rows),
            flags=flags,
            borderMode=cv2.BORDER_CONSTANT,
            borderValue=(math.nan,) * 3,
        )
        return opponent(colours)

    def to_px(self, distance: float, offset: float = 0.0) -> Point:
        """Return the picture point of a place on the strip.

        Parameters
        ----------
        distance : float
            Along the line, px.
        offset : float
            Across it, px; + to the right where the line runs down.

        Returns
        -------
        Point
            u and v, px.
        """
        point = self.start_px + distance * self.along + offset * self.across
        return float(point[0]), float(point[1])

    def _corners(self) -> Floats:
        return np.array(
            [
                self.start_px + t * self.along + x * self.across
                for t in (self.first, self.last)
                for x in (-self.half_width, self.half_width)
            ]
        )


def opponent(colours: NDArray[np.floating]) -> Floats:
    """Turn RGB (…, 3) into brightness, red less green, and yellow less blue.

    Parameters
    ----------
    colours : (…, 3)
        RGB, 0 to 255.

    Returns
    -------
    (…, 3)
        Brightness 0 to 255; differences are weighted by 0.7.
    """
    r, g, b = (colours[..., channel].astype(np.float64) for channel in range(3))
    turned = np.empty(colours.shape)
    turned[..., 0], turned[..., 1], turned[..., 2] = (r + g + b) / 3, _CHROMA * (r - g), _CHROMA * ((r + g) / 2 - b)
    return turned


def _crop(picture: Picture, corners: Floats, corner: Floats) -> tuple[Picture, Floats]:
    """Crop the picture to what the strip needs, and move a point with it."""
    height, width = picture.shape[:2]
    low = np.clip(np.floor(corners.min(axis=0)) - 4, 0, [width - 1, height - 1]).astype(int)
    high = np.clip(np.ceil(corners.max(axis=0)) + 5, low + 1, [width, height]).astype(int)
    return picture[low[1] : high[1], low[0] : high[0]], corner - low
