"""``putt-posture archive find``: students by the beginnings of their names."""

from __future__ import annotations

import sys

import click

from putt_posture.cli.shared_options import archive_options, json_option

__all__ = ["find"]


@click.command(short_help="Find students by name.")
@click.argument("text", nargs=-1, required=True)
@click.option("--most", type=click.IntRange(min=1, max=1000), default=50, help="How many to show at most; 50.")
@json_option
@archive_options
def find(*, text: tuple[str, ...], most: int, as_json: bool, archive: str | None, files: str | None) -> None:
    """Find students by the beginnings of words of their names, in any order.

    Case and accents do not matter: "par putt" finds Parker Puttwell.
    """
    from putt_posture.archive import find_students, open_archive
    from putt_posture.cli.archive.as_json import print_json
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
        console.print(f"Nobody was found whose name has words beginning with {wanted!r}.")
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
