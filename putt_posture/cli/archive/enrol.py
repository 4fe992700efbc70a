"""``putt-posture archive enrol``: a student added, the archive made where there is none."""

from __future__ import annotations

import sys
from datetime import date
from typing import TYPE_CHECKING

import click

from putt_posture.cli.options import past_day_option
from putt_posture.cli.shared_options import (
    archive_options,
    handed_option,
    sex_option,
    stature_option,
    wrist_floor_option,
)

if TYPE_CHECKING:
    from putt_posture.values import Handed, Sex

__all__ = ["enrol"]


@click.command(short_help="Add a student; the first one makes the archive.")
@click.argument("name", nargs=-1, required=True)
@stature_option()
@handed_option()
@click.option("--born", callback=past_day_option, metavar="DATE", help="Day of birth, year-month-day: 1988-05-17.")
@click.option("--adult", is_flag=True, help="The student is known to be grown up; then no day of birth is needed.")
@sex_option
@wrist_floor_option
@click.option("--notes", default="", metavar="TEXT", help="Anything to remember; erased with the student.")
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

    Whether they are a minor must be known: give --born, or --adult. Nothing is filed of them before consent is written
    down.
    """
    if born is None and not adult:
        raise click.UsageError("It is not said whether the student is a minor. Give --born DATE, or --adult.")
    if adult and born is not None:
        raise click.UsageError("Both --born and --adult were given. Give one: the day of birth tells the age.")

    from putt_posture.archive import (
        add_student,
        check_enrolment,
        find_students,
        is_minor,
        load_student,
        open_archive,
        read_settings,
    )
    from putt_posture.cli.archive.people import say_age, say_body
    from putt_posture.cli.table import open_console, show_bullet
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
    console.print("\nNext, write the consent down:")
    console.print(f"  putt-posture archive consent {number} --for all --given-by NAME{guardian}", soft_wrap=True)
    console.print(f"\nThe archive is {place}", soft_wrap=True)
