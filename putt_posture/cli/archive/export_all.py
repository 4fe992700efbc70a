"""``putt-posture archive export-all``: the tables of the whole archive, for analysis."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

import click

from putt_posture.cli.shared_options import archive_options, out_option, replace_option

__all__ = ["export_all"]


@click.command("export-all", short_help="Write the whole archive as CSV and Parquet.")
@out_option(what="tables")
@replace_option(what="export")
@click.option("--names", is_flag=True, help="With names, days of birth and whatever was typed; without, numbers alone.")
@click.option("--landmarks", is_flag=True, help="With the body points of every measured frame.")
@archive_options
def export_all(
    *, out: Path, replace: bool, names: bool, landmarks: bool, archive: str | None, files: str | None
) -> None:
    """Write the tables of the whole archive to a new folder, as CSV and Parquet, with a list of what the columns are.

    Without --names a student is a number and an age; of few people, that and the days may still lead to them.
    """
    from putt_posture.archive import export_archive, open_archive
    from putt_posture.cli.table import open_console
    from putt_posture.report.days import count_of

    with open_archive(archive, files=files, make=False) as opened:
        made = export_archive(opened, out, today=date.today(), names=names, landmarks=landmarks, replace=replace)
    console = open_console(sys.stdout)
    console.print(f"Written to {made.path}", soft_wrap=True)
    for table, rows in made.rows.items():
        console.print(f"  {table}: {count_of(rows, 'row')}")
