"""How different from the floor each place beside the putter head is, in the two ways in which a ball can be."""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from putt_posture.scene.strip import Strip
from putt_posture.values import Floats

__all__ = ["brighter_or_coloured", "grey_beside_head"]

Flags = NDArray[np.bool_]

_BRIGHTER: Final = 22.0
_COLOURED: Final = 26.0
"""Difference from the floor in brightness or colour, of 255, that counts in full."""
_LIT: Final = 90.0
"""Brightness of a well-lit floor; on a darker one every difference is smaller in proportion."""
_DARKEST: Final = 0.35
_HEAD_CM: Final = (0.6, 2.2)
"""Height above the sole and distance to either side in which the head's colour is read, cm."""
_HEAD_ASIDE_CM: Final = 1.2


def brighter_or_coloured(cut: Floats, patch: Strip, *, px_per_cm: float) -> Floats:
    """Return how much brighter than the floor, or of how much stronger own colour, each place is.

    Parameters
    ----------
    cut : (rows, columns, 3)
        Of the patch, as `Strip.cut` returns it.
    patch : Strip
        Upright, its distance 0 at the sole.
    px_per_cm : float

    Returns
    -------
    (rows, columns)
        0 to 1; all 0 where no floor is in the picture.
    """
    floor = _floor(cut, patch, px_per_cm)
    if len(floor) == 0:
        return np.zeros(cut.shape[:2])
    middle, spread = _middle(floor)
    over = cut - middle
    dim = _dimness(middle)
    brighter = (over[..., 0] - 2.0 * spread[0]) / (_BRIGHTER * dim)
    # Grey differs from green as well, but has no colour of its own.
    own = np.linalg.norm(cut[..., 1:], axis=-1)
    coloured = np.minimum(own, np.linalg.norm(over[..., 1:], axis=-1)) - 2.0 * np.hypot(*spread[1:])
    return _shares(np.maximum(brighter, coloured / (_COLOURED * dim)))


def grey_beside_head(cut: Floats, patch: Strip, *, px_per_cm: float) -> Floats:
    """Return how much less coloured than the floor each place is, and how much brighter than the head.

    A white ball looks like this against the light: darker than the green, but grey, while a shadow on the green stays
    green.

    Parameters and returns are those of `brighter_or_coloured`.

    Parameters
    ----------
    cut : (rows, columns, 3)
        Of the patch, as `Strip.cut` returns it.
    patch : Strip
        Upright, its distance 0 at the sole.
    px_per_cm : float
        Scale, pixels per cm.
    """
    floor = _floor(cut, patch, px_per_cm)
    above, aside = patch.distances / px_per_cm, np.abs(patch.offsets) / px_per_cm
    near = ((-above > _HEAD_CM[0]) & (-above < _HEAD_CM[1]))[:, None] & (aside < _HEAD_ASIDE_CM)[None, :]
    head = cut[near & np.isfinite(cut).all(axis=-1)]
    if len(floor) == 0 or len(head) == 0:
        return np.zeros(cut.shape[:2])
    middle, _ = _middle(floor)
    # Colour divided by brightness belongs to the thing, in light and in shadow.
    level = middle[0] / np.maximum(cut[..., :1], 0.25 * middle[0])
    colours = cut[..., 1:] * level
    spread = 1.48 * np.median(np.abs(_floor(colours, patch, px_per_cm) - middle[1:]), axis=0)
    dim = _dimness(middle)
    greyer = np.linalg.norm(middle[1:]) - np.linalg.norm(colours, axis=-1) - 2.0 * np.hypot(*spread)
    dark, dark_spread = _middle(head)
    lighter = cut[..., 0] - dark[0] - 2.0 * min(float(dark_spread[0]), _BRIGHTER / 4)
    return _shares(np.minimum(greyer / _COLOURED, lighter / _BRIGHTER) / dim)


def _floor(values: Floats, patch: Strip, px_per_cm: float) -> Floats:
    """Return the values away from the head, (N, channels)."""
    far = (np.abs(patch.offsets) > 8.0 * px_per_cm)[None, :] | (patch.distances > 5.0 * px_per_cm)[:, None]
    return np.asarray(values[far & np.isfinite(values).all(axis=-1)])


def _middle(values: Floats) -> tuple[Floats, Floats]:
    middle = np.median(values, axis=0)
    return middle, np.asarray(1.48 * np.median(np.abs(values - middle), axis=0))


def _dimness(middle: Floats) -> float:
    return float(np.clip(middle[0] / _LIT, _DARKEST, 1.0))


def _shares(values: Floats) -> Floats:
    return np.asarray(np.clip(np.nan_to_num(values), 0.0, 1.0))
