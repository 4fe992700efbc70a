"""``putt-posture archive check``, ``upgrade`` and ``settings``: the upkeep of an archive."""

from __future__ import annotations

import sys
from datetime import date

import click

from putt_posture.cli.command import command
from putt_posture.cli.shared_options import archive_options, json_option
from putt_posture.cli.stopping import FAULT

__all__ = ["check", "settings", "upgrade"]


@command(short_help="Check that the archive is whole.")
@click.option("--quick", is_flag=True, help="Read every row, but only check that each file exists.")
@json_option
@archive_options
def check(*, quick: bool, as_json: bool, archive: str | None, files: str | None) -> None:
    """Check every row and every file of the archive, and name what is missing, altered, impossible or left over.

    Others can go on filing while it runs.

    It also removes what stopped runs left behind, here and where they were writing backups and exports, and names it.

    The exit code is 1 if anything was found.
    """
    from putt_posture.archive import check_archive, open_archive
    from putt_posture.archive.db.access import close_archive
    from putt_posture.cli.archive.words import print_json
    from putt_posture.cli.table import open_console, show_bullet
    from putt_posture.figures import count_of

    with open_archive(archive, files=files, make=False) as opened:
        open_to_others = opened.closed + (0 if opened.read_only else close_archive(opened.place))
        found = check_archive(opened, read_files=not quick)
        place = opened.place.title
        left = opened.left_over
    if as_json:
        words = [each.says for each in left]
        print_json({"archive": place, "findings": found, "left_over": words, "closed_to_others": open_to_others})
    else:
        console = open_console(sys.stdout)
        if open_to_others:
            what = "file or folder" if open_to_others == 1 else "files and folders"
            console.print(
                f"{open_to_others} {what} of the archive could be read by other users of this computer; now only by "
                "you."
            )
        for gone in left:
            show_bullet(f"left over: {gone.says}", console=console)
        for each in found:
            show_bullet(f"{each.kind}: {each.says}", console=console)
        if not found:
            read = ": every row" if quick else ": every row and every file"
            read += " is what it was when it was filed"
            console.print(f"The archive {place} is whole{read}.", soft_wrap=True)
    if found:
        should = "is not as it should" if len(found) == 1 else "are not as they should"
        click.echo(
            f"putt-posture: {count_of(len(found), 'thing')} in the archive {should} be. "
            "Bring back what is lost from a backup.",
            err=True,
        )
        raise click.exceptions.Exit(FAULT)


@command(short_help="Bring an archive of an older version forward.")
@archive_options
def upgrade(*, archive: str | None, files: str | None) -> None:
    """Bring an archive of an older version forward to this one, all of it or nothing.

    Make a backup first: older versions of the program cannot read the archive afterwards.
    """
    from putt_posture.archive import upgrade_archive

    before, after = upgrade_archive(archive, files=files)
    if before == after:
        click.echo(f"Nothing to do: the archive has schema {after}, the one of this version.")
    else:
        click.echo(f"Brought forward from schema {before} to {after}.")


@command(short_help="Show or change when students are due, what is kept how long.")
@click.option("--revisit-weeks", type=int, metavar="N", help="After how many weeks a student is due again.")
@click.option("--keep-pictures-months", type=int, metavar="N", help="How long clips, stills and outlines are kept.")
@click.option("--keep-students-months", type=int, metavar="N", help="How long a student is kept after the last lesson.")
@click.option("--grown-at-years", type=int, metavar="N", help="From which age students consent for themselves.")
@archive_options
def settings(*, archive: str | None, files: str | None, **given: int | None) -> None:
    """Show the settings of the archive, and change those that are given.

    None of these times is a law. Local rules say what may be kept for how long, and when someone is grown up.
    """
    from putt_posture.archive import change_settings, find_doubts, open_archive, read_settings
    from putt_posture.cli.table import new_table, open_console, show_bullet
    from putt_posture.services.sentences import NO_LAW, SETTING_TITLES

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
    for name, title in SETTING_TITLES.items():
        table.add_row(name.replace("_", "-"), str(getattr(now, name)), title)
    console.print(table)
    for number, name, says in doubts:
        show_bullet(f"Student {number}, {name}: {says}", console=console)
    console.print(NO_LAW)
