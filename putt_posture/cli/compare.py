"""``putt-posture compare``: two lessons of one student, each a result folder or ``lesson:12`` of the archive."""

from __future__ import annotations

import sys
from contextlib import nullcontext
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from putt_posture.cli.command import command
from putt_posture.cli.opening import open_option, say_what_to_open
from putt_posture.cli.shared_options import (
    archive_options,
    hide_faces_option,
    json_option,
    out_option,
    paper_option,
    replace_option,
    units_option,
)
from putt_posture.cli.stopping import say_when_stopped
from putt_posture.cli.typed import read_place

if TYPE_CHECKING:
    from putt_posture.pages import Paper

__all__ = ["compare"]


@command(short_help="Compare two lessons: what changed?")
@click.argument("before", metavar="BEFORE")
@click.argument("after", metavar="AFTER")
@out_option(what="pages")
@replace_option(what="comparison")
@hide_faces_option(where="in the pictures")
@paper_option
@json_option
@open_option
@units_option
@archive_options
def compare(
    *,
    before: str,
    after: str,
    out: Path,
    replace: bool,
    hide_faces: bool,
    paper: Paper,
    as_json: bool,
    opens: bool,
    archive: str | None,
    files: str | None,
) -> None:
    """Compare two lessons of one student and show what changed by more than the noise.

    BEFORE and AFTER are folders that measure wrote, or lessons of the archive by number: lesson:12. The pages show the
    stills at the same scale with the ground level, the outlines over each other, and each measure with its change and
    its 95 % interval.
    """
    from putt_posture import services
    from putt_posture.archive import open_archive
    from putt_posture.cli.strokes import show_stroke_changes
    from putt_posture.cli.table import open_console, show_comparison, show_files
    from putt_posture.cli.terminal import show_progress

    places = read_place(before), read_place(after)
    in_archive = any(isinstance(each, int) for each in places)
    with (
        open_archive(archive, files=files, make=False) if in_archive else nullcontext() as opened,
        show_progress() as progress,
    ):
        comparison = services.compare(
            *places,
            out,
            today=date.today(),
            archive=opened,
            hide_faces=hide_faces,
            replace=replace,
            paper=paper,
            progress=progress,
        )
    with say_when_stopped(f"The comparison is complete: {out}"):
        console = open_console(sys.stderr if as_json else sys.stdout)
        show_comparison(comparison, console=console)
        show_stroke_changes(comparison.changes, console=console)
        show_files(out, console=console, first="comparison")
        say_what_to_open(out / "comparison.html", opens=opens, console=console)
        if as_json:
            click.echo((out / "comparison.json").read_text(encoding="utf-8"))
