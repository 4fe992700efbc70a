"""``putt-posture archive export``: all that is kept of a student, in one file to hand over."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

import click

from putt_posture.cli.archive.numbers import number_argument
from putt_posture.cli.archive.sealed import LOST, lock_options, make_lock
from putt_posture.cli.shared_options import (
    archive_options,
    hide_faces_option,
    out_option,
    raw_text_option,
    replace_option,
)
from putt_posture.cli.stopping import say_when_stopped

__all__ = ["export"]


@click.command(short_help="Give out all that is kept of a student, as a zip.")
@number_argument()
@out_option(what="export, a zip", metavar="FILE")
@hide_faces_option(where="in the pictures; clips are left out then")
@click.option("--without-clips", is_flag=True, help="Leave the clips out.")
@raw_text_option
@lock_options
@replace_option(what="file", metavar="FILE")
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
    archive: str | None,
    files: str | None,
) -> None:
    """Write all that is kept of the student NUMBER into the zip FILE: rows as JSON and CSV, pictures, reports, clips.

    README.txt in it says what is what. What there is no consent for today is left out. With --encrypt the zip is in a
    file that only those can open, with an age program, who have the passphrase or the key; if that is lost, nobody can.
    """
    from putt_posture.archive import export_student, load_student, open_archive
    from putt_posture.cli.archive.sizes import say_size
    from putt_posture.cli.table import open_console, show_bullet
    from putt_posture.report.days import count_of

    lock = make_lock(encrypt=encrypt, passphrase_file=passphrase_file, keys=keys)
    with open_archive(archive, files=files, make=False) as opened:
        name = load_student(opened, number).name
        done = export_student(
            opened,
            number,
            out,
            today=date.today(),
            hide_faces=hide_faces,
            clips=not without_clips,
            raw_text=raw_text,
            replace=replace,
            lock=lock,
        )
    with say_when_stopped(f"The export is whole: {out}"):
        console = open_console(sys.stdout)
        console.print(f"Student {number}: {name}")
        console.print(f"Written to {out}: {say_size(done.files, out.stat().st_size)} of lessons", soft_wrap=True)
        for each in done.says:
            console.print(each)
        if done.left_out:
            console.print(f"Left out: {count_of(len(done.left_out), 'file')}")
        for each in done.left_out:
            show_bullet(each, console=console)
        kind = LOST if lock is not None else "It is not encrypted."
        console.print(f"{kind} Hand it to the student, or their guardian, and erase it here then.")
