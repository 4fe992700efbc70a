"""The rebuilt setup step by step: what to do, the numbers that show it, and whether they are where they should be."""

from collections.abc import Iterable, Mapping, Sequence

from putt_posture.findings.coach_file import CoachFile, Step, load_coach_file
from putt_posture.findings.judging import Judged, judge_all
from putt_posture.findings.quantities import estimate_of, title_of, wanted_of
from putt_posture.findings.said import limits_of
from putt_posture.values import Fit, InBand, Interview, Posture, RebuildStep, StepNumber, Student, WantedSetup

__all__ = ["find_steps"]


def find_steps(
    posture: Posture,
    fit: Fit,
    student: Student,
    *,
    coach: CoachFile | None = None,
    interview: Interview | None = None,
) -> tuple[RebuildStep, ...]:
    """Return the steps of the rebuild with the numbers as filmed and as wanted.

    Parameters
    ----------
    posture : Posture
    fit : Fit
    student : Student
    coach : CoachFile, optional
        The shipped values where it is not given.
    interview : Interview, optional
        What the student said of pain and limits.

    Returns
    -------
    tuple of RebuildStep
        In the order of the file.
    """
    coach = coach or load_coach_file()
    limits = limits_of(interview)
    judged = judge_all(posture, fit, student, coach)
    wanted = coach.wanted or WantedSetup()

    def number_of(quantity: str) -> StepNumber:
        held: Judged | None = judged.get(quantity)
        near = wanted_of(quantity, wanted, fit)
        filmed = estimate_of(quantity, posture, student)
        return StepNumber(
            quantity=quantity,
            title=title_of(quantity),
            filmed=filmed,
            wanted=near.value if near else None,
            low=None if held is None else held.low,
            high=None if held is None else held.high,
            lies=("unsure" if filmed else "absent") if held is None else held.lies,
        )

    return tuple(_step(step, {name: number_of(name) for name in step.shows}, limits) for step in coach.steps)


def _step(step: Step, numbers: Mapping[str, StepNumber], limits: Sequence[str]) -> RebuildStep:
    banded = [each for each in numbers.values() if each.low is not None or each.high is not None]
    return RebuildStep(
        name=step.name,
        title=step.title,
        do=step.do,
        numbers=tuple(numbers.values()),
        limits=tuple(part for part in step.loads if part in limits),
        lies=_of_all(each.lies for each in banded),
    )


def _of_all(lies: Iterable[InBand]) -> InBand:
    """Return how a step lies: outside if one number is, within if all that were measured are."""
    known = [each for each in lies if each != "absent"]
    if not known:
        return "absent"
    if "outside" in known:
        return "outside"
    return "unsure" if "unsure" in known else "within"
