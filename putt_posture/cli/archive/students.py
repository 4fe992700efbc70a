"""``putt-posture archive enrol``, ``describe`` and ``find``: students added, changed and found by name."""

from __future__ import annotations

import sys
from datetime import date
from typing import TYPE_CHECKING, Any, Final

import click

from putt_posture.cli.command import command
from putt_posture.cli.options import day_option, past_day_option
from putt_posture.cli.shared_options import (
    archive_options,
    handed_option,
    json_option,
    number_argument,
    sex_option,
    stature_option,
    units_option,
    wrist_floor_option,
)

if TYPE_CHECKING:
    from putt_posture.values import Handed, Sex

__all__ = ["describe", "enrol", "find"]

_FORGETTABLE: Final = {"born": "born", "sex": "sex", "wrist-floor": "wrist_floor_cm", "keep-until": "keep_until"}
"""What may stay unknown, and its name in the archive."""


@command(short_help="Add a student; the first one makes the archive.")
@click.argument("name", nargs=-1, required=True)
@stature_option()
@handed_option()
@click.option("--born", callback=past_day_option, metavar="DATE", help="Day of birth, year-month-day: 1988-05-17.")
@click.option("--adult", is_flag=True, help="The student is known to be grown up; then no day of birth is needed.")
@sex_option
@wrist_floor_option
@click.option("--notes", default="", metavar="TEXT", help="Anything to remember; erased with the student.")
@units_option
@archive_options
def enrol(
    *,
    name: tuple[str, ...],
    stature: float,
    handed: Handed,
    born: date | None,
    adult: bool,
    sex: Sex | None,
    wrist_floor: float | None,
    notes: str,
    archive: str | None,
    files: str | None,
) -> None:
    """Add the student NAME and say their number.

    It must be known whether the student is a minor: give --born or --adult. Nothing is filed before consent is
    recorded.
    """
    if born is None and not adult:
        raise click.UsageError("It is not known whether the student is a minor. Give --born DATE, or --adult.")
    if adult and born is not None:
        raise click.UsageError("Both --born and --adult were given. Give one: the day of birth gives the age.")

    from putt_posture.archive import (
        add_student,
        check_enrolment,
        find_students,
        is_minor,
        load_student,
        open_archive,
        read_settings,
    )
    from putt_posture.cli.table import open_console, show_bullet
    from putt_posture.services.sentences import say_age, say_body
    from putt_posture.values import Student

    today = date.today()
    student = Student(name=" ".join(name), stature_cm=stature, handed=handed, sex=sex, wrist_floor_cm=wrist_floor)
    kept = check_enrolment(student, born=born, adult=adult, today=today)  # before an archive is made
    with open_archive(archive, files=files) as opened:
        namesakes = [each for each in find_students(opened, kept) if each.name.casefold() == kept.casefold()]
        number = add_student(opened, student, today=today, born=born, adult=adult, notes=notes)
        enrolled = load_student(opened, number)
        grown_at = read_settings(opened).grown_at_years
        place = opened.place.title
    console = open_console(sys.stdout)
    console.print(f"Student {number}: {enrolled.name}")
    console.print(say_body(enrolled))
    console.print(say_age(enrolled, today=today, grown_at=grown_at))
    for each in namesakes:
        says = f"Student {each.number} has the same name. If that is the same person, erase this one again."
        show_bullet(says, console=console)
    guardian = " --guardian" if is_minor(today, born=born, adult=adult, grown_at=grown_at) else ""
    console.print("\nNext, record the consent:")
    console.print(f"  putt-posture archive consent {number} --for all --given-by NAME{guardian}", soft_wrap=True)
    console.print(f"\nThe archive is {place}", soft_wrap=True)


@command(short_help="Change what is known about a student.")
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
@click.option(
    "--forget",
    multiple=True,
    type=click.Choice(list(_FORGETTABLE), case_sensitive=False),
    help="Forget this; it is unknown from now on.",
)
@units_option
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
    """Change what is known about the student NUMBER. Filed lessons keep what they were measured with."""
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
    if adult:
        changes["adult"] = True

    from putt_posture.archive import load_permission, open_archive, read_settings
    from putt_posture.cli.archive.words import show_doubts
    from putt_posture.cli.table import open_console
    from putt_posture.services import describe as change
    from putt_posture.services.sentences import say_age, say_body

    today = date.today()
    with open_archive(archive, files=files, make=False) as opened:
        now = change(opened, number, today=today, **changes)
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


@command(short_help="Find students by name.")
@click.argument("text", nargs=-1, required=True)
@click.option(
    "--most", type=click.IntRange(1, 1000), default=50, metavar="N", help="Most students to show. Default: 50."
)
@json_option
@archive_options
def find(*, text: tuple[str, ...], most: int, as_json: bool, archive: str | None, files: str | None) -> None:
    """Find students by the first letters of their names, in any order.

    Case and accents do not matter: "par putt" finds Parker Puttwell.
    """
    from putt_posture.archive import find_students, open_archive
    from putt_posture.cli.archive.words import print_json
    from putt_posture.cli.table import new_table, open_console

    wanted = " ".join(text)
    with open_archive(archive, files=files, make=False) as opened:
        found = find_students(opened, wanted, most=most + 1)
    more, found = len(found) > most, found[:most]
    if as_json:
        print_json({"students": found, "more": more})
        return
    console = open_console(sys.stdout)
    if not found:
        console.print(f"No student was found who has names that begin with {wanted!r}.")
        return
    table = new_table()
    for title in ("No.", "Name", "Born", "Lessons", "Last lesson"):
        table.add_column(title, justify="right" if title in ("No.", "Lessons") else "left", no_wrap=title != "Name")
    for each in found:
        born = "" if each.born is None else str(each.born)
        last = "" if each.last_day is None else str(each.last_day)
        table.add_row(str(each.number), each.name, born, str(each.lessons), last)
    console.print(table)
    if more:
        console.print(f"There are more than these {most}. Type more of the name, or give --most.")
