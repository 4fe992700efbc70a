"""``putt-posture archive export`` and ``export-all``: what is exported, of one student or for analysis."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from putt_posture.cli.archive.backup import lock_options, make_lock
from putt_posture.cli.command import command
from putt_posture.cli.shared_options import (
    archive_options,
    hide_faces_option,
    number_argument,
    out_option,
    paper_option,
    raw_text_option,
    replace_option,
    units_option,
)
from putt_posture.cli.stopping import say_when_stopped

if TYPE_CHECKING:
    from putt_posture.pages import Paper

__all__ = ["export", "export_all"]


@command(short_help="Export everything that is kept about a student, as a zip.")
@number_argument()
@out_option(what="export, a zip", metavar="FILE")
@hide_faces_option(where="in the pictures; clips are left out then")
@click.option("--without-clips", is_flag=True, help="Leave the clips out.")
@raw_text_option
@lock_options
@replace_option(what="file", metavar="FILE")
@paper_option
@units_option
@archive_options
def export(
    *,
    number: int,
    out: Path,
    hide_faces: bool,
    without_clips: bool,
    raw_text: bool,
    replace: bool,
    encrypt: bool,
    passphrase_file: Path | None,
    keys: tuple[str, ...],
    paper: Paper,
    archive: str | None,
    files: str | None,
) -> None:
    """Write everything that is kept about the student NUMBER into the zip FILE.

    It holds rows as JSON and CSV, pictures, reports and clips; README.txt explains them. What has no consent today is
    left out. With --encrypt the zip is inside a file that opens, with an age program, only with the passphrase or the
    key. If these are lost, no one can open it.
    """
    from putt_posture.archive import load_student, open_archive
    from putt_posture.cli.table import open_console, show_bullet
    from putt_posture.figures import count_of
    from putt_posture.services import export_student
    from putt_posture.services.sentences import ENCRYPTED, say_size

    lock = make_lock(encrypt=encrypt, passphrase_file=passphrase_file, keys=keys)
    with open_archive(archive, files=files, make=False) as opened:
        name = load_student(opened, number).name
        done = export_student(
            opened,
            number,
            out,
            today=date.today(),
            paper=paper,
            hide_faces=hide_faces,
            clips=not without_clips,
            raw_text=raw_text,
            replace=replace,
            lock=lock,
        )
    with say_when_stopped(f"The export is complete: {out}"):
        console = open_console(sys.stdout)
        console.print(f"Student {number}: {name}")
        console.print(f"Written to {out}: {say_size(done.files, out.stat().st_size)} of lessons", soft_wrap=True)
        for each in done.says:
            console.print(each)
        if done.left_out:
            console.print(f"Left out: {count_of(len(done.left_out), 'file')}")
        for each in done.left_out:
            show_bullet(each, console=console)
        kind = ENCRYPTED if lock is not None else "It is not encrypted."
        console.print(f"{kind} Hand it to the student, or their guardian, and erase it here then.")


@command("export-all", short_help="Export the tables of the whole archive, for analysis.")
@out_option(what="tables")
@click.option("--names", is_flag=True, help="With names, days of birth and all typed texts.")
@click.option("--landmarks", is_flag=True, help="With the body points of every measured frame.")
@click.option("--only-parquet", is_flag=True, help="Write no CSV: smaller, and sooner done in a large archive.")
@raw_text_option
@replace_option(what="export")
@archive_options
def export_all(
    *,
    out: Path,
    names: bool,
    landmarks: bool,
    only_parquet: bool,
    raw_text: bool,
    replace: bool,
    archive: str | None,
    files: str | None,
) -> None:
    """Write the tables of the whole archive into a folder, as CSV, and as Parquet where pyarrow is installed.

    README.md in it explains them and shows how pandas, polars and Dask read the Parquet, which is divided by year.
    Without --names a student is a number and an age. Among few people, the age and the days may still show who it is.
    """
    from putt_posture.archive import open_archive
    from putt_posture.cli.table import new_table, open_console, show_files
    from putt_posture.cli.terminal import show_progress
    from putt_posture.services import export_archive

    with open_archive(archive, files=files, make=False) as opened, show_progress() as progress:
        done = export_archive(
            opened,
            out,
            today=date.today(),
            names=names,
            landmarks=landmarks,
            csv=not only_parquet,
            raw_text=raw_text,
            replace=replace,
            progress=progress,
        )
    with say_when_stopped(f"The export is complete: {out}"):
        console = open_console(sys.stdout)
        table = new_table()
        table.add_column("Table")
        table.add_column("Rows", justify="right")
        for name, rows in done.rows.items():
            table.add_row(name, f"{rows:,}")
        console.print(table)
        for each in done.says:
            console.print(each)
        show_files(out, console=console, first="README")
        if names:
            console.print("It holds names: keep it as safe as the archive. Students erased later stay in it.")
