"""The person's outline at the picture's own resolution.

The pose model's mask is 256 cells wide for the whole person and smooth where the body is not. A guided filter (He,
Sun and Tang, "Guided image filtering", IEEE TPAMI 35, 2013) lets the mask change only where the colours of the picture
do: near each pixel the result is a linear function of red, green and blue that agrees best with the mask. Where
shirt and background are of one colour there is no such function, and the mask stays as soft as it was.
"""

from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

from putt_posture.values import Picture

__all__ = ["refine_mask"]

REACH: Final = 0.03
"""Radius of the filter's window, share of the person's longer side: some five cells of the mask, as far as it errs."""
NOISE: Final = 0.01
"""Colour changes much smaller than this share of the full range are noise, not edges."""
LARGEST_PX: Final = 900
"""The filter works on a picture in which the person is no longer than this; a pixel is then still under 2 mm."""
_SEEN: Final = 8


def refine_mask(mask: NDArray[np.uint8], picture: Picture) -> NDArray[np.uint8]:
    """Move the edge of a person's mask to the edge in the picture.

    Parameters
    ----------
    mask : (h, w) uint8
        How surely each pixel belongs to the person, 0 to 255.
    picture : (h, w, 3) uint8
        What the mask is of.

    Returns
    -------
    (h, w) uint8
        The same refined: steep where an edge was found, soft where none was.
    """
    left, top, wide, high = cv2.boundingRect((mask > _SEEN).astype(np.uint8))
    if not wide or not high:
        return mask
    reach = REACH * max(wide, high)
    room = int(np.ceil(2 * reach))
    part = np.s_[max(top - room, 0) : top + high + room, max(left - room, 0) : left + wide + room]
    scale = min(1.0, LARGEST_PX / max(wide, high))
    guide, coarse = np.ascontiguousarray(picture[part]), np.ascontiguousarray(mask[part], dtype=np.float32)
    size = guide.shape[1::-1]
    if scale < 1.0:
        guide = cv2.resize(guide, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
        coarse = cv2.resize(coarse, guide.shape[1::-1], interpolation=cv2.INTER_AREA)
    fine = cv2.ximgproc.guidedFilter(guide, coarse, max(1, round(reach * scale)), (NOISE * 255) ** 2)
    fine = np.where(np.isfinite(fine), fine, coarse)  # a window of one colour throughout
    if scale < 1.0:
        fine = cv2.resize(fine, size, interpolation=cv2.INTER_LINEAR)
    refined = np.zeros_like(mask)
    refined[part] = np.clip(np.rint(fine), 0, 255).astype(np.uint8)
    return refined
