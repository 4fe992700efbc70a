"""Two lessons side by side as a table for the terminal; it fits into 72 columns."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich import box
from rich.console import Console
from rich.table import Table

from putt_posture.cli.table import show_bullet
from putt_posture.report.comparison import change_rows, say_counts

if TYPE_CHECKING:
    from putt_posture.report.comparison import ChangeRow
    from putt_posture.values import ComparedLesson, Comparison

__all__ = ["show_comparison"]


def show_comparison(comparison: Comparison, *, console: Console) -> None:
    """Print what changed, every measure, and what makes the two hard to compare."""
    student = comparison.after.record.student
    console.print(f"\n{student.name or 'The student'}, putts {student.handed}-handed")
    console.print(f"Before: {_say(comparison.before)}\nAfter:  {_say(comparison.after)}", soft_wrap=True)
    for each in comparison.says:
        show_bullet(each, console=console)
    rows = change_rows(comparison.changes)
    changed = [row for row in rows if row.real]
    console.print(f"\n{say_counts(rows)}")
    for row in changed:
        show_bullet(f"{row.title}: {row.from_to}. {row.says}", console=console)
    _show_rows([row for row in rows if row], console=console)
    _show_absent(rows, console=console)
    if comparison.changes.warnings:
        console.print("To know")
    for warning in comparison.changes.warnings:
        show_bullet(warning, console=console)


def _say(lesson: ComparedLesson) -> str:
    day = lesson.record.made_on
    return lesson.title if day is None or day.isoformat() in lesson.title else f"{lesson.title}, {day.isoformat()}"


def _show_rows(rows: list[ChangeRow], *, console: Console) -> None:
    if not rows:
        return
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, collapse_padding=True)
    table.add_column("Measure")
    for heading in ("Before", "After", "Change ± 95 %"):
        table.add_column(heading, justify="right", no_wrap=True)
    table.add_column("A change?")
    for row in rows:
        table.add_row(
            row.title, row.before, row.after, row.change, "yes" if row.real else "maybe" if row.maybe else "no"
        )
    console.print(table)


def _show_absent(rows: tuple[ChangeRow, ...], *, console: Console) -> None:
    reasons: dict[str, list[str]] = {}
    for row in rows:
        if not row:
            reasons.setdefault(row.absent, []).append(row.title)
    if reasons:
        console.print("Not to be compared")
    for reason, titles in reasons.items():
        show_bullet(f"{'; '.join(titles)}: {reason}", console=console)
