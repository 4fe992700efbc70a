"""``putt-posture archive export``: all that is kept of one student, given out as a zip."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

import click

from putt_posture.cli.archive.numbers import number_argument
from putt_posture.cli.shared_options import archive_options, out_option

__all__ = ["export"]


@click.command(short_help="Give out all that is kept of a student, as a zip.")
@number_argument()
@out_option(what="zip", metavar="FILE")
@click.option("--replace", is_flag=True, help="Replace FILE where it is there already.")
@click.option("--hide-faces", is_flag=True, help="Hide every head in the pictures; clips are left out then.")
@click.option("--without-clips", is_flag=True, help="Leave the clips out.")
@archive_options
def export(
    *,
    number: int,
    out: Path,
    replace: bool,
    hide_faces: bool,
    without_clips: bool,
    archive: str | None,
    files: str | None,
) -> None:
    """Write all that is kept of the student NUMBER into one zip: numbers as CSV and JSON, pictures, reports and clips.

    What is given out is no longer in your hands: give it to the student, or to whom they allowed it.
    """
    from putt_posture.archive import export_student, open_archive
    from putt_posture.cli.table import open_console, show_bullet
    from putt_posture.report.days import count_of

    with open_archive(archive, files=files, make=False) as opened:
        made = export_student(
            opened, number, out, today=date.today(), hide_faces=hide_faces, clips=not without_clips, replace=replace
        )
    console = open_console(sys.stdout)
    console.print(f"{count_of(made.files, 'file')} of {count_of(made.rows.get('lessons', 0), 'lesson')} in {made.path}")
    if made.left_out:
        console.print("Left out")
    for sentence in made.left_out:
        show_bullet(sentence, console=console)
