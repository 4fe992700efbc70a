"""A student's lessons and practice tests over time, and what they show."""

from datetime import date
from typing import Final, Literal, get_args

from attrs import field, frozen

from putt_posture.values.change import MeasureChange, Measured
from putt_posture.values.checks import integer, number
from putt_posture.values.estimate import Estimate
from putt_posture.values.posture import MeasureName
from putt_posture.values.setup_arc import StartLineSpread
from putt_posture.values.showing import Shown, brief

__all__ = [
    "MOMENTS",
    "VERDICTS",
    "Course",
    "CourseStep",
    "History",
    "HoledShare",
    "Moment",
    "PracticeResult",
    "PracticeTest",
    "PuttCount",
    "PutterChange",
    "SpreadChange",
    "Verdict",
    "Visit",
    "Yardstick",
]

Moment = Literal["before", "after", "check"]
"""What a lesson shows: the setup as it was, the rebuilt setup, or a later check whether it held."""
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
    """

    name: str
    visits: tuple[Visit, ...] = ()
    practice: tuple[PracticeTest, ...] = ()


Verdict = Literal["back", "held", "unsure", "further", "moved", "steady", "open", "unrebuilt", "untold", "club"]
"""The verdict on a measure since the latest visit that shows the rebuilt setup.

``back``: the rebuild changed it, and it has gone back by more than the noise; ``held``: the rebuild changed it, and the
95 % interval excludes that half of that or more is gone; ``unsure``: the rebuild changed it, and neither is certain;
``further``: it went on the same way; ``moved``: the rebuild had not changed it, and it has changed since; ``steady``:
neither; ``open``: not measured since the rebuild; ``unrebuilt``: no visit shows it rebuilt; ``untold``: fewer than two
numbers; ``club``: the putter's length, which is not part of the posture.
"""
VERDICTS: Final[tuple[Verdict, ...]] = get_args(Verdict)


@brief
@frozen(kw_only=True)
class CourseStep:
    """From one visit that has the measure to the next that has it; `start` and `end` are places in the history."""

    start: int
    end: int
    change: MeasureChange


@brief
@frozen(kw_only=True)
class Course:
    """One measure over the visits; places count from 0 in the order of the history.

    Attributes
    ----------
    name : MeasureName
    first, latest : int or None
        The first and the latest visit that have a number; None where none has.
    rebuilt : int or None
        The latest visit of the moment ``after`` that has a number.
    since_first : MeasureChange or None
        From the first to the latest; None where they are not two. Its joint chance is among those of all measures.
    by_rebuild : MeasureChange or None
        From the first to the rebuilt. Its joint chance is among those of all measures.
    since_rebuilt : MeasureChange or None
        From the rebuilt to the latest; None where there is no later visit. Its joint chance is among those of the
        measures that the rebuild changed, or among those of the others.
    past_midway : Estimate or None
        How far the latest visit is beyond the middle between the first and the rebuilt one, + = on the rebuilt side;
        None where one of the three is missing.
    steps : tuple of CourseStep
        Their joint chances are adjusted so that of all steps that are called changes one in 20 is noise.
    verdict : Verdict
    """

    name: MeasureName
    first: int | None
    latest: int | None
    rebuilt: int | None
    since_first: MeasureChange | None
    by_rebuild: MeasureChange | None
    since_rebuilt: MeasureChange | None
    past_midway: Estimate | None
    steps: tuple[CourseStep, ...]
    verdict: Verdict


@brief
@frozen(kw_only=True)
class PutterChange:
    """From a visit on, another putter in use, or a suggested length that differs by more than the noise.

    Attributes
    ----------
    visit : int
        Its place in the history.
    kind : {"in_use", "suggested"}
    before_cm, after_cm : float
    """

    visit: int
    kind: Literal["in_use", "suggested"]
    before_cm: float
    after_cm: float


@brief
@frozen(kw_only=True)
class HoledShare:
    """Putts of one length.

    Attributes
    ----------
    distance_cm : float
        Ball to the middle of the hole.
    tried, holed : int
    share : float
        Holed of tried, 0 to 1.
    low, high : float
        95 % interval of the chance of holing, 0 to 1.
    """

    distance_cm: float
    tried: int
    holed: int
    share: float
    low: float
    high: float


@brief
@frozen(kw_only=True)
class PracticeResult:
    """The evaluation of one practice test, or of several pooled.

    Attributes
    ----------
    tests : int
        How many.
    first, last : date
        The same day for one test.
    shares : tuple of HoledShare
        One for each length, the shortest first.
    spread : StartLineSpread or None
    why_not : str
        One sentence: why there is no spread; empty where there is one.
    misfit : str
        One sentence where the shares do not fall with distance as in the model; empty where they do.
    """

    tests: int
    first: date
    last: date
    shares: tuple[HoledShare, ...]
    spread: StartLineSpread | None
    why_not: str = ""
    misfit: str = ""

    @property
    def tried(self) -> int:
        """Putts of all lengths."""
        return sum(each.tried for each in self.shares)

    @property
    def holed(self) -> int:
        """Of these."""
        return sum(each.holed for each in self.shares)


@brief
@frozen(kw_only=True)
class SpreadChange:
    """How the scatter of start lines changed between two tests; falsy where that is not known.

    Attributes
    ----------
    change_deg : float
        Later minus earlier, deg, + is more scatter; NaN where absent.
    low_deg, high_deg : float
        95 % interval, deg; NaN where absent.
    why_not : str
        One sentence; empty where there is a number.
    """

    change_deg: float
    low_deg: float
    high_deg: float
    why_not: str = ""

    def __bool__(self) -> bool:
        return not self.why_not

    @property
    def real(self) -> bool:
        """Whether it is certain: whether the interval excludes 0."""
        return bool(self) and not self.low_deg <= 0 <= self.high_deg


@brief
@frozen(kw_only=True)
class Yardstick:
    """Published putts of other people, to compare a student's with.

    Attributes
    ----------
    name : str
        A stable name for programs.
    title : str
        At most about 25 letters.
    who : str
        One sentence: whose putts they are.
    source : str
        Where they were published.
    counts : tuple of PuttCount
        The shortest putts first.
    modelled : bool
        Whether the model of start lines alone was fitted to them in print; for longer putts it fits badly, since speed
        matters there.
    """

    name: str
    title: str
    who: str
    source: str
    counts: tuple[PuttCount, ...]
    modelled: bool
