"""The putter in use as a measure of the setup: its length is known to a tape's breadth, the hands' place on it is not.

The filmed length is hand height / sin(lie) + butt to hand centre. The putter in use is that length as well, apart from
how far the student grips down; so the two are weighed by their precision, which corrects the errors of hand height,
lie and hold together. A new length then is the length now plus the change of length by the change of posture.
"""

import math
from typing import Final

from attrs import evolve, frozen

from putt_posture.body import PUTTER_TAPE_SD_CM, SHORTEST_PUTTER_CM
from putt_posture.values import Estimate, Student

__all__ = ["Anchor", "find_anchor", "find_putter_in_use"]

GRIP_DOWN_SD_CM: Final = 1.3
"""How much students grip down, or up, from the usual hold: one sigma of about half an inch (common practice)."""

_NO_PUTTER: Final = Estimate(value=0.0, standard_uncertainty=0.0, unit="cm", method="not said")


@frozen(kw_only=True)
class Anchor:
    """How the putter in use is weighed against the setup as filmed.

    Attributes
    ----------
    putter : Estimate
        Length that the usual hold would have for the putter in use: its length, with the tape's and the grip-down
        sigma, cm.
    weight : float
        Weight of the putter, 0 (its length was not said) to 1; the filmed length has the rest.
    """

    putter: Estimate
    weight: float


def find_putter_in_use(student: Student) -> Estimate | None:
    """Give the length of the putter in use, cm; None where it was not said."""
    if student.putter_length_cm is None:
        return None
    return Estimate(
        value=student.putter_length_cm,
        standard_uncertainty=PUTTER_TAPE_SD_CM,
        unit="cm",
        method="measured with a tape",
        floor=SHORTEST_PUTTER_CM,
    )


def find_anchor(student: Student, filmed: Estimate) -> Anchor:
    """Weigh the putter in use against the filmed length by precision.

    Parameters
    ----------
    student : Student
    filmed : Estimate
        Length that the filmed setup holds, cm.

    Examples
    --------
    >>> filmed = Estimate(value=86.0, standard_uncertainty=3.0, unit="cm")
    >>> round(find_anchor(Student(stature_cm=175, handed="right", putter_length_cm=88.9), filmed).weight, 2)
    0.83
    >>> find_anchor(Student(stature_cm=175, handed="right"), filmed).weight
    0.0
    """
    putter = find_putter_in_use(student)
    if putter is None:
        return Anchor(putter=_NO_PUTTER, weight=0.0)
    held = evolve(putter, standard_uncertainty=math.hypot(putter.standard_uncertainty, GRIP_DOWN_SD_CM))
    variance = filmed.standard_uncertainty**2
    return Anchor(putter=held, weight=variance / (variance + held.standard_uncertainty**2))
