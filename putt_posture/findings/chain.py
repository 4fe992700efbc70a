"""From what lies outside its band to what comes first: causes before effects, and how steady that order is.

A fault is found where its value lies outside the band with 95 % or more. A cause that is only likely counts too where
something that it leads to was found: its effect shows.
"""

from collections.abc import Sequence
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from putt_posture.findings.coach_file import Fault
from putt_posture.findings.judging import CERTAIN
from putt_posture.values import Floats

__all__ = ["LIKELY", "find_change_on_repeat", "find_faults"]

LIKELY: Final = 0.8
"""A cause as likely as this counts where one of its effects was found (judged)."""
_DRAWS: Final = 1024
_DRAWS_ALONE: Final = 128


def find_faults(probabilities: Floats, faults: Sequence[Fault]) -> NDArray[np.bool_]:
    """Tell which faults count.

    Parameters
    ----------
    probabilities : (..., F)
        That each fault's value lies outside its band, 0 to 1; NaN where it was not measured.
    faults : sequence of F Fault
        In the coach's order, a cause before its effects.

    Returns
    -------
    (..., F) bool
    """
    place = {fault.name: number for number, fault in enumerate(faults)}
    counts = probabilities >= CERTAIN
    for number in reversed(range(len(faults))):
        effects = [place[name] for name in faults[number].leads_to]
        if effects:
            counts[..., number] |= (probabilities[..., number] >= LIKELY) & counts[..., effects].any(axis=-1)
    return np.asarray(counts)


def find_change_on_repeat(beyond: Floats, faults: Sequence[Fault], *, own: Floats) -> float:
    """Return the chance that a repeat of the measurement would put something else first.

    The errors of all quantities are drawn anew, independently and each with its own uncertainty, at fixed places that
    fill the space evenly (a Kronecker sequence; Roberts 2018, from memory), so that the same lesson gives the same
    answer. Where one quantity alone, drawn anew, changes it more often than all together, that chance is returned.

    Parameters
    ----------
    beyond : (F, Q)
        How far beyond its band each of Q quantities lies, on the side of each fault, in standard uncertainties; −inf
        where the fault has nothing to do with the quantity or it was not measured.
    faults : sequence of F Fault
        In the coach's order.
    own : (Q,)
        The share of that standard uncertainty that the measurement itself has, 0 to 1; the rest is that of the band.

    Returns
    -------
    float
        0 to 1.
    """
    signs = np.array([-1.0 if fault.side == "below" else 1.0 for fault in faults])
    now = _first(_counts(beyond, faults))

    def share(moved: Floats) -> float:
        return float(np.mean(_first(_counts(beyond + signs[:, None] * (moved * own)[:, None, :], faults)) != now))

    quantities = len(own)
    alone = ndtri((np.arange(_DRAWS_ALONE) + 0.5) / _DRAWS_ALONE)
    moving = [number for number in range(quantities) if own[number] > 0]
    return max(
        [share(_draws(_DRAWS, quantities)), *(share(alone[:, None] * _only(each, quantities)) for each in moving)]
    )


def _only(place: int, quantities: int) -> Floats:
    return np.asarray(np.arange(quantities) == place, dtype=float)


def _counts(beyond: Floats, faults: Sequence[Fault]) -> NDArray[np.bool_]:
    return find_faults(ndtr(beyond).max(axis=-1), faults)


def _first(counts: NDArray[np.bool_]) -> NDArray[np.int64]:
    """Return the place of the first fault that counts, −1 where none does."""
    return np.where(counts.any(axis=-1), counts.argmax(axis=-1), -1)


@cache
def _draws(count: int, quantities: int) -> Floats:
    """Return (count, quantities) standard normal numbers that fill the space evenly."""
    root = 2.0
    for _ in range(40):
        root = (1 + root) ** (1 / (quantities + 1))
    steps = (1 / root) ** np.arange(1, quantities + 1)
    shares = np.modf(0.5 + np.arange(1, count + 1)[:, None] * steps)[0]
    return np.asarray(ndtri(np.clip(shares, 1e-9, 1 - 1e-9)))
