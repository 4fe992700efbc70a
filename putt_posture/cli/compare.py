"""``putt-posture compare``: two lessons of one student side by side."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

import click

from putt_posture.cli.exit_codes import STOPPED
from putt_posture.cli.shared_options import archive_options, json_option, out_option, replace_option

__all__ = ["compare"]


@click.command(short_help="Set two lessons side by side: what changed?")
@click.argument("before", metavar="BEFORE")
@click.argument("after", metavar="AFTER")
@out_option(what="pages")
@replace_option(what="comparison")
@json_option
@archive_options
def compare(
    *, before: str, after: str, out: Path, replace: bool, as_json: bool, archive: str | None, files: str | None
) -> None:
    """Set two lessons of one student side by side and tell what changed from what did not.

    BEFORE and AFTER are folders that measure wrote, or lessons of the archive, written lesson:12. The stills come at
    the same scale with the ground level, the outlines over each other, and each measure with its change, its 95 %
    interval and whether it is more than the noise.
    """
    from putt_posture.cli.compare_table import show_comparison
    from putt_posture.cli.lessons import open_lessons
    from putt_posture.cli.progress import show_progress
    from putt_posture.cli.table import open_console, show_files
    from putt_posture.comparison import find_comparison
    from putt_posture.folders import check_folder
    from putt_posture.report.comparison import store_comparison

    with open_lessons((before, after), archive=archive, files=files) as lessons, show_progress() as progress:
        check_folder(out, replace=replace, keep=(*lessons[0].files, *lessons[1].files))
        comparison = find_comparison(*lessons)
        store_comparison(comparison, out, replace=replace, made_on=date.today(), progress=progress)
    try:
        console = open_console(sys.stderr if as_json else sys.stdout)
        show_comparison(comparison, console=console)
        show_files(out, console=console, first="comparison")
        if as_json:
            click.echo((out / "comparison.json").read_text(encoding="utf-8"))
    except KeyboardInterrupt:
        click.echo(f"\nStopped. The comparison is whole: {out}", err=True)
        raise click.exceptions.Exit(STOPPED) from None
