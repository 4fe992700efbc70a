"""Several setups of one session as repeats: how much one setup differs from the next.

SEM and minimal difference as in J. P. Weir, "Quantifying test-retest reliability using the intraclass correlation
coefficient and the SEM", J. Strength Cond. Res. 19(1), 2005, 231-240 (abstract seen, equations from memory):
SEM = √MS_error = SD · √(1 − ICC), minimal difference = SEM · 1.96 · √2.

A few setups show their scatter badly: one pair in twelve shows less than a tenth of it. So the scatter of a student's
own setups is joined with a judged scatter, each weighted by its degrees of freedom, as variances of one kind are pooled
(G. K. Smyth, Stat. Appl. Genet. Mol. Biol. 3(1), 2004, article 3, from memory).

The judged scatter is in the record of each measure (`Measure.scatter_sd`). Published figures for a putting address were
not searched for, and rendered golfers do not take their address a second time. The judgement is that a point of the
body comes back to within 1 cm, and feet and ball to within 1.5 cm of each other. An angle changes by 1 cm at the end of
its segment (1 cm at 60 cm of shaft is 1.0°, at 22 cm of neck 2.6°), and a place along the foot by 1 cm of 27 cm. The
putter's own length does not scatter.
"""

import math
from collections.abc import Iterable, Sequence
from statistics import fmean
from typing import Final

from attrs import frozen

from putt_posture.measures import RECORDS
from putt_posture.values import NORMAL_95, Estimate, Measured, MeasureName

__all__ = [
    "JUDGED_FREEDOM",
    "Repeats",
    "find_minimal_difference",
    "find_repeats",
    "join_judged",
    "pool_scatter",
    "setups_of",
]

JUDGED_FREEDOM: Final = 8
"""Degrees of freedom of the judged scatter, which is taken as known to a quarter: ν = ½ (Δu/u)⁻² (JCGM 100:2008,
G.4.2)."""


@frozen(kw_only=True)
class Repeats:
    """How much single setups scatter about the mean of their session.

    Attributes
    ----------
    sem : float
        Standard error of measurement: the pooled standard deviation within a session, in the measure's unit.
    degrees_of_freedom : int
        Number of setups less number of sessions, for sessions with more than one setup; plus those of a judged scatter.
    """

    sem: float
    degrees_of_freedom: int

    @property
    def minimal_difference(self) -> float:
        """Least difference of two single setups that is more than scatter, 95 %."""
        return find_minimal_difference(self.sem)


def pool_scatter(sessions: Iterable[Sequence[float]]) -> Repeats | None:
    """Pool the scatter of the setups over sessions.

    Parameters
    ----------
    sessions : iterable of sequence of float
        The value of each setup, one sequence a session.

    Returns
    -------
    Repeats or None
        None where no session has more than one setup.

    Examples
    --------
    >>> pool_scatter([[30.0, 32.0], [41.0, 41.0, 44.0]]).sem  # √((2 + 6) / 3)
    1.632993161855452
    """
    squares, freedom = 0.0, 0
    for values in sessions:
        if len(values) > 1:
            mean = fmean(values)
            squares += math.fsum((value - mean) ** 2 for value in values)
            freedom += len(values) - 1
    return Repeats(sem=math.sqrt(squares / freedom), degrees_of_freedom=freedom) if freedom else None


def find_repeats(lessons: Iterable[Measured]) -> dict[MeasureName, Repeats]:
    """Pool the setups of lessons of one student, measure by measure; a measure without several setups is left out.

    Of the numbers of a stroke the strokes are pooled in the same way.

    Parameters
    ----------
    lessons : Iterable[Measured]
    """
    lessons = list(lessons)
    found = {
        name: pool_scatter(setups_of(estimate) for each in lessons if (estimate := each.measures.get(name)))
        for name in RECORDS
    }
    return {name: each for name, each in found.items() if each is not None}


def setups_of(estimate: Estimate) -> tuple[float, ...]:
    """Return the value of each setup; one value where all are equal, as it was read in one setup only.

    Parameters
    ----------
    estimate : Estimate
        Present or absent.
    """
    return estimate.repeats[:1] if len(set(estimate.repeats)) == 1 else estimate.repeats


def join_judged(own: Repeats | None, *, judged: float) -> Repeats:
    """Join what a student's own setups show with a judged scatter, in the same unit.

    Parameters
    ----------
    own : Repeats or None
        Scatter of the lessons' own setups; None without repeats.
    judged : float
        Scatter that is judged, one sigma.

    Examples
    --------
    >>> join_judged(Repeats(sem=1.0, degrees_of_freedom=4), judged=2.0).sem  # √((8 · 4 + 4 · 1) / 12)
    1.7320508075688772
    """
    seen = 0 if own is None else own.degrees_of_freedom
    squares = JUDGED_FREEDOM * judged**2 + (0.0 if own is None else seen * own.sem**2)
    freedom = JUDGED_FREEDOM + seen
    return Repeats(sem=math.sqrt(squares / freedom), degrees_of_freedom=freedom)


def find_minimal_difference(sem: float) -> float:
    """Find the smallest real difference of two single measurements, 1.96 · √2 · SEM.

    Parameters
    ----------
    sem : float
        Standard error of measurement.

    Examples
    --------
    >>> round(find_minimal_difference(2.0), 1)
    5.5
    """
    return NORMAL_95 * math.sqrt(2) * sem
