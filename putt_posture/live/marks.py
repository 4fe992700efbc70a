"""Marks and numbers that do not flicker.

A mark changes only after the new one has held for a while. A number on the screen changes only when the measured one
has moved by more than most of its last digit. Both are then late by a time that is known.
"""

import math
from typing import Final, Literal

from attrs import define, field

from putt_posture.values import InBand

__all__ = ["MARK_S", "Mark", "SteadyMark", "SteadyNumber", "mark_of"]

Mark = Literal["within", "not_yet", "cannot_tell"]
MARK_S: Final = 0.6
"""A mark changes after another has held for so long, s: a coach cannot read a quicker change from 3 m (judged)."""
STICKY_STEPS: Final = 0.75
"""A number changes when it is off by more than so many steps of its last digit: a value between two digits, which
half a step would let jump, stays with one of them."""


def mark_of(lies: InBand) -> Mark:
    """Return the mark of a number or a step.

    Parameters
    ----------
    lies : InBand
        As the findings judge it.
    """
    return "within" if lies == "within" else "not_yet" if lies == "outside" else "cannot_tell"


@define
class SteadyMark:
    """A mark that changes only after the new one has held for `MARK_S`.

    Attributes
    ----------
    shown : Mark
    """

    shown: Mark = field(default="cannot_tell", init=False)
    _next: Mark = field(default="cannot_tell", init=False)
    _since_s: float = field(default=-math.inf, init=False)

    def push(self, mark: Mark, *, time_s: float) -> Mark:
        """Take the mark of the next reading and return the one to show.

        Parameters
        ----------
        mark : Mark
        time_s : float
        """
        if mark != self._next:
            self._next, self._since_s = mark, time_s
        if self._next != self.shown and time_s - self._since_s >= MARK_S:
            self.shown = self._next
        return self.shown


@define
class SteadyNumber:
    """A number that is shown with so many decimals and does not jump between two neighbours.

    Attributes
    ----------
    step : float
        Size of the last digit, in the unit of the number.
    shown : float
        NaN before the first.
    """

    step: float
    shown: float = field(default=math.nan, init=False)

    def push(self, value: float) -> float:
        """Take the next value and return the one to show.

        Parameters
        ----------
        value : float
        """
        if not abs(value - self.shown) <= STICKY_STEPS * self.step:
            self.shown = round(value / self.step) * self.step
        return self.shown
