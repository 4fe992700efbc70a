"""``putt-posture archive history``: how a student's setup and putts went over time, as pages with charts."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from putt_posture.cli.archive.numbers import number_argument
from putt_posture.cli.progress import show_progress
from putt_posture.cli.shared_options import archive_options, json_option, out_option, replace_option
from putt_posture.cli.stopping import say_when_stopped

if TYPE_CHECKING:
    from rich.console import Console

    from putt_posture.values import History

__all__ = ["history"]


@click.command(short_help="Write a student's history: each measure over time, putts holed.")
@number_argument()
@out_option(what="history")
@replace_option(what="history")
@json_option
@archive_options
def history(*, number: int, out: Path, replace: bool, as_json: bool, archive: str | None, files: str | None) -> None:
    """Write the history of the student NUMBER: each measure over time with its intervals, the real changes marked.

    Another putter is marked on the time axis. Practice tests come as putts holed by length, with the scatter of start
    lines and professionals beside it.
    """
    from putt_posture.archive import check_outside, open_archive, store_student_history
    from putt_posture.cli.table import open_console, show_files
    from putt_posture.report import check_folder

    with open_archive(archive, files=files, make=False) as opened:
        check_outside(opened, out)
        check_folder(out, replace=replace, keep=opened.place.paths)
        with show_progress() as progress:
            found = store_student_history(opened, number, out, replace=replace, made_on=date.today(), progress=progress)
    with say_when_stopped(f"The history is whole: {out}"):
        console = open_console(sys.stderr if as_json else sys.stdout)
        _show(number, found, console=console)
        show_files(out, console=console, first="history")
        if as_json:
            click.echo((out / "history.json").read_text(encoding="utf-8"))


def _show(number: int, found: History, *, console: Console) -> None:
    from putt_posture.report.days import count_of

    counts = [count_of(len(found.visits), "lesson"), count_of(len(found.practice), "practice test")]
    console.print(f"Student {number}: {found.name}, {' and '.join(counts)}")
