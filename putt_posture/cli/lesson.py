"""A lesson at the terminal, in 60 columns: what to do first, the numbers, and what to practise."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.padding import Padding
from rich.table import Table

from putt_posture.cli.strokes import show_strokes
from putt_posture.cli.table import show_bullet, show_numbers
from putt_posture.figures import format_stature
from putt_posture.findings import MOST_SAID, say_evidence, say_odds, say_repeat
from putt_posture.pages.interview import say_understood
from putt_posture.shown import begin_upper
from putt_posture.wording import say_what_was_filmed

if TYPE_CHECKING:
    from rich.console import Console

    from putt_posture.values import Finding, Findings, Handed, Interview, Lesson, Plan

__all__ = ["show_lesson", "show_understood"]


def show_lesson(lesson: Lesson, *, console: Console) -> None:
    """Print who was measured, what to do first, the numbers, and what to practise."""
    student = lesson.student
    console.print(
        f"\n{student.name or 'The student'}: {format_stature(student.stature_cm)}, putts {student.handed}-handed"
    )
    if filmed := say_what_was_filmed(lesson):
        console.print(begin_upper(filmed))
    show_understood(lesson.interview, handed=student.handed, console=console)
    if lesson.findings is not None:
        _show_findings(lesson.findings, console=console)
    show_numbers(lesson, console=console)
    show_strokes(lesson.strokes, beside=lesson.findings.stroke if lesson.findings is not None else (), console=console)
    if lesson.plan is not None:
        _show_plan(lesson.plan, console=console)


def show_understood(interview: Interview, *, handed: Handed, console: Console) -> None:
    """Say back what was understood of what the student said, so that the coach sees a slip."""
    for sentence in say_understood(interview, handed=handed):
        console.print(sentence)


def _show_findings(findings: Findings, *, console: Console) -> None:
    """Print what comes first with its evidence, the rest in a line, and what the clips cannot tell."""
    console.print("\nWhat to do first")
    console.print(Padding(findings.lead, (0, 0, 0, 1)))
    for number, finding in enumerate(findings.found[:MOST_SAID], 1):
        _show_finding(number, finding, console=console)
    if rest := findings.found[MOST_SAID:]:
        console.print(Padding(f"After that: {'; '.join(each.short for each in rest)}.", (1, 0, 0, 1)))
    if findings.unsure:
        console.print("\nThese clips cannot tell")
        for each in findings.unsure[:MOST_SAID]:
            show_bullet(
                f"{begin_upper(each.short)}: {say_evidence(each)} {say_odds(each)} {each.would_tell}",
                console=console,
            )
    for sentence in filter(None, (*findings.said, say_repeat(findings))):
        console.print(Padding(sentence, (1, 0, 0, 1)))
    console.print(Padding(f"Bands, order and words: {findings.about}.", (1, 0, 0, 1)))


def _show_plan(plan: Plan, *, console: Console) -> None:
    """Print what the student practises."""
    console.print("\nTo practise")
    for drill in plan.drills:
        show_bullet(f"{drill.title}. {drill.setup} Right when: {drill.right}", console=console)
    show_bullet(f"Feel: \N{LEFT DOUBLE QUOTATION MARK}{plan.feel}\N{RIGHT DOUBLE QUOTATION MARK}", console=console)
    show_bullet(plan.film_again, console=console)
    for caution in plan.cautions[:1]:
        show_bullet(caution, console=console)


def _show_finding(number: int, finding: Finding, *, console: Console) -> None:
    row = Table.grid(padding=(0, 1))
    row.add_row(str(number), f"{finding.title}.")
    row.add_row("", f"{say_evidence(finding)} {say_odds(finding)}")
    row.add_row("", f"Change: {finding.change}")
    if finding.limits:
        row.add_row("", f"Asked for like this because of a limit: {', '.join(finding.limits)}.")
    row.add_row("", f"The ball: {finding.ball} ({finding.source})")
    console.print(Padding(row, (1, 0, 0, 1)))
