"""Arrays of numbers, and the median of what was seen of them."""

import math

import numpy as np
from numpy.typing import NDArray

__all__ = ["Floats", "median_seen"]

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
