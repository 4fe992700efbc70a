"""``putt-posture archive practice``: practice tests written down, shown, taken away."""

from __future__ import annotations

import sys
from datetime import date

import click

from putt_posture.cli.archive.numbers import NUMBER, number_argument
from putt_posture.cli.archive.putts import read_putts
from putt_posture.cli.options import past_day_option
from putt_posture.cli.shared_options import archive_options, json_option
from putt_posture.errors import UnitError

__all__ = ["practice"]


def _read(context: click.Context, option: click.Parameter, text: str | None) -> list[tuple[float, int, int]] | None:
    if text is None:
        return None
    try:
        return read_putts(text)
    except UnitError as error:
        raise click.BadParameter(str(error), ctx=context, param=option) from None


@click.command(short_help="Write down a practice test, or show them all.")
@number_argument()
@click.option(
    "--putts", callback=_read, metavar="PUTTS", help='Holed of tried by length: "3ft 8/10, 6ft 5/10, 3m 2/10".'
)
@click.option("--day", callback=past_day_option, metavar="DATE", help="Day of the test; without it today.")
@click.option("--note", metavar="TEXT", help="Anything to remember: the green, the ball.")
@click.option("--remove", type=NUMBER, metavar="TEST", help="Take this test away again.")
@json_option
@archive_options
def practice(
    *,
    number: int,
    putts: list[tuple[float, int, int]] | None,
    day: date | None,
    note: str | None,
    remove: int | None,
    as_json: bool,
    archive: str | None,
    files: str | None,
) -> None:
    """Write down a practice test of the student NUMBER with --putts, then show all tests.

    Lengths are from the ball to the middle of the hole and carry their unit. The scatter of start lines is the one that
    explains best which putts fell; speed, slope and grain are left out.
    """
    if putts is None and (day is not None or note is not None):
        raise click.UsageError("--day and --note are for a new test. Give its --putts too.")
    if putts is not None and remove is not None:
        raise click.UsageError("--putts and --remove were given. Give one of the two.")

    from putt_posture.archive import (
        add_practice_test,
        load_permission,
        load_practice,
        open_archive,
        remove_practice_test,
    )
    from putt_posture.cli.archive.as_json import print_json
    from putt_posture.cli.archive.putts import practice_as_plain, show_practice
    from putt_posture.cli.table import open_console
    from putt_posture.values import PuttCount

    today = date.today()
    console = open_console(sys.stderr if as_json else sys.stdout)
    with open_archive(archive, files=files, make=False) as opened:
        if putts is not None:
            counts = [PuttCount(distance_cm=length, tried=tried, holed=holed) for length, holed, tried in putts]
            test = add_practice_test(opened, number, day=day or today, counts=counts, today=today, note=note or "")
            console.print(f"Written down as test {test}.")
        elif remove is not None:
            remove_practice_test(opened, remove, student=number)
            console.print(f"Test {remove} is gone.")
            if load_permission(opened, number).showing(today) == "nothing":
                return
        tests = load_practice(opened, number, today=today)
        name = load_permission(opened, number).person.name
    if as_json:
        print_json({"student": number, "tests": practice_as_plain(tests)})
        return
    console.print(f"Student {number}: {name}")
    if tests:
        show_practice(tests, console=console)
    else:
        console.print("No practice test is written down.")
