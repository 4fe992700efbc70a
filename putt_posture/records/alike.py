"""Which of the pictures of a lesson one in its pages is: recognised by what it shows, whoever compressed it."""

from collections.abc import Sequence
from typing import Final

import numpy as np
from PIL import Image

from putt_posture.values import Floats, Picture

__all__ = ["ALIKE", "KnownPictures", "find_difference"]

ALIKE: Final = 6.0
"""Largest mean difference between an embedded picture and its PNG, levels of 255; JPEG alone gives about 1, another
picture of the same lesson more than 10."""
_SMALL: Final = (32, 32)
_ROUGH: Final = 3.0
"""How much less alike two pictures may be when small than at full size, levels; means of cells differ no more than
what they are the means of, but for cells that end between pixels."""


class KnownPictures:
    """Pictures among which an embedded one is looked for.

    Parameters
    ----------
    pictures : sequence of (H, W, 3) uint8
    """

    def __init__(self, pictures: Sequence[Picture]) -> None:
        self._pictures = pictures
        self._small = [_small(Image.fromarray(each)) for each in pictures]

    def find(self, embedded: Image.Image) -> int | None:
        """Return the place of the picture that an embedded one shows; None if it shows none of them.

        Parameters
        ----------
        embedded : Image
            In RGB, of any size.
        """
        small = _small(embedded)
        gaps = sorted((float(np.abs(small - each).mean()), at) for at, each in enumerate(self._small))
        least, found = ALIKE, None
        for gap, at in gaps:
            if gap > least + _ROUGH:
                break
            difference = find_difference(embedded, self._pictures[at])
            if difference <= least:
                least, found = difference, at
        return found


def find_difference(embedded: Image.Image, picture: Picture) -> float:
    """Return the mean difference in levels; infinite if the shapes differ.

    Parameters
    ----------
    embedded : Image
        From a page, of any size.
    picture : (H, W, 3) uint8
        RGB.
    """
    high, wide = picture.shape[:2]
    if abs(embedded.width / embedded.height - wide / high) > 2 / min(embedded.size):
        return float("inf")
    shown = np.asarray(Image.fromarray(picture).resize(embedded.size, Image.Resampling.BOX), dtype=np.int16)
    return float(np.abs(shown - np.asarray(embedded)).mean())


def _small(picture: Image.Image) -> Floats:
    return np.asarray(picture.resize(_SMALL, Image.Resampling.BOX), dtype=np.float64)
