"""``putt-posture compare``: two lessons of one student side by side."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

import click

from putt_posture.cli.shared_options import archive_options, hide_faces_option, json_option, out_option, replace_option
from putt_posture.cli.stopping import say_when_stopped

__all__ = ["compare"]


@click.command(short_help="Set two lessons side by side: what changed?")
@click.argument("before", metavar="BEFORE")
@click.argument("after", metavar="AFTER")
@out_option(what="pages")
@replace_option(what="comparison")
@hide_faces_option(where="in the pictures")
@json_option
@archive_options
def compare(
    *,
    before: str,
    after: str,
    out: Path,
    replace: bool,
    hide_faces: bool,
    as_json: bool,
    archive: str | None,
    files: str | None,
) -> None:
    """Set two lessons of one student side by side and tell what changed from what did not.

    BEFORE and AFTER are folders that measure wrote, or lessons of the archive by number: lesson:12. The stills come at
    the same scale with the ground level, the outlines over each other, and each measure with its change, its 95 %
    interval and whether it is more than the noise.
    """
    from putt_posture.cli.compare_table import show_comparison
    from putt_posture.cli.lessons import open_lessons
    from putt_posture.cli.progress import show_progress
    from putt_posture.cli.table import open_console, show_files
    from putt_posture.comparison import find_comparison
    from putt_posture.folders import check_folder
    from putt_posture.records import hide_faces_in
    from putt_posture.report.comparison import store_comparison

    today = date.today()
    with open_lessons((before, after), out=out, today=today, archive=archive, files=files) as lessons:
        check_folder(out, replace=replace, keep=[path for each in lessons for path in each.files])
        with show_progress() as progress:
            comparison = find_comparison(*(map(hide_faces_in, lessons) if hide_faces else lessons))
            store_comparison(comparison, out, replace=replace, made_on=today, progress=progress)
    with say_when_stopped(f"The comparison is whole: {out}"):
        console = open_console(sys.stderr if as_json else sys.stdout)
        show_comparison(comparison, console=console)
        show_files(out, console=console, first="comparison")
        if as_json:
            click.echo((out / "comparison.json").read_text(encoding="utf-8"))
