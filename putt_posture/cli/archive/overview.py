"""``putt-posture archive overview``: the whole academy at a glance."""

from __future__ import annotations

import sys
from datetime import date
from typing import TYPE_CHECKING, Final

import click

from putt_posture.cli.command import command
from putt_posture.cli.shared_options import archive_options, json_option

if TYPE_CHECKING:
    from rich.console import Console

    from putt_posture.archive import ComingOfAge, Overview, OverviewLine

__all__ = ["overview"]

_GAPS_WIDE: Final = 12
"""Columns between and beside the six cells of a row."""
_NAME_WIDE: Final = 8
"""Letters of a name that are always shown."""


@command(short_help="Show who is due, whose setup went back, who came last.")
@click.option(
    "--most",
    type=click.IntRange(1, 1000),
    default=25,
    metavar="N",
    help="Most students of each kind to show. Default: 25.",
)
@click.option(
    "--within",
    type=click.IntRange(0, 3650),
    default=0,
    metavar="DAYS",
    help="Also show who is due within so many days.",
)
@json_option
@archive_options
def overview(*, most: int, within: int, as_json: bool, archive: str | None, files: str | None) -> None:
    """Show one line a student: whose setup went back by more than the noise, who is due for a visit, who came last.

    Students without a lesson are not listed; look for them with find and show. At the end come students who are kept on
    a guardian's consent and have come of age, or will before the next visit: ask them for their own consent.
    """
    from putt_posture.archive import find_coming_of_age, load_overview, open_archive
    from putt_posture.cli.archive.words import as_plain, print_json
    from putt_posture.cli.table import open_console

    today = date.today()
    with open_archive(archive, files=files, make=False) as opened:
        found = load_overview(opened, today=today, most=most, within_days=within)
        of_age = find_coming_of_age(opened, today=today, within_days=within, most=most)
    if as_json:
        print_json({**as_plain(found), "coming_of_age": of_age})
        return
    console = open_console(sys.stdout)
    if not found.seen:
        console.print("No lesson is filed yet.")
        _show_of_age(of_age, most=most, today=today, console=console)
        return
    _show_lines(found, most=most, within=within, console=console)
    _show_of_age(of_age, most=most, today=today, console=console)


def _show_lines(found: Overview, *, most: int, within: int, console: Console) -> None:
    """Print one line a student: first whose setup went back, then who is due, then the others by their last lesson."""
    from rich.cells import cell_len, set_cell_size

    from putt_posture.cli.table import new_table
    from putt_posture.figures import count_of
    from putt_posture.pages.history_answer import CHANCE_OF_BACK
    from putt_posture.services.sentences import say_distance

    lines = {each.number: each for each in (*found.drifted, *found.due, *found.seen)}
    soon = f" or within {count_of(within, 'day')}" if within else ""
    weeks = count_of(found.revisit_weeks, "week")
    or_more = " or more" if len(found.drifted) == most else ""
    back = f" The setup of {len(found.drifted)}{or_more} went back." if found.drifted else ""
    console.print(
        f"{count_of(found.students, 'student')} with lessons. {found.students_due} due today{soon}, {weeks} after the "
        f"last lesson.{back}"
    )
    if most in map(len, (found.drifted, found.due, found.seen)):
        console.print(f"At most {most} of each are listed; --most lists more.")
    rows = [
        (
            str(each.number),
            str(each.lessons),
            str(each.last_day),
            say_distance(each.due_on, today=found.today),
            _say_back(each),
        )
        for each in lines.values()
    ]
    heads = ("No.", "Lessons", "Last", "Due", "Went back")
    others = sum(max(map(cell_len, column)) for column in zip(heads, *rows, strict=True))
    name_wide = max(_NAME_WIDE, console.width - others - _GAPS_WIDE)
    table = new_table()
    for heading in (heads[0], "Name", *heads[1:]):
        table.add_column(heading, justify="right" if heading in ("No.", "Lessons") else "left", no_wrap=True)
    for each, (number, *rest) in zip(lines.values(), rows, strict=True):
        name = each.name
        if cell_len(name) > name_wide:
            name = f"{set_cell_size(name, name_wide - 1).rstrip()}…"
        table.add_row(number, name, *rest)
    console.print(table)
    if found.drifted:
        console.print(
            "Went back: by more than the noise since the setup was rebuilt. "
            f"{CHANCE_OF_BACK} archive history shows all of it."
        )


def _say_back(line: OverviewLine) -> str:
    """Name the first measure that went back, and count the others."""
    from putt_posture.measures import MEASURES

    if not line.drifts:
        return ""
    more = f" +{len(line.drifts) - 1}" if len(line.drifts) > 1 else ""
    return f"{MEASURES[line.drifts[0]].title}{more}"


def _show_of_age(lines: tuple[ComingOfAge, ...], *, most: int, today: date, console: Console) -> None:
    from putt_posture.cli.table import new_table
    from putt_posture.services.sentences import say_distance

    if not lines:
        return
    console.print("\nAsk these for their own consent, as they come of age or have")
    table = new_table()
    for heading in ("No.", "Name", "Grown up", "", "On a guardian's consent"):
        table.add_column(heading, justify="right" if heading == "No." else "left")
    for each in lines:
        when = say_distance(each.on, today=today)
        table.add_row(str(each.number), each.name, str(each.on), when, ", ".join(each.scopes))
    console.print(table)
    if len(lines) == most:
        console.print(f"At most {most} are listed, the first to come of age; --most lists more.")
    console.print(
        "From that day nothing new is filed on a guardian's consent; what is kept may stay for its time. Your local "
        "rules say what must be asked again."
    )
