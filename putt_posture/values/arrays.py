"""Arrays of numbers, and the medians of what was seen of them."""

import math

import numpy as np
from numpy.typing import NDArray

__all__ = ["Floats", "median_seen", "medians_seen"]

Floats = NDArray[np.float64]
"""Numbers of any shape; NaN where unseen."""


def median_seen(values: Floats) -> float:
    """Return the median of the values that are not NaN; NaN, without a warning, where all are.

    Examples
    --------
    >>> median_seen(np.array([1.0, np.nan, 3.0]))
    2.0
    """
    return float(np.nanmedian(values)) if np.isfinite(values).any() else math.nan


def medians_seen(values: Floats, *, axis: int = 0) -> Floats:
    """Return the medians along an axis of the values that are not NaN; NaN, without a warning, where all are.

    The same as `numpy.nanmedian`, which takes some ten times as long over few values.

    Examples
    --------
    >>> medians_seen(np.array([[1.0, np.nan], [np.nan, np.nan], [4.0, np.nan]]))
    array([2.5, nan])
    """
    ordered = np.sort(np.moveaxis(values, axis, 0), axis=0)  # NaN comes last
    count = len(ordered)
    if not count:
        return np.full(ordered.shape[1:], np.nan)
    seen = count - np.isnan(ordered).sum(axis=0)
    if np.all(seen == count):
        return np.asarray((ordered[(count - 1) // 2] + ordered[count // 2]) / 2)
    places = np.maximum(seen - 1, 0) // 2, np.minimum(seen // 2, count - 1)
    low, high = (np.take_along_axis(ordered, np.asarray(place)[None], axis=0)[0] for place in places)
    return np.asarray((low + high) / 2)
