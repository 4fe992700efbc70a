"""What a report says first: findings, the rebuilt setup step by step and the plan, as plain text from top to bottom."""

from collections.abc import Mapping, Sequence
from typing import Final

from attrs import frozen

from putt_posture.drawing.step import StepDrawing, choose_drawn
from putt_posture.findings import (
    MOST_SAID,
    PUTTER_IN_USE,
    say_band_of,
    say_evidence,
    say_odds,
    say_quantity,
    say_repeat,
    title_of,
)
from putt_posture.measures import MEASURES
from putt_posture.pages.setting import Fact, Plate
from putt_posture.shown import begin_upper, join_words
from putt_posture.values import (
    VIEWS,
    Drill,
    Finding,
    Findings,
    MeasureName,
    Plan,
    RebuildStep,
    StepNumber,
    View,
)
from putt_posture.wording import CAUTIONS

__all__ = [
    "Card",
    "FindingRow",
    "FindingsSection",
    "PlanSection",
    "StepRow",
    "find_view",
    "write_findings",
    "write_plan",
    "write_steps",
]

_PLACES: Final = 20
"""Places on the bar of a number; the band reaches from the sixth to the fourteenth."""
_BAND: Final = (6, 14)


@frozen(kw_only=True)
class FindingRow:
    """One finding.

    Attributes
    ----------
    title : str
        What was found, with its number.
    evidence : str
        The number with its margin, against the coach's band.
    odds : str
        How likely it lies outside, in words.
    effect, source : str
        What it leads to and what it tends to do to the ball, and where that is from.
    change : str
        The one thing to change.
    limits : str
        What the change was adapted to; empty where to nothing.
    """

    title: str
    evidence: str
    odds: str
    effect: str
    source: str
    change: str
    limits: str


@frozen(kw_only=True)
class OpenRow:
    """What lies within the noise, and what would tell."""

    title: str
    says: str
    would_tell: str


@frozen(kw_only=True)
class FindingsSection:
    """The first screen of a report.

    Attributes
    ----------
    lead : str
        What comes first, and what follows from it; or that nothing was found.
    items : tuple of FindingRow
        At most three, a cause before its effects.
    rest : tuple of FindingRow
        Folded away.
    cannot_tell : tuple of OpenRow
    said : tuple of str
        Where the findings agree or disagree with what the student said.
    within : str
        What was looked at and lies within its band; empty where nothing does.
    note : str
        Where the bands come from, and how often a repeat would put something else first.
    """

    lead: str
    items: tuple[FindingRow, ...]
    rest: tuple[FindingRow, ...]
    cannot_tell: tuple[OpenRow, ...]
    said: tuple[str, ...]
    within: str
    note: str


@frozen(kw_only=True)
class NumberRow:
    """One number of a step; `place` is where it lies on a bar of 20, None where no bar can be drawn."""

    title: str
    says: str
    place: int | None


@frozen(kw_only=True)
class StepRow:
    """One step of the rebuild."""

    title: str
    do: str
    limits: str
    numbers: tuple[NumberRow, ...]
    plate: Plate | None = None


@frozen(kw_only=True)
class Card:
    """One number of a kind: its title, the number, and small print."""

    title: str
    figure: str
    says: str = ""


@frozen(kw_only=True)
class PlanSection:
    """The plan to take home.

    Attributes
    ----------
    title, change, feel : str
    numbers : tuple of Card
        The number to look at, now and to reach; empty where nothing was found.
    drills : tuple of Drill
    facts : tuple of Fact
        The practice test, and when to film again.
    cautions : tuple of str
        Those that are not on every page.
    """

    title: str
    change: str
    feel: str
    numbers: tuple[Card, ...]
    drills: tuple[Drill, ...]
    facts: tuple[Fact, ...]
    cautions: tuple[str, ...]


def write_findings(findings: Findings) -> FindingsSection:
    """Return the text of the first screen.

    Parameters
    ----------
    findings : Findings
    """
    return FindingsSection(
        lead=findings.lead,
        items=tuple(map(_row, findings.found[:MOST_SAID])),
        rest=tuple(map(_row, findings.found[MOST_SAID:])),
        cannot_tell=tuple(
            OpenRow(
                title=begin_upper(each.short),
                says=f"{say_evidence(each)} {say_odds(each)}",
                would_tell=each.would_tell,
            )
            for each in findings.unsure
        ),
        said=findings.said,
        within=f"Within the bands: {join_words([each.lower() for each in findings.within])}."
        if findings.within
        else "",
        note=f"The bands are {findings.about}. {say_repeat(findings)}".strip(),
    )


def write_plan(plan: Plan) -> PlanSection:
    """Return the text of the plan.

    Parameters
    ----------
    plan : Plan
    """
    numbers: tuple[Card, ...] = ()
    if plan.quantity:
        title = title_of(plan.quantity)
        numbers = (Card(title=f"{title}, now", figure=plan.now), Card(title=f"{title}, to reach", figure=plan.goal))
    return PlanSection(
        title=plan.title,
        change=plan.change,
        feel=plan.feel,
        numbers=numbers,
        drills=plan.drills,
        facts=(Fact(name="Practice test", says=plan.test), Fact(name="Film again", says=plan.film_again)),
        cautions=tuple(each for each in plan.cautions if each not in CAUTIONS),
    )


def write_steps(
    steps: Sequence[RebuildStep], *, drawings: Mapping[MeasureName, StepDrawing] | None = None
) -> tuple[StepRow, ...]:
    """Return the text of the steps.

    Parameters
    ----------
    steps : sequence of RebuildStep
    drawings : mapping of MeasureName to StepDrawing, optional
        By the measure that is drawn.
    """
    return tuple(
        StepRow(
            title=step.title,
            do=step.do,
            limits=f"Mind the limit of the {join_words(step.limits)}." if step.limits else "",
            numbers=tuple(map(_number, step.numbers)),
            plate=_plate_of(step, drawings or {}),
        )
        for step in steps
    )


def _plate_of(step: RebuildStep, drawings: Mapping[MeasureName, StepDrawing]) -> Plate | None:
    number = choose_drawn(step)
    drawing = None if number is None else drawings.get(MeasureName(number.quantity))
    if number is None or drawing is None:
        return None
    high, wide = drawing.picture.shape[:2]
    return Plate(file=f"step_{number.quantity}", aspect=wide / high, title=number.title, caption="", says=drawing.says)


def find_view(findings: Findings) -> View:
    """Return the view whose still goes beside the findings: the one that shows the first of them best.

    Parameters
    ----------
    findings : Findings
    """
    first = findings.first
    if first is None or first.quantity == PUTTER_IN_USE:
        return VIEWS[0]
    return first.estimate.view or MEASURES[MeasureName(first.quantity)].views[0]


def _row(finding: Finding) -> FindingRow:
    limits = f"This is adapted to the limit of the {join_words(finding.limits)}." if finding.limits else ""
    return FindingRow(
        title=finding.title,
        evidence=say_evidence(finding),
        odds=say_odds(finding),
        effect=" ".join(filter(None, (finding.because, finding.ball))),
        source=finding.source,
        change=finding.change,
        limits=limits,
    )


def _number(number: StepNumber) -> NumberRow:
    if not number.filmed:
        return NumberRow(title=number.title, says=number.filmed.absent or "", place=None)
    says = say_quantity(number.quantity, number.filmed)
    if number.low is None and number.high is None:
        return NumberRow(title=number.title, says=says, place=None)
    return NumberRow(title=number.title, says=f"{says}, wanted {say_band_of(number)}", place=_place(number))


def _place(number: StepNumber) -> int:
    """Return where a number lies on the bar, 0 to 20; the scale is that of the band, or of an end and the number."""
    low, high, value = number.low, number.high, number.filmed.value
    if low is None or high is None:
        end = high if low is None else low
        middle = number.wanted if number.wanted is not None else 0.0
        half = max(abs((end or 0.0) - middle), 1e-6)
        low, high = middle - half, middle + half
    share = (value - low) / max(high - low, 1e-6)
    return round(min(max(_BAND[0] + share * (_BAND[1] - _BAND[0]), 0), _PLACES))
