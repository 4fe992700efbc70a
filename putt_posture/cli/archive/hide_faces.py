"""``putt-posture archive hide-faces``: kept pictures made again with every head hidden."""

from __future__ import annotations

import sys
from datetime import date
from typing import Final

import click

from putt_posture.cli.archive.erase import confirm, yes_option
from putt_posture.cli.command import command
from putt_posture.cli.shared_options import NUMBER, archive_options
from putt_posture.cli.stopping import say_when_stopped

__all__ = ["hide_faces"]

_WHEN_STOPPED: Final = "The lessons that were finished stay so, the others are unchanged; run it again for these."


@command("hide-faces", short_help="Hide the heads in kept pictures, where faces may not be shown.")
@click.argument("number", metavar="[NUMBER]", required=False, type=NUMBER)
@yes_option
@archive_options
def hide_faces(*, number: int | None, yes: bool, archive: str | None, files: str | None) -> None:
    """Make the kept pictures of the student NUMBER, or of all students, again with every head hidden, for good.

    It is for lessons whose pictures may be kept but whose faces may not be shown. What cannot be made again is erased:
    clips, report.pdf, and pictures in which the head cannot be found. The measures stay.
    """
    from putt_posture.archive import load_student, open_archive
    from putt_posture.cli.archive.retention import show_pictures
    from putt_posture.cli.table import open_console, show_bullet
    from putt_posture.cli.terminal import show_progress
    from putt_posture.figures import count_of
    from putt_posture.services import find_faces_to_hide, hide_kept_faces
    from putt_posture.services.sentences import IN_BACKUPS

    today = date.today()
    console = open_console(sys.stdout)
    with open_archive(archive, files=files, make=False) as opened:
        if number is not None:
            console.print(f"Student {number}: {load_student(opened, number).name}")
        lessons = find_faces_to_hide(opened, today=today, student=number)
        if not lessons:
            console.print("No kept picture shows a face without consent.")
            return
        show_pictures(lessons, title="Lessons whose heads are to be hidden", console=console)
        confirm("Hide them for good, and erase the clips and PDFs of these lessons?", yes=yes)
        with say_when_stopped(_WHEN_STOPPED), show_progress() as progress:
            done = hide_kept_faces(opened, lessons, today=today, progress=progress)
    made = f"{count_of(done.made_again, 'file')} of {count_of(done.lessons, 'lesson')}"
    console.print(
        f"\nHeads are hidden in {made}. Erased: {count_of(done.erased, 'file')} in which they cannot be hidden."
    )
    for each in done.left:
        show_bullet(each, console=console)
    console.print(IN_BACKUPS)
