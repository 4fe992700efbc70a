"""``putt-posture compare``: two lessons of one student side by side."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

import click

from putt_posture.cli.exit_codes import STOPPED

__all__ = ["compare"]


@click.command(short_help="Set two lessons side by side: what changed?")
@click.argument("before", metavar="BEFORE")
@click.argument("after", metavar="AFTER")
@click.option("--out", type=click.Path(path_type=Path), required=True, metavar="DIR", help="New folder for the pages.")
@click.option("--replace", is_flag=True, help="Replace what is in DIR already.")
@click.option("--json", "as_json", is_flag=True, help="Print the result as JSON; all else goes to standard error.")
def compare(*, before: str, after: str, out: Path, replace: bool, as_json: bool) -> None:
    """Set two lessons of one student side by side and tell what changed from what did not.

    BEFORE and AFTER are folders that measure wrote. The stills come at the same scale with the ground level, the
    outlines over each other, and each measure with its change, its 95 % interval and whether it is more than the noise.
    """
    from putt_posture.cli.compare_table import show_comparison
    from putt_posture.cli.lessons import read_lesson
    from putt_posture.cli.progress import show_progress
    from putt_posture.cli.table import open_console, show_files
    from putt_posture.comparison import find_comparison
    from putt_posture.report import check_folder
    from putt_posture.report.comparison import store_comparison

    lessons = read_lesson(before), read_lesson(after)
    check_folder(out, replace=replace, keep=(*lessons[0].files, *lessons[1].files))
    with show_progress() as progress:
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
