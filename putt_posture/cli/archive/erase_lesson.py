"""``putt-posture archive erase-lesson``: one lesson erased for good."""

from __future__ import annotations

import sys

import click

from putt_posture.cli.archive.confirm import confirm, yes_option
from putt_posture.cli.archive.numbers import number_argument
from putt_posture.cli.shared_options import archive_options
from putt_posture.cli.stopping import say_when_stopped

__all__ = ["erase_lesson"]


@click.command("erase-lesson", short_help="Erase one lesson for good.")
@number_argument("lesson")
@yes_option
@archive_options
def erase_lesson(*, lesson: int, yes: bool, archive: str | None, files: str | None) -> None:
    """Erase the lesson LESSON for good, its numbers, clips and pictures. The student stays."""
    from putt_posture.archive import erase_lesson as erase
    from putt_posture.archive import load_lesson, load_student, open_archive
    from putt_posture.cli.archive.erasing import IN_BACKUPS, WHEN_STOPPED, say_erased
    from putt_posture.cli.table import open_console

    with open_archive(archive, files=files, make=False) as opened:
        found = load_lesson(opened, lesson)
        name = load_student(opened, found.student).name
        confirm(f"Erase lesson {lesson} of {found.day}, of {name}, for good?", yes=yes)
        with say_when_stopped(WHEN_STOPPED):
            erased = erase(opened, lesson)
    console = open_console(sys.stdout)
    console.print(f"Erased: {say_erased(erased)}.")
    console.print(IN_BACKUPS)
