"""``putt-posture filming``: the page on how to film."""

import sys
from pathlib import Path
from typing import Final

import click

from putt_posture.cli.terminal import stream_behind

__all__ = ["filming"]

WIDEST: Final = 88
"""Columns of text; longer lines are hard to read."""


@click.command(short_help="Show how to film, on one page.")
@click.option(
    "--html", type=click.Path(path_type=Path), metavar="FILE", help="Write it as one HTML file, drawing and all."
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
