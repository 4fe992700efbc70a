"""Where the putter covers a crop, so that what is behind it is not read there."""

from typing import Final, Literal

import cv2
import numpy as np
from numpy.typing import NDArray

from putt_posture.scene.shaft_following import HeadTemplate, ShaftLine
from putt_posture.values import Floats

__all__ = ["HEAD_BOX_CM", "PutterMask", "draw_putter", "whole_px"]

Flags = NDArray[np.bool_]

_SHAFT_HALF_CM: Final = {"behind": 1.6, "ball": 0.7}
"""Half of the width that a shaft covers: with its blur and shadow, and alone, cm."""
HEAD_BOX_CM: Final = (-10.0, 15.0, 9.0)
"""What a head may cover along the shaft, from the sole, and to either side, cm."""


class PutterMask:
    """Where the putter covers a crop.

    Parameters
    ----------
    template : HeadTemplate or None
        The head as the still shows it; a large box stands for it where there is none.
    px_per_cm : float
        Crop pixels per cm.
    shape : (int, int)
        Height and width of the crop.
    """

    def __init__(self, template: HeadTemplate | None, px_per_cm: float, shape: tuple[int, int]) -> None:
        self._template, self._px_per_cm, self._shape = template, px_per_cm, shape

    def mask(self, line: ShaftLine | None, sole_px: float) -> Flags | None:
        """Return the mask, (H, W); None where the putter is not known.

        Parameters
        ----------
        line : ShaftLine or None
            The shaft in the frame.
        sole_px : float
            Distance of the sole down it.
        """
        if line is None:
            return None
        mask = np.zeros(self._shape, dtype=np.uint8)
        box = HEAD_BOX_CM if self._template is None else None
        draw_putter(mask, line, sole_px=sole_px, box_cm=box, px_per_cm=self._px_per_cm, use="ball")
        if self._template is None:
            return mask > 0
        return (mask > 0) | self._template.covers(self._shape, line=line.line, sole_px=sole_px)


def draw_putter(
    mask: NDArray[np.uint8],
    line: ShaftLine,
    *,
    sole_px: float,
    box_cm: tuple[float, float, float] | None,
    px_per_cm: float,
    use: Literal["behind", "ball"],
) -> None:
    """Set a mask to 1 where the putter may cover it.

    Parameters
    ----------
    mask : (H, W) uint8
        Is changed.
    line : ShaftLine
        The shaft in the frame.
    sole_px : float
        Distance of the sole down it.
    box_cm : (float, float, float) or None
        What the head covers: above the sole (negative), below it, and to either side of the shaft; none where the head
        is drawn by others.
    px_per_cm : float
        Crop pixels per cm.
    use : {"behind", "ball"}
        Whether what stands still behind it is wanted, or a ball beside it.
    """
    start, along = line.line.start_px, line.line.along
    across = np.array([along[1], -along[0]])
    end = start + sole_px * along
    thick = max(1, round(2 * _SHAFT_HALF_CM[use] * px_per_cm))
    cv2.line(mask, whole_px(start - 0.3 * sole_px * along), whole_px(end), 1, thick)
    if box_cm is None:
        return
    above, below, aside = (cm * px_per_cm for cm in box_cm)
    corners = [
        end + down * along + side * aside * across for down, side in ((above, -1), (above, 1), (below, 1), (below, -1))
    ]
    cv2.fillConvexPoly(mask, np.round(corners).astype(np.int32), 1)


def whole_px(point: Floats) -> tuple[int, int]:
    """Return the pixel in which a point lies, as OpenCV counts them.

    Parameters
    ----------
    point : (2,)
        Pixels, across and down.

    Returns
    -------
    int, int
        Column and row.
    """
    return round(float(point[0]) - 0.5), round(float(point[1]) - 0.5)
