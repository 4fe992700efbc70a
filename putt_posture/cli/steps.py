"""``putt-posture steps``: several lessons of one student, or several times of one clip, side by side in order."""

from __future__ import annotations

import sys
from contextlib import nullcontext
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from putt_posture.cli.command import command
from putt_posture.cli.opening import open_option, say_what_to_open
from putt_posture.cli.options import past_day_option, read_lists_by_view, read_marked_step
from putt_posture.cli.shared_options import (
    archive_options,
    clip_options,
    coach_file_option,
    handed_option,
    hide_faces_option,
    out_option,
    paper_option,
    replace_option,
    sex_option,
    stature_option,
    units_option,
    without_putter_option,
)
from putt_posture.cli.stopping import say_when_stopped
from putt_posture.cli.typed import gather_clips, read_place

if TYPE_CHECKING:
    from putt_posture.pages import Paper
    from putt_posture.values import Handed, Sex, View

__all__ = ["steps"]


@command(short_help="Lay the steps of a rebuild side by side.")
@click.argument("lessons", metavar="[LESSON LESSON...]", nargs=-1)
@out_option(what="page")
@replace_option(what="page of steps")
@hide_faces_option(where="in the pictures")
@paper_option
@units_option
@open_option
@archive_options
@clip_options
@click.option(
    "--at",
    "marks",
    multiple=True,
    metavar='[VIEW:]"SECONDS STEP"',
    help='A time of the clips and the step that they show then: "4.2 shoulders back". Give two to eight.',
)
@click.option(
    "--day",
    callback=past_day_option,
    metavar="DATE",
    help="Day of the clips, year-month-day. Default: as they say, or else today.",
)
@without_putter_option
@stature_option(required=False)
@handed_option(required=False)
@click.option("--student", "name", metavar="NAME", help="Name for the page.")
@sex_option
@coach_file_option
def steps(
    *,
    lessons: tuple[str, ...],
    out: Path,
    replace: bool,
    hide_faces: bool,
    paper: Paper,
    opens: bool,
    archive: str | None,
    files: str | None,
    down_the_line: Path | None,
    face_on: Path | None,
    marks: tuple[str, ...],
    day: date | None,
    without_putter: bool,
    stature: float | None,
    handed: Handed | None,
    name: str | None,
    sex: Sex | None,
    coach_file: Path | None,
) -> None:
    """Lay two to eight setups of one student side by side, as the way from the first to the last.

    Each LESSON is a folder that measure wrote, or a lesson of the archive by number: lesson:12. Name what each shows
    when it is measured: measure --step "shoulders back".

    Or give clips of one lesson, and mark in them when each step is seen: --down-the-line CLIP --height 173cm --handed
    right --without-putter --at "2.1 putter down" --at "8.4 shoulders back". The options from --down-the-line on are for
    that.
    """
    clips = gather_clips(down_the_line=down_the_line, face_on=face_on)
    if bool(lessons) == bool(clips):
        raise click.UsageError("Give either lessons, or clips with --at. One of the two is needed.")
    if clips and (stature is None or handed is None or not marks):
        raise click.UsageError("Clips are measured here. Give --height, --handed and two or more --at.")
    for option, value in {"--at": marks, "--day": day, "--coach-file": coach_file}.items():
        if lessons and value:
            raise click.UsageError(f"{option} is for clips, and lessons were given. Leave one out.")

    from putt_posture import services
    from putt_posture.archive import open_archive
    from putt_posture.cli.table import open_console, show_files, show_stages
    from putt_posture.cli.terminal import show_progress
    from putt_posture.services.coach_files import open_coach_file
    from putt_posture.values import Student

    if clips:
        assert stature is not None
        assert handed is not None
        student = Student(stature_cm=stature, handed=handed, name=name, sex=sex)
        coach = None if coach_file is None else open_coach_file(coach_file)
        marked = _gather_marks(marks, views=tuple(clips))
        with show_progress() as progress:
            stages = services.lay_out_marked(
                student,
                clips,
                marked,
                out,
                today=date.today(),
                day=day,
                coach=coach,
                without_putter=without_putter,
                hide_faces=hide_faces,
                replace=replace,
                paper=paper,
                progress=progress,
            )
    else:
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
                paper=paper,
                progress=progress,
            )
    with say_when_stopped(f"The page is complete: {out}"):
        console = open_console(sys.stdout)
        show_stages(stages, console=console)
        show_files(out, console=console, first="steps")
        say_what_to_open(out / "steps.html", opens=opens, console=console)


def _gather_marks(marks: tuple[str, ...], *, views: tuple[View, ...]) -> dict[str, dict[View, list[float]]]:
    """Return the steps in the order in which they were typed, each with its times by view."""
    gathered: dict[str, dict[View, list[float]]] = {}
    for mark in marks:
        for view, found in read_lists_by_view([mark], read=read_marked_step, views=views, option="--at").items():
            for time_s, step in found:
                gathered.setdefault(step, {}).setdefault(view, []).append(time_s)
    return gathered
