"""What to do first: findings with their evidence, the rebuilt setup step by step, and the plan to take home."""

from typing import Literal

from attrs import frozen

from putt_posture.values.estimate import Estimate
from putt_posture.values.showing import brief

__all__ = ["Certainty", "Drill", "Finding", "Findings", "InBand", "Plan", "RebuildStep", "StepNumber", "TakenUp"]

Certainty = Literal["found", "likely", "unsure"]
"""Of a finding: outside the band with 95 % or more; likely, and what it leads to was found; not certain."""
InBand = Literal["within", "outside", "unsure", "absent"]
"""How a number lies to the coach's band."""


@brief
@frozen(kw_only=True)
class Finding:
    """One thing about a setup that the coach would change, with its evidence.

    Attributes
    ----------
    name : str
        Of the fault in the coach's file.
    short : str
        A few words, for a list.
    title : str
        One sentence without a stop, with the number.
    then : str
        The same as a part of a sentence: ``the back rounds``.
    certainty : Certainty
    quantity : str
        Name of the measure, or ``putter_in_use``.
    estimate : Estimate
        The number as filmed, or as typed.
    wanted : Estimate or None
        What it should be near; None where the band has ends of its own.
    low, high : float or None
        Ends of the coach's band, in the unit of the estimate; None where it is open.
    band_source : str
        Where the band comes from.
    probability : float
        That the true value lies outside the band on this side, 0 to 1, as the uncertainties say.
    causes : tuple of str
        Names of the findings before it that lead to it.
    effects : tuple of str
        Names of the findings after it that it leads to.
    because : str
        Why it leads to them; empty where it leads to nothing.
    ball : str
        What it tends to do to the ball.
    source : str
        Where that and the change come from.
    change : str
        One thing to change. What a limit of the student forbids is not in it.
    limits : tuple of str
        Parts of the body whose limits changed what is asked for.
    feel : str
        The feel in the student's words.
    would_tell : str
        What would make it certain; empty for what was found.
    """

    name: str
    short: str
    title: str
    then: str
    certainty: Certainty
    quantity: str
    estimate: Estimate
    wanted: Estimate | None
    low: float | None
    high: float | None
    band_source: str
    probability: float
    causes: tuple[str, ...] = ()
    effects: tuple[str, ...] = ()
    because: str = ""
    ball: str
    source: str
    change: str
    limits: tuple[str, ...] = ()
    feel: str
    would_tell: str = ""


@brief
@frozen(kw_only=True)
class Findings:
    """What was found, in the coach's order, a cause before its effects.

    Attributes
    ----------
    lead : str
        One to three sentences: what comes first, and what follows from it; or that nothing was found.
    found : tuple of Finding
        All that was found or is likely; the first three are said, the rest is folded.
    unsure : tuple of Finding
        What these clips cannot tell, the likelier first.
    within : tuple of str
        What was looked at and lies within its band, as titles of the measures.
    not_judged : tuple of (str, str)
        What could not be looked at: title of the measure, and one sentence why.
    change_on_repeat : float
        The chance, 0 to 1, that a repeat of the measurement, with the same errors drawn anew, would put something else
        first.
    said : tuple of str
        Where the findings agree or disagree with what the student said.
    stroke : tuple of str
        What the stroke shows of the findings; empty where none was measured.
    about : str
        Where bands, order and words come from.
    """

    lead: str
    found: tuple[Finding, ...] = ()
    unsure: tuple[Finding, ...] = ()
    within: tuple[str, ...] = ()
    not_judged: tuple[tuple[str, str], ...] = ()
    change_on_repeat: float = 0.0
    said: tuple[str, ...] = ()
    stroke: tuple[str, ...] = ()
    about: str = ""

    @property
    def first(self) -> Finding | None:
        """What to change first; None where nothing was found."""
        return self.found[0] if self.found else None


@brief
@frozen(kw_only=True)
class StepNumber:
    """A number that shows a step of the rebuild.

    Attributes
    ----------
    quantity : str
        Name of the measure, or ``putter_in_use``.
    title : str
    filmed : Estimate
    wanted : float or None
        What it should be near, in the unit of `filmed`.
    low, high : float or None
        Ends of the coach's band.
    lies : InBand
    """

    quantity: str
    title: str
    filmed: Estimate
    wanted: float | None
    low: float | None
    high: float | None
    lies: InBand


@brief
@frozen(kw_only=True)
class RebuildStep:
    """One step on the way to the rebuilt setup.

    Attributes
    ----------
    name : str
        As in the coach's file.
    title : str
    do : str
        What to do, one or two sentences.
    numbers : tuple of StepNumber
        Empty where only the eye shows it.
    limits : tuple of str
        Parts of the body that the step asks more of and that the student has a limit of.
    lies : InBand
        Of all its numbers: outside if one is, within if all are.
    """

    name: str
    title: str
    do: str
    numbers: tuple[StepNumber, ...]
    limits: tuple[str, ...]
    lies: InBand


@brief
@frozen(kw_only=True)
class Drill:
    """Something to practise.

    Attributes
    ----------
    name, title : str
    purpose : str
        What it is for.
    setup : str
        How to set it up.
    right : str
        How to tell that it is right.
    source : str
    """

    name: str
    title: str
    purpose: str
    setup: str
    right: str
    source: str


@brief
@frozen(kw_only=True)
class Plan:
    """What the student takes home; nothing in it is a promise.

    Attributes
    ----------
    works_on : str or None
        Name of the finding that is worked on; None where nothing was found.
    title : str
        What is worked on, in words.
    change : str
    feel : str
        In the student's words.
    quantity : str
        The number to look at next time; empty where nothing was found.
    now, goal : str
        That number now, and the band to reach; empty where nothing was found.
    drills : tuple of Drill
    test : str
        The practice test to do today and again.
    film_again : str
    cautions : tuple of str
    """

    works_on: str | None
    title: str
    change: str
    feel: str
    quantity: str
    now: str
    goal: str
    drills: tuple[Drill, ...]
    test: str
    film_again: str
    cautions: tuple[str, ...]


@brief
@frozen(kw_only=True)
class TakenUp:
    """What became of the plan of an earlier lesson.

    Attributes
    ----------
    works_on : str
        Name of the finding that was worked on.
    moved : bool or None
        Whether its number changed by more than the noise; None where that is not certain.
    lies : InBand
        Where it is now.
    says : str
        Sentences for the page.
    """

    works_on: str
    moved: bool | None
    lies: InBand
    says: str
