"""``putt-posture coach-file``: the coach's bands, order, words and drills, to be changed and checked."""

from __future__ import annotations

from pathlib import Path

import click

from putt_posture.cli.command import command

__all__ = ["coach_file"]


@command("coach-file", short_help="Print the bands, words and drills that a coach can change, or check a file of them.")
@click.argument("file", required=False, type=click.Path(path_type=Path), metavar="[FILE]")
def coach_file(*, file: Path | None) -> None:
    """Print the shipped bands, order of faults, words and drills as TOML, or check FILE.

    Keep what you want to change in a file of your own; leave out the rest. Then give it to measure with --coach-file.
    Lengths in it are always in centimetres.
    """
    from putt_posture.figures import count_of
    from putt_posture.findings import list_differences, read_shipped_text
    from putt_posture.services.coach_files import open_coach_file

    if file is None:
        click.echo(read_shipped_text(), nl=False)
        return
    differences = list_differences(open_coach_file(file))
    click.echo(f"{file} can be used. It changes {count_of(len(differences), 'value')}{':' if differences else '.'}")
    for line in differences:
        click.echo(f"  {line}")
