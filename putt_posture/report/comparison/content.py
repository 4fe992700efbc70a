"""What the comparison says, in order, as plain text: made once, set twice (HTML and PDF)."""

from datetime import date
from typing import Final

from attrs import frozen

from putt_posture.changes import JOINTS_SHARED, SCALE_SHARED
from putt_posture.figures import format_stature
from putt_posture.report.comparison.pictures import NAMES, ComparedView, Pictures
from putt_posture.report.comparison.rows import ChangeRow, change_rows
from putt_posture.report.days import format_day
from putt_posture.report.estimate_json import plain
from putt_posture.report.parts import NAMELESS, Fact
from putt_posture.report.stroke_content import StrokeSection, write_stroke_section
from putt_posture.report.wording import CAUTIONS, FACES, FACES_HIDDEN, SCALE_SOURCES
from putt_posture.values import VIEW_TITLES, ComparedLesson, Comparison

__all__ = ["ComparedSource", "ComparisonReport", "write_comparison"]

_NO_BREAK: Final = "\N{NO-BREAK SPACE}"

NEITHER_GOOD_NOR_BAD: Final = (
    "A change is neither good nor bad by itself; what it tends to do to the stroke is common practice among coaches. "
    "No norm for posture at a putting address was published."
)

HOW: Final[tuple[str, ...]] = (
    "A change is after minus before; the number behind ± is its 95 % margin. It counts where it is larger than "
    "1.96·√(u₁² + u₂²), with u₁ and u₂ the standard uncertainties before and after, the part of their errors left out "
    "that both lessons share: the minimal difference of reliability studies (Weir 2005).",
    "Taken to be shared, where the same landmark model looked at the same views: "
    f"{100 * JOINTS_SHARED['down_the_line']:.0f}{_NO_BREAK}% of what it misses at the joints down the line and "
    f"{100 * JOINTS_SHARED['face_on']:.0f}{_NO_BREAK}% face on; and {100 * SCALE_SHARED:.0f}{_NO_BREAK}% of the error "
    "of a scale down the line that is from one stature both times. These are less than was measured, so that noise is "
    "not taken for a change.",
    "Where a lesson has several setups, they count as repeats: how much they differ from each other, over both "
    "lessons, is in the margins.",
    "Of twenty measures that did not change at all, about one will still seem to: read a single change near its limit "
    "with care.",
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
        One sentence: how many changes there are.
    changed, unchanged, absent_rows : tuple of ChangeRow
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
    unchanged = tuple(row for row in rows if row and not row.real)
    student = comparison.after.record.student
    return ComparisonReport(
        student=plain(student.name or comparison.before.record.student.name or NAMELESS),
        facts=_facts(comparison, made_on),
        summary=_summary(len(changed), len(changed) + len(unchanged)),
        changed=changed,
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


def _summary(changed: int, told: int) -> str:
    if told == 0:
        return "No measure was taken in both lessons, so no change can be told."
    count = {0: "None", 1: "One"}.get(changed, str(changed))
    return f"{count} of the {told} measures taken in both lessons changed by more than the noise."


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
