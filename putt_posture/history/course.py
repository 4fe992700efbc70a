"""One measure over a student's visits, and changes of the putter."""

from typing import Final, Literal, get_args

from attrs import frozen

from putt_posture.values import Estimate, MeasureChange, MeasureName
from putt_posture.values.showing import brief

__all__ = ["VERDICTS", "Course", "CourseStep", "PutterChange", "Verdict"]

Verdict = Literal[
    "back", "held", "unsure", "further", "moved", "steady", "open", "unrebuilt", "untold", "club", "stroke"
]
"""The verdict on a measure since the latest visit that shows the rebuilt setup.

``back``: the rebuild changed it, and it has gone back by more than the noise; ``held``: the rebuild changed it, and by
the 95 % interval less than half of that change is gone; ``unsure``: the rebuild changed it, and neither is certain;
``further``: it went on in the same direction; ``moved``: the rebuild did not change it, but it has changed since;
``steady``: the rebuild did not change it, and nothing has since; ``open``: not measured since the rebuild;
``unrebuilt``: no visit shows it rebuilt; ``untold``: fewer than two numbers; ``club``: the putter's length, which is
not part of the posture; ``stroke``: a number of the stroke, which no rebuild sets.
"""

VERDICTS: Final[tuple[Verdict, ...]] = get_args(Verdict)


@brief
@frozen(kw_only=True)
class CourseStep:
    """From one visit with the measure to the next with it; `start` and `end` are places in the history."""

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
        The first and the latest visit with a number; None where no visit has one.
    rebuilt : int or None
        The latest visit of the moment ``after`` with a number.
    since_first : MeasureChange or None
        From the first to the latest; None where there is only one. Its joint chance is that among all measures.
    by_rebuild : MeasureChange or None
        From the first to the rebuilt. Its joint chance is that among all measures.
    since_rebuilt : MeasureChange or None
        From the rebuilt to the latest; None where there is no later visit. Its joint chance is that among the measures
        that the rebuild changed, or among the others.
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
