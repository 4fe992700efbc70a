"""``putt-posture archive describe``: what is known of a student put right."""

from __future__ import annotations

import sys
from datetime import date
from typing import TYPE_CHECKING, Any, Final

import click

from putt_posture.cli.archive.numbers import number_argument
from putt_posture.cli.options import day_option, past_day_option
from putt_posture.cli.shared_options import (
    archive_options,
    handed_option,
    sex_option,
    stature_option,
    wrist_floor_option,
)

if TYPE_CHECKING:
    from putt_posture.values import Handed, Sex

__all__ = ["describe"]

_FORGETTABLE: Final = {"born": "born", "sex": "sex", "wrist-floor": "wrist_floor_cm", "keep-until": "keep_until"}
"""What may be left unknown, and its name in the archive."""


@click.command(short_help="Put right what is known of a student.")
@number_argument()
@click.option("--name", metavar="NAME", help="The name.")
@stature_option(required=False)
@handed_option(required=False)
@click.option("--born", callback=past_day_option, metavar="DATE", help="Day of birth, year-month-day: 1988-05-17.")
@click.option("--adult", is_flag=True, help="The student is known to be grown up, without a day of birth.")
@sex_option
@wrist_floor_option
@click.option("--notes", metavar="TEXT", help='Anything to remember, in place of what was there; "" for nothing.')
@click.option(
    "--keep-until",
    callback=day_option,
    metavar="DATE",
    help="Keep this student until this day, whatever the archive's retention time is.",
)
@click.option("--forget", multiple=True, type=click.Choice(list(_FORGETTABLE)), help="Leave this unknown from now on.")
@archive_options
def describe(
    *,
    number: int,
    name: str | None,
    stature: float | None,
    handed: Handed | None,
    born: date | None,
    adult: bool,
    sex: Sex | None,
    wrist_floor: float | None,
    notes: str | None,
    keep_until: date | None,
    forget: tuple[str, ...],
    archive: str | None,
    files: str | None,
) -> None:
    """Put right what is known of the student NUMBER. Lessons that are filed keep what they were measured with."""
    if adult and born is not None:
        raise click.UsageError("Both --born and --adult were given. Give one: the day of birth tells the age.")
    given: dict[str, Any] = {
        "name": name,
        "stature_cm": stature,
        "handed": handed,
        "born": born,
        "sex": sex,
        "wrist_floor_cm": wrist_floor,
        "notes": notes,
        "keep_until": keep_until,
    }
    changes = {key: value for key, value in given.items() if value is not None}
    for each in forget:
        if _FORGETTABLE[each] in changes:
            raise click.UsageError(f"--{each} was given and is to be forgotten too. Give one of the two.")
        changes[_FORGETTABLE[each]] = None
    if born is not None:
        changes["adult"] = False  # from now on the day of birth tells
    elif adult:
        changes["adult"] = True
    if keep_until is not None and keep_until < date.today():
        raise click.UsageError(
            f"--keep-until {keep_until} is past. Give a day to come; to erase now, use archive erase."
        )
    if not changes:
        raise click.UsageError("Nothing was given to change. Look at what is known with archive show.")

    from putt_posture.archive import change_student, load_permission, load_student, open_archive, read_settings
    from putt_posture.cli.archive.people import say_age, say_body, show_doubts
    from putt_posture.cli.table import open_console
    from putt_posture.errors import UsageError

    today = date.today()
    with open_archive(archive, files=files, make=False) as opened:
        known = load_student(opened, number).born
        if adult and known is not None and "born" not in forget:
            raise UsageError(
                f"The day of birth {known} is known and tells the age. Put it right with --born, or add --forget born."
            )
        now = change_student(opened, number, today=today, **changes)
        grown_at = read_settings(opened).grown_at_years
        permission = load_permission(opened, number)
    console = open_console(sys.stdout)
    console.print(f"Student {number}: {now.name}")
    console.print(say_body(now))
    console.print(say_age(now, today=today, grown_at=grown_at))
    if now.keep_until is not None:
        console.print(f"To be kept until {now.keep_until}")
    if now.notes:
        console.print(now.notes)
    show_doubts(permission, today=today, console=console)
