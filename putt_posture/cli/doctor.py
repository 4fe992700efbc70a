"""``putt-posture doctor`` and ``filming``: whether everything that the program needs is installed, and how to film.

It prints with click alone, since anything else may be what is missing.
"""

import shutil
import sys
import textwrap
from itertools import chain
from pathlib import Path
from typing import Final

import click

from putt_posture.cli.command import command
from putt_posture.cli.terminal import stream_behind

__all__ = ["doctor", "filming"]

_PART: Final = 20
_STATE: Final = 9
"""Columns of the part and its state."""
WIDEST: Final = 88
"""Columns of text; longer lines are hard to read."""


@command(short_help="Check the installation, and clean up after stopped runs.")
@click.argument("folders", metavar="[DIR]...", nargs=-1, type=click.Path(path_type=Path, exists=True, file_okay=False))
def doctor(*, folders: tuple[Path, ...]) -> None:
    """Check this installation: versions, codecs, pose models with their digests, fonts.

    Then remove the unfinished files of stopped runs: in the archive, in this folder, in each DIR, and wherever the runs
    noted them. An older report that was being replaced is put back. The exit code is 1 if something that the program
    needs is missing.
    """
    from putt_posture.doctor import read_installation, read_stopped_work

    columns = shutil.get_terminal_size().columns
    faults = []
    for finding in chain(read_installation(), read_stopped_work(*folders)):
        state = "ok" if finding.works else "MISSING" if finding.needed else finding.lack
        start = f"{finding.part:<{_PART}}{state:<{_STATE}}"
        click.echo(textwrap.fill(finding.found, columns, initial_indent=start, subsequent_indent=" " * len(start)))
        if not finding.works:
            faults.append(finding)
    click.echo()
    for finding in faults:
        click.echo(f"{finding.part}: {finding.remedy}")
    if any(finding.needed for finding in faults):
        raise click.ClickException("Something that the program needs is missing; the lines above say how to get it.")
    click.echo("Everything that the program needs is installed.")


@command(short_help="Show how to film, on one page.")
@click.option(
    "--html", type=click.Path(path_type=Path), metavar="FILE", help="Write it as one HTML file with the drawing."
)
def filming(*, html: Path | None) -> None:
    """Show how to film: where the phone stands, how high, how far, and what the picture must hold."""
    from putt_posture.filming import DRAWING, load_page, store_page

    if html is not None:
        store_page(html)
        click.echo(f"Written to {html}")
        return

    from rich.console import Console
    from rich.markdown import Markdown

    console = Console(file=stream_behind(sys.stdout))
    console.print(Markdown(load_page()), width=min(console.width, WIDEST))
    click.echo(f"\nThe drawing: {DRAWING}")
