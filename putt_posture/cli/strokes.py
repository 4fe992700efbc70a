"""The numbers of the stroke at the terminal: of a lesson, of two that are compared, and over the visits."""

from __future__ import annotations

from typing import TYPE_CHECKING

from putt_posture.cli.table import new_table, show_absent_changes, show_bullet, show_rows
from putt_posture.documents import stroke_change_rows
from putt_posture.figures import count_of, format_change, format_day, format_margin
from putt_posture.history import STROKE_IN_SHORT, find_stroke_courses
from putt_posture.measures import STROKE_MEASURES
from putt_posture.pages.change_counts import OF_THE_STROKE, say_counts
from putt_posture.pages.history_rows import course_rows
from putt_posture.shown_units import in_shown_unit
from putt_posture.values import VIEW_TITLES

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.console import Console

    from putt_posture.history import FindChanges
    from putt_posture.pages.history_rows import CourseRow
    from putt_posture.values import Changes, History, Strokes

__all__ = ["show_stroke_changes", "show_stroke_courses", "show_stroke_in_short", "show_strokes"]

_KINDS = {"putt": "putt", "practice": "practice stroke", "unsure": "stroke"}


def show_strokes(strokes: Strokes | None, *, beside: Sequence[str] = (), console: Console) -> None:
    """Print what was measured of the strokes, or why nothing was; nothing where they were left out.

    `beside` are the sentences on what they show of the findings.
    """
    from putt_posture.pages.stroke_numbers import say_with_hands  # it loads the charts

    if strokes is None:
        return
    console.print("\nThe stroke")
    if not strokes:
        show_bullet(strokes.why_none, console=console)
        return
    for view, of_view in strokes.of.items():
        counts = {kind: sum(stroke.kind == kind for stroke in of_view) for kind in _KINDS}
        said = [count_of(number, _KINDS[kind]) for kind, number in counts.items() if number]
        show_bullet(f"{VIEW_TITLES[view]}: {', '.join(said) or 'no stroke'}", console=console)
    table = new_table()
    table.add_column("Measure of the stroke")
    table.add_column("Value ± 95 %", justify="right", no_wrap=True)
    table.add_column("Strokes", justify="right")
    reasons: dict[str, list[str]] = {}
    for name, estimate in strokes.numbers.items():
        record = STROKE_MEASURES[name]
        if estimate:
            figure = format_margin(in_shown_unit(estimate), signed=record.signed)
            table.add_row(record.title, figure, str(max(len(estimate.repeats), 1)))
        elif estimate.absent is not None:
            reasons.setdefault(estimate.absent, []).append(record.title)
    if table.row_count:
        console.print(table)
    for reason, titles in reasons.items():
        show_bullet(f"{'; '.join(titles)}: {reason}", console=console)
    for sentence in filter(None, (say_with_hands(strokes), *beside)):
        show_bullet(sentence, console=console)


def show_stroke_changes(changes: Changes, *, console: Console) -> None:
    """Print what changed in the stroke from one lesson to another; nothing where neither has a stroke."""
    rows = stroke_change_rows(changes)
    if not rows:
        return
    console.print("\nThe stroke")
    show_bullet(say_counts(rows, of=OF_THE_STROKE), console=console)
    for row in rows:
        if row.real:
            show_bullet(f"{row.title}: {row.from_to}. {row.says}", console=console)
    show_rows([row for row in rows if row], console=console)
    show_absent_changes(rows, console=console)


def show_stroke_courses(history: History, *, find_changes: FindChanges, console: Console) -> None:
    """Print how the numbers of the stroke went from the first visit that has them to the latest."""
    courses = find_stroke_courses(history, find_changes=find_changes)
    lines = [
        (course, course.since_first)
        for course in courses.values()
        if course.since_first is not None and course.since_first.change
    ]
    if not lines:
        return
    table = new_table()
    table.add_column("The stroke")
    for heading in ("First", "Latest", "Change ± 95 %"):
        table.add_column(heading, justify="right", no_wrap=True)
    table.add_column("Real?")
    days = set()
    for course, since in lines:
        before, after, change = map(in_shown_unit, (since.before, since.after, since.change))
        signed = STROKE_MEASURES[course.name].signed
        said = "yes" if since.real else "maybe" if since.maybe else "no"
        moved = format_change(before.value, after.value, margin=change.margin, unit=change.unit)
        figures = (format_margin(each, signed=signed) for each in (before, after))
        table.add_row(STROKE_MEASURES[course.name].title, *figures, moved, said)
        days.add(tuple(history.visits[place].day for place in (course.first, course.latest) if place is not None))
    console.print(table)
    for ends in sorted(days):
        console.print(f"From {' to '.join(map(format_day, ends))}.")


def show_stroke_in_short(history: History, *, find_changes: FindChanges, console: Console) -> None:
    """Print tempo, length, path and stillness of the stroke at the first visit that has them and at the latest."""
    courses = find_stroke_courses(history, find_changes=find_changes)
    rows = course_rows(history, courses, names=STROKE_IN_SHORT)
    if not rows:
        return
    table = new_table()
    table.add_column("The stroke")
    for heading in ("First", "Latest", "Change ± 95 %"):
        table.add_column(heading, justify="right")
    table.add_column("Real?")
    for row in rows:
        table.add_row(row.title, row.first, row.latest, row.change, _say_real(row) if row.latest else "")
    console.print(table)


def _say_real(row: CourseRow) -> str:
    return "yes" if row.real else "maybe" if row.maybe else "no"
