"""``putt-posture archive history``: how a student's setup and putts went over time, as pages with charts."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from putt_posture.cli.command import command
from putt_posture.cli.opening import open_option, say_what_to_open
from putt_posture.cli.shared_options import (
    archive_options,
    json_option,
    number_argument,
    out_option,
    paper_option,
    replace_option,
    units_option,
)
from putt_posture.cli.stopping import say_when_stopped
from putt_posture.cli.terminal import show_progress

if TYPE_CHECKING:
    from putt_posture.pages import Paper

__all__ = ["history"]


@command(short_help="Write a student's history: did it stick?")
@number_argument()
@out_option(what="history")
@replace_option(what="history")
@paper_option
@json_option
@open_option
@units_option
@archive_options
def history(
    *,
    number: int,
    out: Path,
    replace: bool,
    paper: Paper,
    as_json: bool,
    opens: bool,
    archive: str | None,
    files: str | None,
) -> None:
    """Write the history of the student NUMBER to a new folder: pages, charts and numbers.

    It says what changed for real, what went back since the setup was rebuilt, and when the putter changed; with
    practice tests, how many putts of each length fell, beside the published putts of other people.
    """
    from putt_posture.archive import open_archive
    from putt_posture.cli.archive.words import show_history
    from putt_posture.cli.table import open_console, show_files
    from putt_posture.services import store_student_history

    with open_archive(archive, files=files, make=False) as opened, show_progress() as progress:
        found = store_student_history(
            opened, number, out, replace=replace, paper=paper, today=date.today(), progress=progress
        )
    with say_when_stopped(f"The history is complete: {out}"):
        console = open_console(sys.stderr if as_json else sys.stdout)
        show_history(found, console=console)
        show_files(out, console=console, first="history")
        say_what_to_open(out / "history.html", opens=opens, console=console)
        if as_json:
            click.echo((out / "history.json").read_text(encoding="utf-8"))
