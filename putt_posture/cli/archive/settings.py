"""``putt-posture archive settings``: when students are due, and how long things are kept."""

from __future__ import annotations

import sys
from datetime import date
from typing import Final

import click

from putt_posture.cli.shared_options import archive_options

__all__ = ["settings"]

_TITLES: Final = {
    "revisit_weeks": "weeks after which a student is due again",
    "keep_pictures_months": "months for which clips, stills and outlines are kept",
    "keep_students_months": "months for which a student is kept after the last lesson",
    "grown_at_years": "age from which somebody consents for themselves",
}


@click.command(short_help="Show or change when students are due, what is kept how long.")
@click.option("--revisit-weeks", type=int, metavar="N", help="After how many weeks a student is due again.")
@click.option("--keep-pictures-months", type=int, metavar="N", help="How long clips, stills and outlines are kept.")
@click.option("--keep-students-months", type=int, metavar="N", help="How long a student is kept after the last lesson.")
@click.option("--grown-at-years", type=int, metavar="N", help="From which age somebody consents for themselves.")
@archive_options
def settings(*, archive: str | None, files: str | None, **given: int | None) -> None:
    """Show the settings of the archive, and change those that are given.

    None of the times is law: what may be kept for how long, and when somebody is grown up, the local rules say.
    """
    from putt_posture.archive import change_settings, find_doubts, open_archive, read_settings
    from putt_posture.cli.table import new_table, open_console, show_bullet

    changes = {name: value for name, value in given.items() if value is not None}
    with open_archive(archive, files=files, make=False) as opened:
        now = change_settings(opened, **changes) if changes else read_settings(opened)
        place = opened.place.title
        doubts = list(find_doubts(opened, today=date.today())) if "grown_at_years" in changes else []
    console = open_console(sys.stdout)
    console.print(f"The archive {place}", soft_wrap=True)
    table = new_table()
    table.add_column("Setting")
    table.add_column("", justify="right")
    table.add_column("What it is")
    for name, title in _TITLES.items():
        table.add_row(name.replace("_", "-"), str(getattr(now, name)), title)
    console.print(table)
    for number, name, says in doubts:
        show_bullet(f"Student {number}, {name}: {says}", console=console)
    console.print("What may be kept for how long, and when somebody is grown up, the local rules say.")
