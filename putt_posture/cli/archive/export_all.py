"""``putt-posture archive export-all``: the tables of the whole archive, for analysis."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

import click

from putt_posture.cli.shared_options import archive_options, out_option, raw_text_option, replace_option
from putt_posture.cli.stopping import say_when_stopped

__all__ = ["export_all"]


@click.command("export-all", short_help="Give out the tables of the whole archive, for analysis.")
@out_option(what="tables")
@click.option("--names", is_flag=True, help="With names, days of birth and whatever somebody typed.")
@click.option("--landmarks", is_flag=True, help="With the body points of every measured frame.")
@raw_text_option
@replace_option(what="export")
@archive_options
def export_all(
    *, out: Path, names: bool, landmarks: bool, raw_text: bool, replace: bool, archive: str | None, files: str | None
) -> None:
    """Write the tables of the whole archive into a folder, as CSV and as Parquet; README.md in it says what they are.

    Without --names a student is a number and an age; of few people, that and the days may still lead to them.
    """
    from putt_posture.archive import export_archive, open_archive
    from putt_posture.cli.table import new_table, open_console, show_files

    with open_archive(archive, files=files, make=False) as opened:
        done = export_archive(
            opened, out, today=date.today(), names=names, landmarks=landmarks, raw_text=raw_text, replace=replace
        )
    with say_when_stopped(f"The export is whole: {out}"):
        console = open_console(sys.stdout)
        table = new_table()
        table.add_column("Table")
        table.add_column("Rows", justify="right")
        for name, rows in done.rows.items():
            table.add_row(name, str(rows))
        console.print(table)
        for each in done.says:
            console.print(each)
        show_files(out, console=console, first="README")
        if names:
            console.print("It holds names: keep it as safe as the archive. Whoever is erased later stays in it.")
