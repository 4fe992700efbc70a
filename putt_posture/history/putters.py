"""When the putter changed: the one in the hands, and the length suggested."""

from typing import Final, Literal

from putt_posture.units import CM_PER_INCH
from putt_posture.values import History, PutterChange

__all__ = ["find_putter_changes"]

IN_USE_STEP_CM: Final = 0.5
"""Chosen: less is the reading of the tape."""

SUGGESTED_STEP_CM: Final = CM_PER_INCH / 2
"""Half an inch, the step in which putters are sold and cut; a suggestion that moves less asks for the same putter."""


def find_putter_changes(history: History) -> tuple[PutterChange, ...]:
    """Find from which visits on another putter was held or another length suggested.

    Each length is held against the one that was marked last, so that small steps the same way do count once they add
    up. Visits where it is not told are passed over.

    Returns
    -------
    tuple of PutterChange
        In the order of the visits.
    """
    in_use = [visit.putter_in_use_cm for visit in history.visits]
    suggested = [visit.suggested.value if visit.suggested else None for visit in history.visits]
    found = [*_steps(in_use, "in_use", IN_USE_STEP_CM), *_steps(suggested, "suggested", SUGGESTED_STEP_CM)]
    return tuple(sorted(found, key=lambda change: (change.visit, change.kind)))


def _steps(lengths_cm: list[float | None], kind: Literal["in_use", "suggested"], least_cm: float) -> list[PutterChange]:
    found: list[PutterChange] = []
    marked: float | None = None
    for visit, length in enumerate(lengths_cm):
        if length is None:
            continue
        if marked is None:
            marked = length
        elif abs(length - marked) >= least_cm - 1e-9:
            found.append(PutterChange(visit=visit, kind=kind, before_cm=marked, after_cm=length))
            marked = length
    return found
