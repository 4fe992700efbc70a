"""``putt-posture lesson``: the lesson page in the browser of this computer."""

from __future__ import annotations

from pathlib import Path

import click

from putt_posture.cli.command import command
from putt_posture.cli.shared_options import archive_options

__all__ = ["lesson"]


@command(short_help="Give a lesson on a page in the browser.")
@click.option("--port", type=click.IntRange(0, 65535), default=0, help="Port of this computer. Default: a free one.")
@click.option("--no-open", is_flag=True, help="Do not open the browser; print the address.")
@click.option(
    "--drafts", type=click.Path(path_type=Path), metavar="DIR", help="Where lessons are kept until they are filed."
)
@archive_options
def lesson(*, port: int, no_open: bool, drafts: Path | None, archive: str | None, files: str | None) -> None:
    """Give a lesson on a page in the browser of this computer: film, look, put right, compare, keep.

    The page is served by this computer, to this computer alone. Stop it with Ctrl+C.
    """
    from putt_posture.server.run import serve

    serve(archive=archive, files=files, drafts=drafts, port=port, opens=not no_open, tell=click.echo)
