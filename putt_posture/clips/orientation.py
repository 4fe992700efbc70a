"""The orientation of a stored picture.

A display matrix [a b; c d] maps a stored pixel (x, y), y down, to (a·x + c·y, b·x + d·y), as the track header of
ISO/IEC 14496-12 defines it. EXIF encodes the same as a number from 1 to 8.
"""

from typing import Any, Final

import cv2
import numpy as np
from attrs import frozen
from numpy.typing import NDArray

__all__ = ["AS_STORED", "Orientation", "orientation_from_exif", "orientation_from_matrix", "orientation_from_turn"]


@frozen
class Orientation:
    """Swap the axes, then flip: any of the eight orientations of a picture on a pixel grid.

    Attributes
    ----------
    transposed : bool
        Rows become columns, before any flip.
    flipped_x, flipped_y : bool
        Left and right, top and bottom change places.
    """

    transposed: bool = False
    flipped_x: bool = False
    flipped_y: bool = False

    @property
    def mirrored(self) -> bool:
        """True where the stored picture is a mirror image of the upright one."""
        return self.transposed ^ self.flipped_x ^ self.flipped_y

    @property
    def rotation_deg(self) -> int:
        """Clockwise turn, after un-mirroring left to right, that brings the stored picture upright."""
        if self.transposed:
            return 90 if self.flipped_x else 270
        return 180 if self.flipped_y else 0

    def size(self, width: int, height: int) -> tuple[int, int]:
        """Return the (width, height) that a stored width and height have when upright; its own inverse.

        Parameters
        ----------
        width : int
            Stored width, pixels.
        height : int
            Stored height, pixels.
        """
        return (height, width) if self.transposed else (width, height)

    def turn(self, stored: NDArray[Any]) -> NDArray[Any]:
        """Return the upright picture, contiguous.

        Parameters
        ----------
        stored : (H, W) or (H, W, C)
            As decoded.
        """
        upright: NDArray[Any] = cv2.transpose(stored) if self.transposed else stored
        if self.flipped_x or self.flipped_y:
            code = -1 if self.flipped_x and self.flipped_y else int(self.flipped_x)
            upright = cv2.flip(upright, code)
        return np.ascontiguousarray(upright)


AS_STORED: Final = Orientation()


def orientation_from_matrix(matrix: NDArray[Any]) -> Orientation:
    """Read a display matrix.

    Parameters
    ----------
    matrix : (2, 2)
        [a b; c d] in any positive scale. A turn that is not a multiple of 90° is rounded to the nearest.

    Returns
    -------
    Orientation
    """
    (a, b), (c, d) = np.asarray(matrix, dtype=np.float64)
    transposed = bool(abs(b) + abs(c) > abs(a) + abs(d))
    drives_x, drives_y = (c, b) if transposed else (a, d)
    return Orientation(transposed, bool(drives_x < 0), bool(drives_y < 0))


def orientation_from_turn(rotation_deg: int, *, mirrored: bool) -> Orientation:
    """Find the orientation with this rotation and mirroring; the inverse of the two properties.

    Parameters
    ----------
    rotation_deg : {0, 90, 180, 270}
        Clockwise, after un-mirroring left to right.
    mirrored : bool
    """
    if rotation_deg in {90, 270}:
        flipped_x = rotation_deg == 90
        return Orientation(True, flipped_x, flipped_x == mirrored)
    flipped_y = rotation_deg == 180
    return Orientation(False, flipped_y ^ mirrored, flipped_y)


_EXIF: Final = {
    1: Orientation(False, False, False),
    2: Orientation(False, True, False),
    3: Orientation(False, True, True),
    4: Orientation(False, False, True),
    5: Orientation(True, False, False),
    6: Orientation(True, True, False),
    7: Orientation(True, True, True),
    8: Orientation(True, False, True),
}
"""Exif 3.0 (CIPA DC-008), tag 274: where the 0th row and the 0th column of the stored picture are."""


def orientation_from_exif(number: object) -> Orientation:
    """Read an EXIF orientation; a number outside 1 to 8 means as stored.

    Parameters
    ----------
    number : object
        The value of the EXIF tag, of any type.
    """
    return _EXIF.get(number, AS_STORED) if isinstance(number, int) else AS_STORED
