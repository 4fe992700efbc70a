"""Tables for the terminal: the result of a lesson or a fit in 60 columns, a comparison in 72.

Numbers and names are those of the report.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any, Final

import numpy as np
from rich import box
from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from putt_posture.documents import change_rows
from putt_posture.figures import format_both, format_length, format_margin, format_stature, format_value
from putt_posture.measures import LENGTH_CONVENTION, MEASURES
from putt_posture.measures.arms import ELBOW_BEND_LEAD
from putt_posture.pages import FIRST_AND_LAST, describe_stages, say_counts
from putt_posture.shown import show_plainly
from putt_posture.shown_units import AsIs, say_in_shown_unit
from putt_posture.units import CM_PER_INCH
from putt_posture.values import VIEW_TITLES, MeasureName
from putt_posture.wording import BACK_CAUTIONS, UNCERTAINTY

if TYPE_CHECKING:
    from putt_posture.documents import ChangeRow
    from putt_posture.values import (
        ClubSpec,
        ComparedLesson,
        Comparison,
        Fit,
        Lesson,
        MeasureName,
        PutterCurves,
        Stages,
        Student,
        View,
    )

__all__ = [
    "new_table",
    "open_console",
    "show_absent_changes",
    "show_beside_truth",
    "show_bullet",
    "show_comparison",
    "show_files",
    "show_fit",
    "show_length",
    "show_numbers",
    "show_rows",
    "show_stages",
    "show_what_does_not_agree",
]


class _PlainConsole(Console):
    """A console that shows texts plainly, and lengths in the unit that is shown, before it measures their width."""

    def render_str(self, text: str, **how: Any) -> Text:
        return super().render_str(show_plainly(say_in_shown_unit(text)), **how)


_TITLES: Final[dict[str, MeasureName]] = {"elbow_bend": ELBOW_BEND_LEAD.name}
"""The measure with the wording for a number of the setup, where the names differ."""
_NAMES: Final = {"elbow_bend": "Elbow bend"}


def open_console(stream: IO[str]) -> Console:
    """Open a console that prints text as it is, with neither colours nor markup."""
    return _PlainConsole(file=stream, markup=False, highlight=False, emoji=False, no_color=True)


def new_table() -> Table:
    """Return an empty table in the look of this program."""
    return Table(box=box.SIMPLE_HEAD, pad_edge=False, collapse_padding=True)


def show_numbers(lesson: Lesson, *, console: Console) -> None:
    """Print the measures, the putter length, and what the coach should know of them."""
    _show_measures(lesson, console=console)
    _show_absent(lesson, console=console)
    show_length(lesson.fit, lesson.spec, console=console)
    show_what_does_not_agree(lesson.fit, console=console)
    if lesson.warnings:
        console.print("\nTo know")
    for warning in lesson.warnings:
        show_bullet(warning, console=console)


def show_beside_truth(lesson: Lesson, truth: Mapping[MeasureName, float], *, console: Console) -> None:
    """Print each measure beside its true value, and how many of the true values lie in the 95 % interval."""
    table = new_table()
    table.add_column("Measure")
    table.add_column("Value ± 95 %", justify="right", no_wrap=True)
    table.add_column("Truth", justify="right", no_wrap=True)
    table.add_column("In", justify="right")
    inside = 0
    pairs = [(name, lesson.posture[name], true) for name, true in truth.items() if lesson.posture[name]]
    for name, estimate, true in pairs:
        covered = estimate.low <= true <= estimate.high
        inside += covered
        signed = MEASURES[name].signed
        table.add_row(
            MEASURES[name].title,
            format_margin(estimate, signed=signed),
            format_value(true, estimate.unit, signed=signed),
            "yes" if covered else "no",
        )
    console.print(table)
    console.print(f"{inside} of {len(pairs)} true values lie in the 95 % interval.")
    if absent := len(truth) - len(pairs):
        console.print(f"{absent} more are absent; the report says why.")


def show_files(folder: Path, *, console: Console, first: str = "report") -> None:
    """Print where the files are, first those whose names begin with `first`."""
    console.print(AsIs(f"\nWritten to {folder}"), soft_wrap=True)
    names = sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())
    for name in sorted(names, key=lambda name: not name.startswith(first)):
        console.print(AsIs(f"  {name}"), soft_wrap=True)


def show_bullet(text: str, *, console: Console) -> None:
    """Print a sentence as an item of a list, wrapped under itself."""
    row = Table.grid(padding=(0, 1))
    row.add_row("-", text)
    console.print(Padding(row, (0, 0, 0, 1)))


def show_length(fit: Fit, spec: ClubSpec | None, *, console: Console) -> None:
    """Print the length and lie that are suggested, or why there are none, and what to do about the putter in use."""
    length, lie, stock = fit.putter_length, fit.lie, fit.stock_length_in
    console.print("\nPutter length suggested")
    if length.absent is not None:
        show_bullet(f"None. {length.absent}", console=console)
        return
    nearest = f"; nearest half inch: {format_length(stock * CM_PER_INCH)}" if stock is not None else ""
    show_bullet(f"{format_both(length)}{nearest}", console=console)
    show_bullet(f"Measured {LENGTH_CONVENTION}.", console=console)
    if lie:
        show_bullet(f"With the shaft {format_margin(lie)} above the horizontal.", console=console)
    if spec is not None and spec.current_length_cm is not None:
        show_bullet(f"The putter in use is {format_length(spec.current_length_cm)}.", console=console)
        show_bullet(spec.advice_sentence, console=console)


def show_what_does_not_agree(fit: Fit, *, console: Console) -> None:
    """Print what a fit put aside, and where ways to a length differ; nothing if they agree."""
    if fit.disagreements:
        console.print("\nWhat does not agree about the length")
    for sentence in fit.disagreements:
        show_bullet(sentence, console=console)


def show_comparison(comparison: Comparison, *, console: Console) -> None:
    """Print what changed, every measure, and what makes the two hard to compare."""
    student = comparison.after.record.student
    console.print(f"\n{student.name or 'The student'}, putts {student.handed}-handed")
    console.print(AsIs(f"Before: {_say(comparison.before)}\nAfter:  {_say(comparison.after)}"), soft_wrap=True)
    for each in comparison.says:
        show_bullet(each, console=console)
    rows = change_rows(comparison.changes)
    changed = [row for row in rows if row.real]
    console.print(f"\n{say_counts(rows)}")
    if comparison.taken_up is not None:
        show_bullet(comparison.taken_up.says, console=console)
    for row in changed:
        show_bullet(f"{row.title}: {row.from_to}. {row.says}", console=console)
    show_rows([row for row in rows if row], console=console)
    show_absent_changes(rows, console=console)
    if comparison.changes.warnings:
        console.print("To know")
    for warning in comparison.changes.warnings:
        show_bullet(warning, console=console)


def show_stages(stages: Stages, *, console: Console) -> None:
    """Print what moved from step to step, and from the first to the last."""
    student = stages.stages[-1].lesson.record.student
    console.print(f"\n{student.name or 'The student'}, putts {student.handed}-handed")
    for each in stages.says:
        show_bullet(each, console=console)
    for text in describe_stages(stages):
        numbers = ", ".join(f"{each.name.lower()} {each.says}" for each in text.numbers)
        console.print(
            f"\n{text.number} {text.title}{f' ({text.how})' if text.how else ''}\n  {numbers}", soft_wrap=True
        )
        if text.says:
            show_bullet(text.says, console=console)
    rows = change_rows(stages.whole)
    console.print("\nFrom the first to the last")
    show_bullet(say_counts(rows, taken=FIRST_AND_LAST), console=console)
    for row in rows:
        if row.real:
            show_bullet(f"{row.title}: {row.from_to}, by {row.change}.", console=console)
    if stages.whole.warnings:
        console.print("To know")
    for warning in stages.whole.warnings:
        show_bullet(warning, console=console)


def show_fit(fit: Fit, spec: ClubSpec, student: Student, *, console: Console) -> None:
    """Print the putter, the setup it is for, the effect of the putter in use, and the evidence for the length."""
    console.print(f"\nA body of {format_stature(student.stature_cm)}")
    show_length(fit, spec, console=console)
    if student.putter_length_cm is not None:
        _show_change(fit, student.putter_length_cm, console=console)
    _show_setup(fit, console=console)
    _show_evidence(fit, console=console)
    show_what_does_not_agree(fit, console=console)
    console.print("\nTo know")
    for sentence in (*fit.assumptions, *BACK_CAUTIONS):
        show_bullet(sentence, console=console)


def _show_measures(lesson: Lesson, *, console: Console) -> None:
    table = new_table()
    table.add_column("Measure")
    table.add_column("Value ± 95 %", justify="right", no_wrap=True)
    table.add_column("Frames", justify="right")
    present = [(name, estimate) for name, estimate in lesson.posture.estimates.items() if estimate]
    headings: list[tuple[View | None, str]] = [*VIEW_TITLES.items(), (None, "Both views, or as given")]
    for view, heading in headings:
        rows = [(name, estimate) for name, estimate in present if estimate.view == view]
        if rows:
            table.add_section()
            table.add_row(heading)
        for name, estimate in rows:
            signed = MEASURES[name].signed
            frames = str(estimate.frames) if estimate.frames else ""
            table.add_row(f"  {MEASURES[name].title}", format_margin(estimate, signed=signed), frames)
    if present:
        console.print(table)
        console.print(UNCERTAINTY)
    else:
        console.print("\nNothing could be measured.")


def _show_absent(lesson: Lesson, *, console: Console) -> None:
    reasons: dict[str, list[str]] = {}
    for name, estimate in lesson.posture.estimates.items():
        if estimate.absent is not None:
            reasons.setdefault(estimate.absent, []).append(MEASURES[name].title)
    if reasons:
        console.print("\nNot measured")
    for reason, titles in reasons.items():
        show_bullet(f"{'; '.join(titles)}: {reason}", console=console)


def _say(lesson: ComparedLesson) -> str:
    day = lesson.record.made_on
    return lesson.title if day is None or day.isoformat() in lesson.title else f"{lesson.title}, {day.isoformat()}"


def show_rows(rows: list[ChangeRow], *, console: Console) -> None:
    """Print changes as a table; nothing where there are none."""
    if not rows:
        return
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, collapse_padding=True)
    table.add_column("Measure")
    for heading in ("Before", "After", "Change ± 95 %"):
        table.add_column(heading, justify="right", no_wrap=True)
    table.add_column("Real?")
    for row in rows:
        table.add_row(
            row.title, row.before, row.after, row.change, "yes" if row.real else "maybe" if row.maybe else "no"
        )
    console.print(table)


def show_absent_changes(rows: tuple[ChangeRow, ...], *, console: Console) -> None:
    """Print what cannot be compared, by the reason."""
    reasons: dict[str, list[str]] = {}
    for row in rows:
        if not row:
            reasons.setdefault(row.absent, []).append(row.title)
    if reasons:
        console.print("Cannot be compared")
    for reason, titles in reasons.items():
        show_bullet(f"{'; '.join(titles)}: {reason}", console=console)


def _show_change(fit: Fit, current_cm: float, *, console: Console) -> None:
    if fit.curves is None:
        return
    low, high = fit.curves.putter_length_cm[[0, -1]]
    if low <= current_cm <= high and format_length(current_cm) != format_length(fit.putter_length.value):
        show_bullet(
            f"With it, even when held well, the body model has to {_say_curves(fit.curves, current_cm)}.",
            console=console,
        )
    if fit.toe_lift is not None and abs(fit.toe_lift.value) >= 0.1:
        end = "toe" if fit.toe_lift.value > 0 else "heel"
        lift = format_value(abs(fit.toe_lift.value), "cm")
        show_bullet(
            f"In the wanted setup the {end} of a {fit.toe_lift.method} would be {lift} off the ground.",
            console=console,
        )


def _say_curves(curves: PutterCurves, length_cm: float) -> str:
    def at(name: str) -> float:
        return float(np.interp(length_cm, curves.putter_length_cm, getattr(curves, name)))

    offset, eyes = at("hand_offset"), at("eye_offset")
    hands = f"{format_value(abs(offset), 'cm')} {'outside' if offset >= 0 else 'inside'} the shoulders"
    tilt, rounding, knees = (format_value(at(name), "deg") for name in ("spine_tilt", "back_rounding", "knee_flex"))
    return (
        f"tilt by {tilt}, round the back by {rounding}, bend the knees by {knees}, hold the hands {hands} and the eyes "
        f"{format_value(abs(eyes), 'cm')} "
        f"{'beyond' if eyes >= 0 else 'inside'} the ball"
    )


def _show_setup(fit: Fit, *, console: Console) -> None:
    table = new_table()
    table.add_column("The setup it is for")
    table.add_column("Value ± 95 %", justify="right", no_wrap=True)
    for name, estimate in fit.setup.items():
        measure = MEASURES[_TITLES.get(name, name)]
        title = _NAMES.get(name, measure.title)
        table.add_row(title, format_margin(estimate, signed=measure.signed))
    console.print(table)


def _show_evidence(fit: Fit, *, console: Console) -> None:
    table = new_table()
    table.add_column("Ways to a length")
    table.add_column("Length ± 95 %", justify="right", no_wrap=True)
    for each in fit.evidence:
        table.add_row(each.title, format_both(each.length))
    console.print(table)
