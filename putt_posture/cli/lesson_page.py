"""``putt-posture lesson``: the lesson page in the browser of this computer."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from putt_posture.cli.command import command
from putt_posture.cli.opening import has_screen
from putt_posture.cli.shared_options import (
    archive_options,
    coach_file_option,
    hide_faces_option,
    paper_option,
    units_option,
)
from putt_posture.cli.stopping import shows_tracebacks

if TYPE_CHECKING:
    from putt_posture.pages import Paper

__all__ = ["lesson"]


@command(short_help="Give a lesson on a page in the browser.")
@click.option(
    "--local-network", is_flag=True, help="Let phones in the local network film, by a QR code that the page shows."
)
@click.option(
    "--tls-cert",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Certificate for phones (PEM), so that their browsers give the page their camera for live numbers.",
)
@click.option("--tls-key", type=click.Path(path_type=Path), metavar="FILE", help="The certificate's key (PEM).")
@click.option("--no-open", is_flag=True, help="Do not open the browser; print the address.")
@click.option(
    "--port",
    type=click.IntRange(0, 65535),
    help="Port of this computer; 0 takes a free one. Default: the one of the last time, or a free one.",
)
@click.option(
    "--drafts", type=click.Path(path_type=Path), metavar="DIR", help="Where lessons are kept until they are filed."
)
@click.option(
    "--keep-drafts",
    "days_kept",
    type=click.IntRange(1, 3650),
    default=30,
    show_default=True,
    metavar="DAYS",
    help="Erase a lesson that was not filed and not changed for so many days.",
)
@click.option(
    "--language",
    type=click.Choice(["en", "de"], case_sensitive=False),
    default="en",
    show_default=True,
    help="Language of the page.",
)
@hide_faces_option(where="in the lessons that are measured")
@paper_option
@units_option
@coach_file_option
@archive_options
def lesson(
    *,
    local_network: bool,
    tls_cert: Path | None,
    tls_key: Path | None,
    no_open: bool,
    port: int | None,
    drafts: Path | None,
    days_kept: int,
    language: str,
    hide_faces: bool,
    paper: Paper,
    coach_file: Path | None,
    archive: str | None,
    files: str | None,
) -> None:
    """Give a lesson on a page in the browser of this computer: film, look, put right, compare, keep.

    The page is served by this computer, to this computer alone, or to phones in the local network too. Stop it with
    Ctrl+C.
    """
    from putt_posture.server.certificate import read_certificate
    from putt_posture.server.run import serve

    serve(
        archive=archive,
        files=files,
        drafts=drafts,
        port=port,
        opens=not no_open and has_screen(),
        local_network=local_network,
        certificate=read_certificate(tls_cert, tls_key),
        coach_file=coach_file,
        language=language,
        hide_faces=hide_faces,
        paper=paper,
        days_kept=days_kept,
        shows_tracebacks=shows_tracebacks(),
        tell=click.echo,
    )
