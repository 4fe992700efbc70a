"""Changes of the putter in use and of the suggested length."""

import math
from typing import Final

from scipy.special import ndtri

from putt_posture.history.course import PutterChange
from putt_posture.units import CM_PER_INCH
from putt_posture.values import LEVEL, History, Visit

__all__ = ["IN_USE_STEP_CM", "find_putter_changes"]

IN_USE_STEP_CM: Final = 0.5
"""Least difference that counts, cm (chosen): less may be the reading of the tape."""

SUGGESTED_STEP_CM: Final = CM_PER_INCH / 2
"""Half an inch, the step in which putters are sold and cut: a smaller change of the suggestion means the same
putter."""


def find_putter_changes(history: History) -> tuple[PutterChange, ...]:
    """Find the visits from which on another putter was in use or another length was suggested.

    Each length is compared with the last one that was marked, so that small steps in one direction count once they add
    up. Visits without a length are skipped. A suggested length counts as another where it differs by half an inch and
    by more than the margin of the difference, with independent errors. The margin is wider the more visits there are,
    so that noise makes such a step at most once in 20 histories.

    Parameters
    ----------
    history : History

    Returns
    -------
    tuple of PutterChange
        In the order of the visits.
    """
    found = [*_find_in_use(history.visits), *_find_suggested(history.visits)]
    return tuple(sorted(found, key=lambda change: (change.visit, change.kind)))


def _find_in_use(visits: tuple[Visit, ...]) -> list[PutterChange]:
    found: list[PutterChange] = []
    marked: float | None = None
    for place, visit in enumerate(visits):
        length = visit.putter_in_use_cm
        if length is None:
            continue
        if marked is None:
            marked = length
        elif abs(length - marked) >= IN_USE_STEP_CM - 1e-9:
            found.append(PutterChange(visit=place, kind="in_use", before_cm=marked, after_cm=length))
            marked = length
    return found


def _find_suggested(visits: tuple[Visit, ...]) -> list[PutterChange]:
    with_putter = [(place, visit.suggested) for place, visit in enumerate(visits) if visit.suggested]
    if not with_putter:
        return []
    found: list[PutterChange] = []
    coverage = float(ndtri(1 - LEVEL / 2 / max(len(with_putter) - 1, 1)))
    _, marked = with_putter[0]
    for place, length in with_putter[1:]:
        margin = coverage * math.hypot(length.standard_uncertainty, marked.standard_uncertainty)
        if abs(length.value - marked.value) >= max(SUGGESTED_STEP_CM - 1e-9, margin):
            found.append(PutterChange(visit=place, kind="suggested", before_cm=marked.value, after_cm=length.value))
            marked = length
    return found
