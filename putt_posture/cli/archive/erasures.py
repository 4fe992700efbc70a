"""``putt-posture archive erasures``: the record of what was erased."""

from __future__ import annotations

import sys

import click

from putt_posture.cli.shared_options import archive_options, json_option

__all__ = ["erasures"]


@click.command(short_help="Show the record of erasures.")
@json_option
@archive_options
def erasures(*, as_json: bool, archive: str | None, files: str | None) -> None:
    """Show that students were erased, when and why. Who they were is not kept."""
    from putt_posture.archive import load_erasures, open_archive
    from putt_posture.cli.archive.as_json import print_json
    from putt_posture.cli.table import new_table, open_console

    with open_archive(archive, files=files, make=False) as opened:
        found = load_erasures(opened)
    if as_json:
        names = ("day", "lessons", "files", "reason")
        print_json({"erasures": [dict(zip(names, each, strict=True)) for each in found]})
        return
    console = open_console(sys.stdout)
    if not found:
        console.print("No student was ever erased here.")
        return
    table = new_table()
    for title in ("Day", "Lessons", "Files", "Reason"):
        table.add_column(title, justify="right" if title in ("Lessons", "Files") else "left", no_wrap=title != "Reason")
    for day, lessons, gone, reason in found:
        table.add_row(str(day), str(lessons), str(gone), reason)
    console.print(table)
