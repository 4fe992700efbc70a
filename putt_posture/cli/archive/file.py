"""``putt-posture archive file``: a lesson filed, from a result folder or from clips that are measured first."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from putt_posture.cli.command import command
from putt_posture.cli.options import past_day_option
from putt_posture.cli.shared_options import (
    archive_options,
    clip_options,
    coach_file_option,
    filmed_options,
    interview_options,
    number_argument,
    paper_option,
    putter_options,
    units_option,
    view_options,
)
from putt_posture.cli.stopping import say_when_stopped
from putt_posture.cli.typed import gather_clips, read_view_options

if TYPE_CHECKING:
    from rich.console import Console

    from putt_posture.pages import Paper
    from putt_posture.services import Filed
    from putt_posture.values import Moment, WeakPutts

__all__ = ["MOMENT_NAMES", "file"]

MOMENT_NAMES: Final = ("before", "after", "check")
"""Those of `values`, whose import would bring numpy into the help."""


@command(short_help="File a lesson from clips or from a result folder.")
@number_argument()
@click.argument("folder", metavar="[RESULT_FOLDER]", required=False, type=click.Path(path_type=Path))
@clip_options
@click.option(
    "--moment",
    type=click.Choice(MOMENT_NAMES, case_sensitive=False),
    required=True,
    help="What was filmed: the setup as it was, the rebuilt setup, or a later check.",
)
@click.option(
    "--day",
    callback=past_day_option,
    metavar="DATE",
    help="Day of the lesson, year-month-day. Default: the day of the clips or of the report, or else today.",
)
@click.option("--place", default="", metavar="TEXT", help="Where the lesson was.")
@click.option("--coach", default="", metavar="NAME", help="Who gave the lesson.")
@interview_options
@click.option("--without-pictures", is_flag=True, help="Keep only the measures and landmarks.")
@click.option("--without-clips", is_flag=True, help="Keep stills and report, but not the clips.")
@paper_option
@putter_options(prefix="putter")
@coach_file_option
@filmed_options
@units_option
@view_options
@archive_options
def file(
    *,
    number: int,
    folder: Path | None,
    down_the_line: Path | None,
    face_on: Path | None,
    moment: Moment,
    day: date | None,
    without_pictures: bool,
    without_clips: bool,
    paper: Paper,
    putter_length: float | None,
    putter_lie: float | None,
    coach_file: Path | None,
    without_putter: bool,
    setup_only: bool,
    step: str | None,
    place: str,
    coach: str,
    misses: str,
    weak_putts: WeakPutts | None,
    putter_story: str,
    limits: str,
    notes: str,
    archive: str | None,
    files: str | None,
    **per_view: tuple[str, ...],
) -> None:
    """File a lesson of the student NUMBER.

    Give the RESULT_FOLDER that measure wrote, and it is filed; clips given with it are kept if they are the ones that
    were measured. Or give clips alone: they are measured first, with the height, the hand and the wrist height that the
    archive knows. The options from --putter-length on are for measuring, and are those of measure.

    What the student said is taken from RESULT_FOLDER where it is not typed here.
    """
    clips = gather_clips(down_the_line=down_the_line, face_on=face_on)
    measuring: dict[str, object] = {
        "--putter-length": putter_length,
        "--putter-lie": putter_lie,
        "--coach-file": coach_file,
        "--without-putter": without_putter or None,
        "--setup-only": setup_only or None,
        "--step": step,
    }
    measuring |= {f"--{name.replace('_', '-')}": texts or None for name, texts in per_view.items()}
    for option, value in measuring.items():
        if folder is not None and value is not None:
            raise click.UsageError(f"{option} is for measuring clips, and a result folder was given. Leave one out.")
    if folder is None and not clips:
        raise click.UsageError("Nothing was given to file. Give RESULT_FOLDER, or --down-the-line and --face-on clips.")
    given = read_view_options(
        per_view,
        clips=clips,
        coach_file=coach_file,
        without_putter=without_putter,
        setup_only=setup_only,
        step=step,
    )

    from putt_posture.archive import LessonNotes, open_archive
    from putt_posture.cli.lesson import show_lesson, show_understood
    from putt_posture.cli.table import open_console, show_bullet
    from putt_posture.cli.terminal import show_progress
    from putt_posture.services import Filing, file_folder, find_filing_day, measure_and_file
    from putt_posture.services.sentences import say_drifts

    today = date.today()
    console = open_console(sys.stdout)
    measured = None
    with open_archive(archive, files=files, make=False) as opened:
        dated = find_filing_day(clips, folder=folder, given=day, today=today)
        console.print(dated.says)
        filing = Filing(
            student=number,
            day=dated.day,
            moment=moment,
            notes=LessonNotes(
                place=place,
                coach=coach,
                misses=misses,
                weak_putts=weak_putts,
                putter_story=putter_story,
                limits=limits,
                notes=notes,
            ),
            clips=clips,
            keep_pictures=not without_pictures,
            keep_clips=not without_clips,
            paper=paper,
        )
        if folder is not None:
            filed = file_folder(opened, filing, folder, today=today)
        else:
            with show_progress() as progress:
                result, filed = measure_and_file(
                    opened,
                    filing,
                    today=today,
                    putter_length_cm=putter_length,
                    putter_lie_deg=putter_lie,
                    given=given,
                    progress=progress,
                    tell=lambda doubt: show_bullet(doubt, console=console),
                )
            measured = result.lesson
    with say_when_stopped(f"The lesson is filed as lesson {filed.lesson.number}."):
        if measured is not None:
            show_lesson(measured, console=console)
        else:
            show_understood(filed.notes, handed=filed.student.student.handed, console=console)
        _show_filed(filed, console=console)
        for each in (*filed.says, *say_drifts(filed.overview)):
            show_bullet(each, console=console)


def _show_filed(made: Filed, *, console: Console) -> None:
    from putt_posture.figures import count_of

    filed, student = made.lesson, made.student
    parts = ["measures", *(["stills and report"] if filed.has_pictures else [])]
    parts += [count_of(filed.clips, "clip")] if filed.clips else []
    console.print(f"\nFiled as lesson {filed.number} of student {student.number}, {student.name}")
    console.print(f"{filed.day}, {filed.moment}. Kept: {', '.join(parts)}")
    if made.seen_bytes:
        size = f"{made.seen_bytes / 1e6:.1f} MB"
        console.print(f"It can be measured again without its clips: landmarks and outlines take {size}.")
