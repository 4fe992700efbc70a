"""Tables for the terminal, and the result of a lesson as one; it fits into 60 columns.

Numbers and names are those of the report.
"""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import IO, TYPE_CHECKING, Any

from rich import box
from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from putt_posture.figures import format_both, format_length, format_margin, format_stature, format_value
from putt_posture.report.wording import LENGTH_CONVENTION, UNCERTAINTY, WORDS
from putt_posture.shown import show_plainly
from putt_posture.units import CM_PER_INCH
from putt_posture.values import VIEW_TITLES

if TYPE_CHECKING:
    from putt_posture.values import ClubSpec, Fit, Lesson, MeasureName, View

__all__ = [
    "new_table",
    "open_console",
    "show_beside_truth",
    "show_bullet",
    "show_files",
    "show_length",
    "show_lesson",
    "show_what_does_not_agree",
]


def open_console(stream: IO[str]) -> Console:
    """Open a console that prints text as it is, with neither colours nor markup."""
    return _PlainConsole(file=stream, markup=False, highlight=False, emoji=False, no_color=True)


class _PlainConsole(Console):
    """A console that shows texts plainly before it reckons how wide they are."""

    def render_str(self, text: str, **how: Any) -> Text:
        return super().render_str(show_plainly(text), **how)


def new_table() -> Table:
    """Return an empty table in the look of this program."""
    return Table(box=box.SIMPLE_HEAD, pad_edge=False, collapse_padding=True)


def show_lesson(lesson: Lesson, *, console: Console) -> None:
    """Print who was measured, the measures, the putter length, and what the coach should read."""
    student = lesson.student
    console.print(
        f"\n{student.name or 'The student'}: {format_stature(student.stature_cm)}, putts {student.handed}-handed"
    )
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
        signed = bool(WORDS[name].plus)
        table.add_row(
            WORDS[name].title,
            format_margin(estimate, signed=signed),
            format_value(true, estimate.unit, signed=signed),
            "yes" if covered else "no",
        )
    console.print(table)
    console.print(f"{inside} of {len(pairs)} true values lie in the 95 % interval.")
    if absent := len(truth) - len(pairs):
        console.print(f"{absent} more are absent; the report says why.")


def show_files(folder: Path, *, console: Console, first: str = "report") -> None:
    """Print where the files are, those first whose names begin so."""
    console.print(f"\nWritten to {folder}", soft_wrap=True)
    names = sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())
    for name in sorted(names, key=lambda name: not name.startswith(first)):
        console.print(f"  {name}", soft_wrap=True)


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
    """Print what a fit put aside, and where ways to a length differ; nothing where all agrees."""
    if fit.disagreements:
        console.print("\nWhat does not agree about the length")
    for sentence in fit.disagreements:
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
            signed = bool(WORDS[name].plus)
            frames = str(estimate.frames) if estimate.frames else ""
            table.add_row(f"  {WORDS[name].title}", format_margin(estimate, signed=signed), frames)
    if present:
        console.print(table)
        console.print(UNCERTAINTY)
    else:
        console.print("\nNothing could be measured.")


def _show_absent(lesson: Lesson, *, console: Console) -> None:
    reasons: dict[str, list[str]] = {}
    for name, estimate in lesson.posture.estimates.items():
        if estimate.absent is not None:
            reasons.setdefault(estimate.absent, []).append(WORDS[name].title)
    if reasons:
        console.print("\nNot measured")
    for reason, titles in reasons.items():
        show_bullet(f"{'; '.join(titles)}: {reason}", console=console)
