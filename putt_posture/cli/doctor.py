"""``putt-posture doctor``: whether everything is here that the program needs."""

import sys

import click

__all__ = ["doctor"]


@click.command(short_help="Check versions, codecs, pose models and fonts.")
def doctor() -> None:
    """Check this installation: versions, codecs, pose models with their digests, fonts.

    The exit code is 1 where something that the program needs is missing.
    """
    from rich import box
    from rich.table import Table

    from putt_posture.cli.table import open_console
    from putt_posture.doctor import read_installation

    findings = read_installation()
    console = open_console(sys.stdout)
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, collapse_padding=True)
    table.add_column("Part")
    table.add_column("", no_wrap=True)
    table.add_column("Found", overflow="fold")
    for finding in findings:
        state = "ok" if finding.works else "MISSING" if finding.needed else "absent"
        table.add_row(finding.part, state, finding.found)
    console.print(table)
    faults = [finding for finding in findings if not finding.works]
    for finding in faults:
        console.print(f"{finding.part}: {finding.remedy}")
    if any(finding.needed for finding in faults):
        raise click.ClickException("Something that the program needs is missing; the lines above say how to get it.")
    click.echo("All that the program needs is here.")
