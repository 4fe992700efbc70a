"""``putt-posture archive erase``: a student erased for good."""

from __future__ import annotations

import sys
from datetime import date

import click

from putt_posture.cli.archive.confirm import confirm_by_name, yes_option
from putt_posture.cli.archive.numbers import number_argument
from putt_posture.cli.shared_options import archive_options
from putt_posture.cli.stopping import say_when_stopped

__all__ = ["erase"]


@click.command(short_help="Erase a student for good.")
@number_argument()
@click.option(
    "--reason", required=True, metavar="TEXT", help="Why, for the record of erasures, which keeps it; without a name."
)
@yes_option
@archive_options
def erase(*, number: int, reason: str, yes: bool, archive: str | None, files: str | None) -> None:
    """Erase the student NUMBER for good: rows, clips, stills, all of it, after the name was typed.

    What stays is that somebody was erased on this day, and the reason.
    """
    from putt_posture.archive import erase_student, load_lessons, load_student, open_archive
    from putt_posture.archive.names import name_words
    from putt_posture.cli.archive.erasing import IN_BACKUPS, WHEN_STOPPED, say_erased
    from putt_posture.cli.table import open_console
    from putt_posture.errors import UsageError
    from putt_posture.report.days import count_of

    console = open_console(sys.stdout)
    with open_archive(archive, files=files, make=False) as opened:
        name = load_student(opened, number).name
        if not reason.strip():
            raise UsageError("The reason is empty. Say in a few words why: the student asked, for example.")
        if telling := sorted(word for word in name_words(name) & name_words(reason) if len(word) > 2):
            raise UsageError(f"The reason is kept for good, and {telling[0]!r} in it is of the name. Say it without.")
        lessons = len(load_lessons(opened, number))
        question = f"This erases {name} with {count_of(lessons, 'lesson')} for good. To go on, type the name"
        confirm_by_name(question, name=name, yes=yes)
        with say_when_stopped(WHEN_STOPPED):
            erased = erase_student(opened, number, today=date.today(), reason=reason)
    console.print(f"Erased: {say_erased(erased)}.")
    console.print(IN_BACKUPS)
