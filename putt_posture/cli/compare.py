"""``putt-posture compare``: two lessons of one student, each a result folder or ``lesson:12`` of the archive."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from putt_posture.cli.command import command
from putt_posture.cli.opening import open_option, say_what_to_open
from putt_posture.cli.shared_options import (
    NUMBER,
    archive_options,
    hide_faces_option,
    json_option,
    out_option,
    replace_option,
)
from putt_posture.cli.stopping import say_when_stopped
from putt_posture.errors import UsageError

if TYPE_CHECKING:
    from putt_posture.records import KeptLesson

__all__ = ["compare", "open_lessons"]

_PREFIX: Final = "lesson:"


@contextmanager
def open_lessons(
    texts: Sequence[str], *, out: Path, today: date, archive: str | None = None, files: str | None = None
) -> Iterator[list[KeptLesson]]:
    """Yield the lessons that texts name, in their order; the archive is opened only where one of them is in it.

    Parameters
    ----------
    texts : sequence of str
        Each the folder of a report, or ``lesson:12``.
    out : Path
        What will be written about them; it may not lie in the archive.
    today : date
        What is allowed on this day is opened of a lesson of the archive.
    archive, files : str, optional
        Where the archive is, as typed.

    Raises
    ------
    UsageError
        If there is no such folder, it cannot be read, the lessons are of two students of the archive, or `out` lies in
        the archive.
    NotInArchive
    NotAllowed
        If a lesson of the archive may not be shown today.
    ArchiveError
        If the archive cannot be used.
    """
    from putt_posture.records import read_result_folder

    numbers = [_read_number(text) for text in texts]
    if not any(numbers):
        yield [read_result_folder(text) for text in texts]
        return

    from putt_posture.archive import check_outside, load_lesson, open_archive, open_lesson

    with open_archive(archive, files=files, make=False) as opened:
        check_outside(opened, out)
        students = {load_lesson(opened, number).student: number for number in numbers if number is not None}
        if len(students) > 1:
            says = " and ".join(f"lesson {number} is of student {student}" for student, number in students.items())
            raise UsageError(f"The lessons are of different students: {says}. Give lessons of one.")
        yield [
            read_result_folder(text) if number is None else open_lesson(opened, number, today=today)
            for text, number in zip(texts, numbers, strict=True)
        ]


@command(short_help="Set two lessons side by side: what changed?")
@click.argument("before", metavar="BEFORE")
@click.argument("after", metavar="AFTER")
@out_option(what="pages")
@replace_option(what="comparison")
@hide_faces_option(where="in the pictures")
@json_option
@open_option
@archive_options
def compare(
    *,
    before: str,
    after: str,
    out: Path,
    replace: bool,
    hide_faces: bool,
    as_json: bool,
    opens: bool,
    archive: str | None,
    files: str | None,
) -> None:
    """Set two lessons of one student side by side and tell what changed from what did not.

    BEFORE and AFTER are folders that measure wrote, or lessons of the archive by number: lesson:12. The stills come at
    the same scale with the ground level, the outlines over each other, and each measure with its change, its 95 %
    interval and whether it is more than the noise.
    """
    from putt_posture.cli.table import open_console, show_comparison, show_files
    from putt_posture.cli.terminal import show_progress
    from putt_posture.comparison import find_comparison
    from putt_posture.disk.folders import check_folder
    from putt_posture.pages import store_comparison
    from putt_posture.records import hide_faces_in

    today = date.today()
    with open_lessons((before, after), out=out, today=today, archive=archive, files=files) as lessons:
        check_folder(out, replace=replace, keep=[path for each in lessons for path in each.files])
        with show_progress() as progress:
            comparison = find_comparison(*(map(hide_faces_in, lessons) if hide_faces else lessons))
            store_comparison(comparison, out, replace=replace, made_on=today, progress=progress)
    with say_when_stopped(f"The comparison is whole: {out}"):
        console = open_console(sys.stderr if as_json else sys.stdout)
        show_comparison(comparison, console=console)
        show_files(out, console=console, first="comparison")
        say_what_to_open(out / "comparison.html", opens=opens, console=console)
        if as_json:
            click.echo((out / "comparison.json").read_text(encoding="utf-8"))


def _read_number(text: str) -> int | None:
    """Return the number of a lesson of the archive, None for a folder. Raises UsageError."""
    if not text.startswith(_PREFIX):
        return None
    number = text.removeprefix(_PREFIX)
    if re.fullmatch(r"\d{1,10}", number, re.ASCII) and 1 <= int(number) <= (NUMBER.max or 0):
        return int(number)
    raise UsageError(
        f"{text!r} names no lesson of the archive. Write its number, as archive show has it: {_PREFIX}12; "
        f"or ./{text} for a folder of that name."
    )
