"""``putt-posture steps``: several lessons of one student side by side, in order."""

from __future__ import annotations

from contextlib import nullcontext
from datetime import date
from pathlib import Path

import click

from putt_posture.cli.command import command
from putt_posture.cli.opening import open_option, say_what_to_open
from putt_posture.cli.shared_options import (
    archive_options,
    hide_faces_option,
    out_option,
    read_place,
    replace_option,
)
from putt_posture.cli.stopping import say_when_stopped

__all__ = ["steps"]


@command(short_help="Lay the steps of a rebuild side by side.")
@click.argument("lessons", metavar="LESSON LESSON...", nargs=-1, required=True)
@out_option(what="page")
@replace_option(what="page of steps")
@hide_faces_option(where="in the pictures")
@open_option
@archive_options
def steps(
    *,
    lessons: tuple[str, ...],
    out: Path,
    replace: bool,
    hide_faces: bool,
    opens: bool,
    archive: str | None,
    files: str | None,
) -> None:
    """Lay two to eight lessons of one student side by side, as the way from the first setup to the last.

    Each LESSON is a folder that measure wrote, or a lesson of the archive by number: lesson:12. Name what each shows
    when it is measured: measure --step "shoulders back". Setups of one clip are measured one after the other, each with
    its own --setup-at and --out.
    """
    import sys

    from putt_posture import services
    from putt_posture.archive import open_archive
    from putt_posture.cli.table import open_console, show_files, show_stages
    from putt_posture.cli.terminal import show_progress

    places = [read_place(each) for each in lessons]
    in_archive = any(isinstance(each, int) for each in places)
    with (
        open_archive(archive, files=files, make=False) if in_archive else nullcontext() as opened,
        show_progress() as progress,
    ):
        stages = services.lay_out_stages(
            places,
            out,
            today=date.today(),
            archive=opened,
            hide_faces=hide_faces,
            replace=replace,
            progress=progress,
        )
    with say_when_stopped(f"The page is complete: {out}"):
        console = open_console(sys.stdout)
        show_stages(stages, console=console)
        show_files(out, console=console, first="steps")
        say_what_to_open(out / "steps.html", opens=opens, console=console)
