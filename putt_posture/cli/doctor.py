"""``putt-posture doctor``: whether everything is here that the program needs.

It prints with click alone, since anything else may be what is missing.
"""

import shutil
import textwrap
from typing import Final

import click

__all__ = ["doctor"]

_PART: Final = 20
_STATE: Final = 9
"""Columns of the part and its state."""


@click.command(short_help="Check versions, codecs, pose models and fonts.")
def doctor() -> None:
    """Check this installation: versions, codecs, pose models with their digests, fonts.

    The exit code is 1 where something that the program needs is missing.
    """
    from putt_posture.doctor import read_installation

    columns = shutil.get_terminal_size().columns
    faults = []
    for finding in read_installation():
        state = "ok" if finding.works else "MISSING" if finding.needed else "absent"
        start = f"{finding.part:<{_PART}}{state:<{_STATE}}"
        click.echo(textwrap.fill(finding.found, columns, initial_indent=start, subsequent_indent=" " * len(start)))
        if not finding.works:
            faults.append(finding)
    click.echo()
    for finding in faults:
        click.echo(f"{finding.part}: {finding.remedy}")
    if any(finding.needed for finding in faults):
        raise click.ClickException("Something that the program needs is missing; the lines above say how to get it.")
    click.echo("All that the program needs is here.")
