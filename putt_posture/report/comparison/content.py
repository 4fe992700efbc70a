"""What the comparison says, in order, as plain text: made once, set twice (HTML and PDF)."""

from collections.abc import Sequence
from datetime import date
from typing import Final

from attrs import frozen

from putt_posture.changes import JUDGED_SCATTER
from putt_posture.figures import format_stature
from putt_posture.report.comparison.pictures import NAMES, ComparedView, Pictures
from putt_posture.report.comparison.rows import ChangeRow, change_rows
from putt_posture.report.days import format_day
from putt_posture.report.estimate_json import plain
from putt_posture.report.parts import NAMELESS, Fact
from putt_posture.report.stroke_content import StrokeSection, write_stroke_section
from putt_posture.report.wording import CAUTIONS, FACES, FACES_HIDDEN, SCALE_SOURCES, SHOWN_ON
from putt_posture.values import LEVEL, VIEW_TITLES, ComparedLesson, Comparison

__all__ = ["ComparedSource", "ComparisonReport", "say_counts", "write_comparison"]

_NO_BREAK: Final = "\N{NO-BREAK SPACE}"

NEITHER_GOOD_NOR_BAD: Final = (
    "A change is neither good nor bad by itself; what it tends to do to the stroke is common practice among coaches. "
    "No norm for posture at a putting address was published."
)

HOW: Final[tuple[str, ...]] = (
    "A change is after minus before; the number behind ± is its 95 % margin, looked at alone: k·√(u₁² + u₂²), with u₁ "
    "and u₂ the standard uncertainties before and after, what the landmarks miss alike on everybody left out, and k "
    "from Student's t, 1.96 or a little more where few setups tell the scatter. It is the minimal difference of "
    "reliability studies (Weir 2005).",
    "Of many measures that did not change, some pass their own margin by chance. So all are looked at together (Holm "
    "1979), and what is called a change stands out among them: where nothing changed, any is called one in at most 1 "
    "of 20 comparisons. A measure that passes its own margin and no more may be a change; of those that did not change "
    "about 1 in 20 does.",
    "Where the lessons have several setups, how much they differ from each other is in the margins, joined with a "
    "scatter from one setup to the next that is judged and not measured: each point of the body comes back to within "
    f"about 1{_NO_BREAK}cm, which is {JUDGED_SCATTER['spine_tilt']:g}° of spine tilt and "
    f"{JUDGED_SCATTER['shaft_lie']:g}° of the shaft's lie, one sigma. With one setup in each lesson the judged scatter "
    "is all there is; a student who scatters more seems to change more often than said here.",
    f"The number behind ± of one measure in one lesson is its 95 % margin. {SHOWN_ON} How often a sentence about a "
    "change is wrong was tried on simulated students.",
)


@frozen(kw_only=True)
class ComparedSource:
    """Where the numbers of one lesson come from."""

    title: str
    facts: tuple[Fact, ...]


@frozen(kw_only=True)
class ComparisonReport:
    """The text of a comparison, from top to bottom.

    Attributes
    ----------
    student : str
    facts : tuple of Fact
    summary : str
        How many changes there are, and how many chance alone would make.
    changed, maybe, unchanged, absent_rows : tuple of ChangeRow
        Each measure is in one of them.
    before, after : str
        The days as column headings; empty where they are not known.
    views : tuple of ComparedView
    missing : tuple of str
        Why there are no pictures.
    stroke : StrokeSection or None
    neither : str
    how, warnings, cautions : tuple of str
    sources : tuple of ComparedSource
    """

    student: str
    facts: tuple[Fact, ...]
    summary: str
    changed: tuple[ChangeRow, ...]
    maybe: tuple[ChangeRow, ...]
    unchanged: tuple[ChangeRow, ...]
    absent_rows: tuple[ChangeRow, ...]
    before: str
    after: str
    views: tuple[ComparedView, ...]
    missing: tuple[str, ...]
    stroke: StrokeSection | None
    neither: str
    how: tuple[str, ...]
    warnings: tuple[str, ...]
    cautions: tuple[str, ...]
    sources: tuple[ComparedSource, ...]


def write_comparison(comparison: Comparison, *, pictures: Pictures, made_on: date | None = None) -> ComparisonReport:
    """Return the text of a comparison.

    Parameters
    ----------
    comparison : Comparison
    pictures : Pictures
        For the captions.
    made_on : date, optional
        The day to print; none is printed where it is not given.
    """
    rows = change_rows(comparison.changes)
    changed = tuple(row for row in rows if row.real)
    maybe = tuple(row for row in rows if row.maybe)
    unchanged = tuple(row for row in rows if row and not row.real and not row.maybe)
    student = comparison.after.record.student
    return ComparisonReport(
        student=plain(student.name or comparison.before.record.student.name or NAMELESS),
        facts=_facts(comparison, made_on),
        summary=say_counts(rows),
        changed=changed,
        maybe=maybe,
        unchanged=unchanged,
        absent_rows=tuple(row for row in rows if not row),
        before=_day(comparison.before),
        after=_day(comparison.after),
        views=pictures.views,
        missing=pictures.missing,
        stroke=write_stroke_section(comparison.stroke, names=NAMES) if comparison.stroke is not None else None,
        neither=NEITHER_GOOD_NOR_BAD,
        how=HOW,
        warnings=tuple(map(plain, comparison.changes.warnings)),
        cautions=CAUTIONS,
        sources=tuple(
            _source(when, each) for when, each in (("Before", comparison.before), ("After", comparison.after))
        ),
    )


def say_counts(rows: Sequence[ChangeRow]) -> str:
    """Return one or two sentences: how many changes there are, and how many chance alone would make."""
    told, changed, maybe = (sum(map(what, rows)) for what in (bool, _is_real, _is_maybe))
    if told == 0:
        return "No measure was taken in both lessons, so no change can be told."
    count = {0: "None", 1: "One"}.get(changed, str(changed))
    says = f"{count} of the {told} measures taken in both lessons changed by more than the noise."
    if changed:
        says += " If nothing had changed, any would be named in at most 1 of 20 comparisons."
    if maybe:
        left = told - changed
        says += (
            f" {'One' if maybe == 1 else maybe}{' more' if changed else ''} may have changed; of {left} that did not "
            f"change, {_say_expected(LEVEL * left)} would look so by chance."
        )
    return says


def _is_real(row: ChangeRow) -> bool:
    return row.real


def _is_maybe(row: ChangeRow) -> bool:
    return row.maybe


def _say_expected(count: float) -> str:
    """Return how many are to be expected on average."""
    return f"about {round(count)}" if count >= 0.75 else "hardly one"


def _facts(comparison: Comparison, made_on: date | None) -> tuple[Fact, ...]:
    student = comparison.after.record.student
    facts = [
        Fact(name=name, says=_lesson(each))
        for name, each in (("Before", comparison.before), ("After", comparison.after))
    ]
    facts.append(Fact(name="Putts", says=f"{student.handed}-handed"))
    statures = dict.fromkeys(each.record.student.stature_cm for each in (comparison.before, comparison.after))
    told = [format_stature(each) for each in statures]
    facts.append(Fact(name="Stature", says=", then ".join(told)))
    if any(each.record.faces_hidden for each in (comparison.before, comparison.after)):
        facts.append(Fact(name=FACES, says=_say_faces(comparison)))
    if made_on is not None:
        facts.append(Fact(name="Compared", says=format_day(made_on)))
    return tuple(facts)


def _say_faces(comparison: Comparison) -> str:
    hidden = [comparison.before.record.faces_hidden, comparison.after.record.faces_hidden]
    return FACES_HIDDEN if all(hidden) else f"hidden in the pictures {'before' if hidden[0] else 'after'} only"


def _lesson(lesson: ComparedLesson) -> str:
    setups = max((view.setups for view in lesson.record.views.values()), default=0)
    parts = [_day(lesson) or "day not known", f"{setups} setup{'' if setups == 1 else 's'} measured"]
    return ", ".join(parts)


def _day(lesson: ComparedLesson) -> str:
    return format_day(lesson.record.made_on) if lesson.record.made_on else ""


def _source(when: str, lesson: ComparedLesson) -> ComparedSource:
    facts = [Fact(name="Lesson", says=plain(lesson.title))]
    for view, each in lesson.record.views.items():
        facts.append(Fact(name=VIEW_TITLES[view], says=plain(each.file)))
        facts.append(Fact(name="SHA-256", says=each.sha256))
        facts.append(Fact(name="Scale", says=f"from {SCALE_SOURCES[each.scale_source]}"))
        facts.append(Fact(name="Landmarks", says=plain(each.landmark_model)))
    if program := lesson.record.versions.get("putt_posture"):
        facts.append(Fact(name="Program", says=plain(program)))
    return ComparedSource(title=when, facts=tuple(facts))
