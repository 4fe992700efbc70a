"""``putt-posture archive retention``: what is kept longer than allowed."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

import click

from putt_posture.cli.archive.erase import confirm, yes_option
from putt_posture.cli.command import command
from putt_posture.cli.shared_options import archive_options
from putt_posture.cli.stopping import say_when_stopped

if TYPE_CHECKING:
    from rich.console import Console

    from putt_posture.archive import ComingOfAge, Overdue, OverduePictures

__all__ = ["retention", "show_pictures"]


@command(short_help="Show what is past its time, and erase it with --erase.")
@click.option("--erase", is_flag=True, help="Erase what is shown, for good, after asking.")
@click.option(
    "--most", type=click.IntRange(1), default=50, metavar="N", help="Most lines of each list to show. Default: 50."
)
@yes_option
@archive_options
def retention(*, erase: bool, most: int, yes: bool, archive: str | None, files: str | None) -> None:
    """Show what is kept longer than allowed: past its time, or without a valid consent.

    With --erase it is erased for good: whole students, or the clips, stills, reports and outlines of lessons whose
    numbers stay. The times are set with archive settings; local rules say what they must be.
    """
    if yes and not erase:
        raise click.UsageError("--yes is for erasing. Add --erase, or leave it out.")

    from putt_posture.archive import find_coming_of_age, find_overdue, open_archive
    from putt_posture.cli.archive.words import WHEN_STOPPED
    from putt_posture.cli.table import open_console
    from putt_posture.services import digest_overdue, erase_past_time
    from putt_posture.services.sentences import IN_BACKUPS, say_erased

    today = date.today()
    console = open_console(sys.stdout)
    with open_archive(archive, files=files, make=False) as opened:
        overdue = find_overdue(opened, today=today)
        of_age = [each for each in find_coming_of_age(opened, today=today, most=most) if each.on <= today]
        _show_of_age(of_age, most=most, console=console)
        if not overdue:
            console.print("Nothing is past its time.")
            return
        _show(overdue, most=most, console=console)
        if not erase:
            reasons = [each.why for each in overdue.students] + [each.why for each in overdue.pictures]
            if any("consent" in why for why in reasons):
                console.print(
                    "What lacks a consent may stay if the consent is given now: putt-posture archive consent."
                )
            if any(each.hiding_helps for each in overdue.pictures):
                console.print(
                    "If only the face may not be shown, the pictures may stay with the heads hidden: "
                    "putt-posture archive hide-faces."
                )
            console.print("\nErase it with: putt-posture archive retention --erase")
            return
        confirm("Erase all of this for good?", yes=yes)
        with say_when_stopped(WHEN_STOPPED):
            erased = erase_past_time(opened, digest_overdue(overdue), today=today)
    console.print(f"\nErased: {say_erased(erased)}.")
    console.print(IN_BACKUPS)


def _show(overdue: Overdue, *, most: int, console: Console) -> None:
    from putt_posture.cli.table import new_table

    if overdue.students:
        console.print("Students to erase, with everything that is known of them")
        table = new_table()
        table.add_column("No.", justify="right")
        table.add_column("Name")
        table.add_column("Why")
        for student in overdue.students[:most]:
            table.add_row(str(student.number), student.name, student.why)
        console.print(table)
        _show_more(len(overdue.students), "student", most=most, console=console)
    if overdue.pictures:
        title = "Lessons whose clips, stills, reports and outlines to erase"
        show_pictures(overdue.pictures, title=title, most=most, console=console)


def _show_more(count: int, noun: str, *, most: int, console: Console) -> None:
    from putt_posture.figures import count_of

    if count > most:
        console.print(f"These are {most} of {count_of(count, noun)}; --most lists more.")


def show_pictures(lessons: Sequence[OverduePictures], *, title: str, console: Console, most: int | None = None) -> None:
    """Print lessons whose pictures may not stay as they are, and why."""
    from putt_posture.cli.table import new_table

    console.print(title)
    table = new_table()
    table.add_column("Lesson", justify="right")
    table.add_column("Day", no_wrap=True)
    table.add_column("Student")
    table.add_column("Files", justify="right")
    table.add_column("Why")
    for each in lessons[:most]:
        table.add_row(str(each.lesson), str(each.day), f"{each.student}: {each.name}", str(each.files), each.why)
    console.print(table)
    if most is not None:
        _show_more(len(lessons), "lesson", most=most, console=console)


def _show_of_age(lines: list[ComingOfAge], *, most: int, console: Console) -> None:
    from putt_posture.cli.table import show_bullet

    for each in lines:
        show_bullet(
            f"Student {each.number}, {each.name}, is grown up since {each.on} and kept on a guardian's consent. It may "
            "stay for its time: ask for their own consent, and record it or erase.",
            console=console,
        )
    if len(lines) == most:
        console.print(f"At most {most} of these are listed, the first to come of age; --most lists more.")
