"""``putt-posture archive check``: whether the archive is whole."""

from __future__ import annotations

import sys

import click

from putt_posture.cli.exit_codes import FAULT
from putt_posture.cli.shared_options import archive_options, json_option

__all__ = ["check"]


@click.command(short_help="Check that the archive is whole.")
@click.option("--quick", is_flag=True, help="Read every row, and see that each file is there without reading it.")
@json_option
@archive_options
def check(*, quick: bool, as_json: bool, archive: str | None, files: str | None) -> None:
    """Check every row and every file of the archive, and name whatever is missing, altered, impossible or left over.

    Others may go on filing meanwhile.

    What stopped runs had left is taken away, here and where they were writing backups and exports, and named too.

    The exit code is 1 where anything was found.
    """
    from putt_posture.archive import check_archive, open_archive
    from putt_posture.archive.access import close_archive
    from putt_posture.cli.archive.as_json import print_json
    from putt_posture.cli.table import open_console, show_bullet
    from putt_posture.report.days import count_of

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
