"""``putt-posture archive overview``: the whole academy at a glance."""

from __future__ import annotations

import sys
from datetime import date
from typing import TYPE_CHECKING

import click

from putt_posture.cli.shared_options import archive_options, json_option

if TYPE_CHECKING:
    from rich.console import Console

    from putt_posture.archive import ComingOfAge, OverviewLine

__all__ = ["overview"]


@click.command(short_help="Show who is due, who went back, who was seen last.")
@click.option("--most", type=click.IntRange(1, 1000), default=25, help="How many to show of each at most; 25.")
@click.option(
    "--within",
    type=click.IntRange(0, 3650),
    default=0,
    metavar="DAYS",
    help="Show who falls due within so many days too.",
)
@json_option
@archive_options
def overview(*, most: int, within: int, as_json: bool, archive: str | None, files: str | None) -> None:
    """Show who is due for a visit, whose setup went back by more than the noise, and who was seen last.

    A student without a lesson is in none of these; find and show know them. Last comes who is kept on a guardian's
    consent and has come of age, or does before the next visit: they are to be asked for their own.
    """
    from putt_posture.archive import find_coming_of_age, load_overview, open_archive
    from putt_posture.cli.archive.words import as_plain, print_json
    from putt_posture.cli.table import open_console
    from putt_posture.figures import count_of
    from putt_posture.pages.history_answer import CHANCE_OF_BACK

    today = date.today()
    with open_archive(archive, files=files, make=False) as opened:
        found = load_overview(opened, today=today, most=most, within_days=within)
        of_age = find_coming_of_age(opened, today=today, within_days=within)
    if as_json:
        print_json({**as_plain(found), "coming_of_age": of_age})
        return
    console = open_console(sys.stdout)
    if not found.seen:
        console.print("No lesson is filed yet.")
        _show_of_age(of_age, today=today, console=console)
        return
    soon = f" or within {count_of(within, 'day')}" if within else ""
    weeks = count_of(found.revisit_weeks, "week")
    _show(found.due, f"Due today{soon}, {weeks} after the last lesson", most=most, today=today, console=console)
    back = "Went back by more than the noise since the setup was rebuilt"
    _show(found.drifted, back, most=most, today=today, console=console)
    if found.drifted:
        console.print(CHANCE_OF_BACK)
    _show(found.seen, "Seen last", most=most, today=today, console=console)
    _show_of_age(of_age, today=today, console=console)


def _show(lines: tuple[OverviewLine, ...], title: str, *, most: int, today: date, console: Console) -> None:
    from putt_posture.cli.archive.words import say_distance
    from putt_posture.cli.table import new_table
    from putt_posture.wording import WORDS

    console.print(f"\n{title}{f' (the first {most})' if len(lines) == most else ''}")
    if not lines:
        console.print("  Nobody.")
        return
    titles = {name: words.title for name, words in WORDS.items()}
    drifted = any(each.drifts for each in lines)
    table = new_table()
    for heading in ("No.", "Name", "Lessons", "Last lesson", "Due", *(["Went back"] if drifted else [])):
        table.add_column(heading, justify="right" if heading in ("No.", "Lessons") else "left")
    for each in lines:
        back = ", ".join(titles[name] for name in each.drifts)
        due = say_distance(each.due_on, today=today)
        row = [str(each.number), each.name, str(each.lessons), str(each.last_day), due]
        table.add_row(*row, *([back] if drifted else []))
    console.print(table)


def _show_of_age(lines: tuple[ComingOfAge, ...], *, today: date, console: Console) -> None:
    from putt_posture.cli.archive.words import say_distance
    from putt_posture.cli.table import new_table

    if not lines:
        return
    console.print("\nTo be asked for their own consent, as they come of age or have")
    table = new_table()
    for heading in ("No.", "Name", "Grown up", "", "On a guardian's consent"):
        table.add_column(heading, justify="right" if heading == "No." else "left")
    for each in lines:
        when = say_distance(each.on, today=today)
        table.add_row(str(each.number), each.name, str(each.on), when, ", ".join(each.scopes))
    console.print(table)
    console.print(
        "From that day nothing new is filed on a guardian's consent; what is kept may stay for its time. Your local "
        "rules say what must be asked again."
    )
