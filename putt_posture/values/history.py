"""A student's lessons and practice tests over time, and what they show."""

from datetime import date
from typing import Final, Literal, get_args

from attrs import field, frozen

from putt_posture.values.change import Measured
from putt_posture.values.checks import integer, number
from putt_posture.values.estimate import Estimate
from putt_posture.values.findings import TakenUp
from putt_posture.values.showing import Shown, brief

__all__ = [
    "MOMENTS",
    "History",
    "Moment",
    "PracticeTest",
    "PuttCount",
    "Visit",
]

Moment = Literal["before", "after", "check"]
"""The setup that a lesson shows: as it was, rebuilt, or at a later check whether it held."""
MOMENTS: Final[tuple[Moment, ...]] = get_args(Moment)


@brief
@frozen(kw_only=True)
class Visit:
    """One lesson on the time axis.

    Attributes
    ----------
    lesson : int
        Its number in the archive.
    day : date
    moment : Moment
    measured : Measured
    putter_in_use_cm : float or None
        Length of the putter in use, cm, where it was given.
    suggested : Estimate
        The length that was suggested, cm.
    coach, place : str
        Empty where not given.
    """

    lesson: int
    day: date
    moment: Moment
    measured: Measured
    putter_in_use_cm: float | None
    suggested: Estimate
    coach: str = ""
    place: str = ""


@brief
@frozen(kw_only=True)
class PuttCount:
    """Putts of one length: `tried` of them, `holed` of these; `distance_cm` from ball to the middle of the hole."""

    distance_cm: float = field(validator=number(above=0))
    tried: int = field(validator=integer(low=0))
    holed: int = field(validator=integer(low=0))


@brief
@frozen(kw_only=True)
class PracticeTest:
    """Putts tried and holed on one day, by distance; `number` is that in the archive, where it is from one."""

    day: date
    counts: tuple[PuttCount, ...]
    note: str = ""
    number: int | None = None


@brief
@frozen(kw_only=True)
class History(Shown):
    """What an archive knows of one student over time.

    Attributes
    ----------
    name : str
    visits : tuple of Visit
        In the order of time; lessons of one day in the order in which they were filed.
    practice : tuple of PracticeTest
        In the order of time.
    taken_up : TakenUp or None
        What became of the plan of the lesson before the last; None where it had none, and where it was not asked for.
    tests_say : tuple of str
        Where practice tests agree or disagree with the findings of the last lesson; empty where it was not asked for.
    """

    name: str
    visits: tuple[Visit, ...] = ()
    practice: tuple[PracticeTest, ...] = ()
    taken_up: TakenUp | None = None
    tests_say: tuple[str, ...] = ()
