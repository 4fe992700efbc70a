"""What a report says first: the findings, and the plan to take home, as plain text from top to bottom."""

from attrs import frozen

from putt_posture.pages.setting import Fact

__all__ = ["CannotTell", "DrillRow", "PlanSection", "ReportFinding", "ReportFindings"]


@frozen(kw_only=True)
class ReportFinding:
    """One finding.

    Attributes
    ----------
    title : str
        What was seen, as a coach would say it.
    evidence : str
        The number with its margin, against the coach's band.
    odds : str
        How sure it is, in words; empty where nothing is to be said.
    effect, source : str
        What it tends to do to the ball, and where that is from.
    change : str
        The one thing to change.
    """

    title: str
    evidence: str
    odds: str = ""
    effect: str = ""
    source: str = ""
    change: str = ""


@frozen(kw_only=True)
class CannotTell:
    """What lies within the noise, why, and what would tell."""

    title: str
    says: str
    would_tell: str = ""


@frozen(kw_only=True)
class ReportFindings:
    """The first screen of a report.

    Attributes
    ----------
    lead : str
        The one sentence that a coach would say; also where nothing wrong was found.
    items : tuple of ReportFinding
        At most three, the cause before its effects.
    rest : tuple of ReportFinding
        Folded away.
    cannot_tell : tuple of CannotTell
    disagreements : tuple of str
        Where what was measured and what the student said do not agree.
    note : str
        Where the bands come from.
    """

    lead: str
    items: tuple[ReportFinding, ...] = ()
    rest: tuple[ReportFinding, ...] = ()
    cannot_tell: tuple[CannotTell, ...] = ()
    disagreements: tuple[str, ...] = ()
    note: str = ""


@frozen(kw_only=True)
class DrillRow:
    """One drill: what it is for, how to set it up, and how to tell that it is right."""

    title: str
    purpose: str
    set_up: str
    right_when: str


@frozen(kw_only=True)
class PlanSection:
    """The plan to take home.

    Attributes
    ----------
    works_on : str
        The finding that is worked on.
    feel : str
        The feel, in the student's words.
    drills : tuple of DrillRow
    facts : tuple of Fact
        The practice test, and when to film again.
    cautions : tuple of str
    """

    works_on: str
    feel: str = ""
    drills: tuple[DrillRow, ...] = ()
    facts: tuple[Fact, ...] = ()
    cautions: tuple[str, ...] = ()
