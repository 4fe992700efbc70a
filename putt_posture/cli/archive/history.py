"""``putt-posture archive history``: a student's lessons and practice tests over time, as pages and charts."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

import click

from putt_posture.cli.archive.numbers import number_argument
from putt_posture.cli.exit_codes import STOPPED
from putt_posture.cli.shared_options import archive_options, json_option, out_option, replace_option

__all__ = ["history"]


@click.command(short_help="Write a student's history: did it stick?")
@number_argument()
@out_option(what="pages")
@replace_option(what="history")
@json_option
@archive_options
def history(*, number: int, out: Path, replace: bool, as_json: bool, archive: str | None, files: str | None) -> None:
    """Write the history of the student NUMBER to a new folder: pages, charts and numbers.

    It says what changed for real, what went back since the setup was rebuilt, and when the putter changed; with
    practice tests, how many putts of each length fell, beside the published putts of other people.
    """
    from putt_posture.archive import check_outside, load_history, open_archive
    from putt_posture.changes import find_changes
    from putt_posture.cli.archive.history_table import show_history
    from putt_posture.cli.progress import show_progress
    from putt_posture.cli.table import open_console, show_files
    from putt_posture.errors import NotInArchive
    from putt_posture.folders import check_folder
    from putt_posture.report import store_history

    with open_archive(archive, files=files, make=False) as opened:
        check_outside(opened, out)
        kept = opened.place.paths
        found = load_history(opened, number)
    if not (found.visits or found.practice):
        raise NotInArchive(
            f"{found.name} has no lesson and no practice test yet. File one with archive file {number} or archive "
            f"practice {number}."
        )
    check_folder(out, replace=replace, keep=kept)
    with show_progress() as progress:
        store_history(
            found, out, find_changes=find_changes, replace=replace, made_on=date.today(), keep=kept, progress=progress
        )
    try:
        console = open_console(sys.stderr if as_json else sys.stdout)
        show_history(found, console=console)
        show_files(out, console=console, first="history")
        if as_json:
            click.echo((out / "history.json").read_text(encoding="utf-8"))
    except KeyboardInterrupt:
        click.echo(f"\nStopped. The history is whole: {out}", err=True)
        raise click.exceptions.Exit(STOPPED) from None
