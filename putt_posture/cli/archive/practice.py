"""``putt-posture archive practice``: practice tests recorded, shown and removed."""

from __future__ import annotations

import re
import sys
from datetime import date
from typing import TYPE_CHECKING, Any, Final

import click

from putt_posture.cli.command import command
from putt_posture.cli.options import past_day_option
from putt_posture.cli.shared_options import NUMBER, archive_options, json_option, number_argument, units_option
from putt_posture.errors import UnitError
from putt_posture.units import read_length_cm

if TYPE_CHECKING:
    from rich.console import Console

    from putt_posture.values import PracticeTest

__all__ = ["practice", "practice_as_plain", "read_putts", "show_practice"]

_ONE: Final = re.compile(
    r"\s*(?P<length>.+?)[\s:]+(?P<holed>\d{1,6})\s*(?:/|of)\s*(?P<tried>\d{1,6})\s*(?:[,;]|$)", re.ASCII
)
_CM_PER_FOOT: Final = 30.48


def read_putts(text: str) -> list[tuple[float, int, int]]:
    """Read putts holed of putts tried, by length.

    Returns
    -------
    list of (float, int, int)
        Length in cm, putts holed, putts tried.

    Raises
    ------
    UnitError
        If a part cannot be read.

    Examples
    --------
    >>> read_putts("1m 8/10, 3ft 1in 5 of 10")
    [(100.0, 8, 10), (93.98, 5, 10)]
    """
    found, at = [], 0
    while text[at:].strip():
        one = _ONE.match(text, at)
        if one is None:
            raise UnitError(
                f"The putts {text[at:].strip()!r} cannot be read. Write each length with holed of tried, commas "
                "between: 3ft 8/10, 6ft 5/10."
            )
        found.append((read_length_cm(one["length"]), int(one["holed"]), int(one["tried"])))
        at = one.end()
    if not found:
        raise UnitError("No putts were given. Write each length with holed of tried: 3ft 8/10, 6ft 5/10.")
    return found


def practice_as_plain(tests: tuple[PracticeTest, ...]) -> list[dict[str, Any]]:
    """Return practice tests, and what they say, as what JSON knows."""
    from putt_posture.cli.archive.words import as_plain
    from putt_posture.practice import read_practice

    found = []
    for test in tests:
        result = read_practice(test)
        spread = result.spread
        found.append(
            {
                "number": test.number,
                "day": test.day.isoformat(),
                "note": test.note,
                "shares": as_plain(result.shares),
                "start_line_spread_deg": None if spread is None else spread.sigma.value,
                "low_deg": None if spread is None else spread.low_deg,
                "high_deg": None if spread is None else spread.high_deg,
                "why_not": result.why_not,
                "misfit": result.misfit,
            }
        )
    return found


def show_practice(tests: tuple[PracticeTest, ...], *, console: Console) -> None:
    """Print practice tests: shares holed with their intervals, and the scatter of start lines."""
    from putt_posture.cli.table import new_table, show_bullet
    from putt_posture.figures import format_putt
    from putt_posture.pages.practice import format_spread
    from putt_posture.practice import read_practice

    table = new_table()
    for title in ("Test", "Day", "Length", "Holed", "Share (95 %)"):
        table.add_column(title, justify="left" if title == "Day" else "right", no_wrap=True)
    results = [(test, read_practice(test)) for test in tests]
    for test, result in results:
        for row, share in enumerate(result.shares):
            table.add_row(
                str(test.number) if row == 0 else "",
                str(test.day) if row == 0 else "",
                format_putt(share.distance_cm),
                f"{share.holed} of {share.tried}",
                f"{share.share:.0%} ({share.low:.0%} to {share.high:.0%})",
            )
    console.print(table)
    console.print("Start lines scatter by, with 95 % interval")
    for test, result in results:
        note = f" ({test.note})" if test.note else ""
        says = format_spread(result.spread) if result.spread is not None else result.why_not
        show_bullet(f"Test {test.number}{note}: {says} {result.misfit}".rstrip(), console=console)


def _read(context: click.Context, option: click.Parameter, text: str | None) -> list[tuple[float, int, int]] | None:
    if text is None:
        return None
    try:
        return read_putts(text)
    except UnitError as error:
        raise click.BadParameter(str(error), ctx=context, param=option) from None


@command(short_help="Record a practice test, or show them all.")
@number_argument()
@click.option(
    "--putts",
    callback=_read,
    metavar="PUTTS",
    help='Putts holed of putts tried, by length: "3ft 8/10, 6ft 5/10, 3m 2/10".',
)
@click.option("--day", callback=past_day_option, metavar="DATE", help="Day of the test. Default: today.")
@click.option("--note", metavar="TEXT", help="Anything to remember: the green, the ball.")
@click.option("--remove", type=NUMBER, metavar="TEST", help="Remove this test.")
@json_option
@units_option
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
    """Record a practice test of the student NUMBER with --putts, then show all tests.

    Write each length, from the ball to the middle of the hole, with its unit. The scatter of start lines is the one
    that best explains which putts fell; speed, slope and grain are left out.
    """
    if putts is None and (day is not None or note is not None):
        raise click.UsageError("--day and --note are for a new test. Give its --putts too.")
    if putts is not None and remove is not None:
        raise click.UsageError("--putts and --remove were given. Give one of the two.")

    from putt_posture.archive import (
        add_practice_test,
        compare_last_with_tests,
        load_practice,
        load_student,
        open_archive,
        remove_practice_test,
    )
    from putt_posture.cli.archive.words import print_json
    from putt_posture.cli.table import open_console, show_bullet
    from putt_posture.services import may_show_numbers
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
            if not may_show_numbers(opened, number, today=today):
                return
        tests = load_practice(opened, number, today=today)
        beside = compare_last_with_tests(opened, number, today=today) if tests else ()
        name = load_student(opened, number).name
    if as_json:
        print_json({"student": number, "tests": practice_as_plain(tests)})
        return
    console.print(f"Student {number}: {name}")
    if tests:
        show_practice(tests, console=console)
        for each in beside:
            show_bullet(each, console=console)
    else:
        console.print("No practice test is recorded.")
