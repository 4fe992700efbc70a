"""Stretches of time in which a flag holds."""

import itertools

import numpy as np
from numpy.typing import NDArray

from putt_posture.values import Floats

__all__ = ["close_gaps", "find_runs"]

Flags = NDArray[np.bool_]


def find_runs(flags: Flags) -> list[tuple[int, int]]:
    """Return first and last index of every run of true flags.

    Examples
    --------
    >>> find_runs(np.array([True, True, False, True]))
    [(0, 1), (3, 3)]
    """
    edges = np.diff(np.concatenate(([False], flags, [False])).astype(np.int8))
    starts, stops = np.flatnonzero(edges == 1), np.flatnonzero(edges == -1) - 1
    return [(int(start), int(stop)) for start, stop in zip(starts, stops, strict=True)]


def close_gaps(times_s: Floats, flags: Flags, *, shortest_s: float) -> Flags:
    """Set the flags between two runs that are less than `shortest_s` apart.

    Examples
    --------
    >>> close_gaps(np.arange(4.0), np.array([True, False, True, False]), shortest_s=3.0)
    array([ True,  True,  True, False])
    """
    closed = flags.copy()
    runs = find_runs(flags)
    for (_, before), (after, _) in itertools.pairwise(runs):
        if times_s[after] - times_s[before] < shortest_s:
            closed[before:after] = True
    return closed
