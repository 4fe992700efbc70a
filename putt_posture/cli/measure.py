"""``putt-posture measure``: from the clips of one student to a folder with the report."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from putt_posture.cli.command import command
from putt_posture.cli.opening import open_option, say_what_to_open
from putt_posture.cli.options import past_day_option
from putt_posture.cli.shared_options import (
    clip_options,
    coach_file_option,
    filmed_options,
    handed_option,
    hide_faces_option,
    interview_options,
    json_option,
    out_option,
    paper_option,
    putter_options,
    replace_option,
    sex_option,
    stature_option,
    units_option,
    view_options,
    wrist_floor_option,
)
from putt_posture.cli.stopping import say_when_stopped
from putt_posture.cli.typed import gather_clips, read_view_options

if TYPE_CHECKING:
    from putt_posture.pages import Paper
    from putt_posture.values import Handed, Sex, WeakPutts

__all__ = ["measure"]


@command(short_help="Measure one student and write the report.", needs_one_of=("--down-the-line", "--face-on"))
@clip_options
@stature_option()
@handed_option()
@out_option()
@replace_option()
@hide_faces_option(where="in the stills and the report")
@paper_option
@json_option
@open_option
@units_option
@click.option(
    "--day",
    callback=past_day_option,
    metavar="DATE",
    help="Day of the lesson, year-month-day. Default: the day of the clips, or else today.",
)
@click.option("--student", "name", metavar="NAME", help="Name for the report.")
@sex_option
@putter_options(prefix="putter")
@wrist_floor_option
@interview_options
@coach_file_option
@filmed_options
@view_options
def measure(
    *,
    down_the_line: Path | None,
    face_on: Path | None,
    stature: float,
    handed: Handed,
    out: Path,
    replace: bool,
    hide_faces: bool,
    paper: Paper,
    as_json: bool,
    opens: bool,
    day: date | None,
    name: str | None,
    sex: Sex | None,
    putter_length: float | None,
    putter_lie: float | None,
    wrist_floor: float | None,
    misses: str,
    weak_putts: WeakPutts | None,
    putter_story: str,
    limits: str,
    notes: str,
    coach_file: Path | None,
    without_putter: bool,
    setup_only: bool,
    step: str | None,
    **per_view: tuple[str, ...],
) -> None:
    """Measure one student and write the report, the stills and the tables to a new folder.

    VIEW is down-the-line or face-on. Write it before a value that is for that clip only: --setup-at face-on:4.2.
    Without it the value is for both clips. Places are pixels of the upright picture, from its top left. Write lengths
    with their unit.
    """
    clips = gather_clips(down_the_line=down_the_line, face_on=face_on)
    if not clips:
        raise click.UsageError("No clip was given. Give --down-the-line CLIP, --face-on CLIP, or both.")
    given = read_view_options(
        per_view,
        clips=clips,
        coach_file=coach_file,
        without_putter=without_putter,
        setup_only=setup_only,
        step=step,
    )

    from putt_posture.cli.lesson import show_lesson
    from putt_posture.cli.table import open_console, show_files
    from putt_posture.cli.terminal import show_progress
    from putt_posture.clips.days import find_lesson_day
    from putt_posture.services import LessonJob
    from putt_posture.values import Interview, Student

    student = Student(
        stature_cm=stature,
        handed=handed,
        name=name,
        sex=sex,
        wrist_floor_cm=wrist_floor,
        putter_length_cm=putter_length,
        putter_lie_deg=putter_lie,
    )
    given["interview"] = Interview(
        misses=misses, weak_putts=weak_putts, putter_story=putter_story, limits=limits, notes=notes
    )
    dated = find_lesson_day(clips.values(), today=date.today(), given=day)
    job = LessonJob(
        student=student,
        clips=clips,
        given=given,
        out=out,
        replace=replace,
        hide_faces=hide_faces,
        paper=paper,
        made_on=dated.day,
    )
    job.check()
    with show_progress() as progress:
        lesson = job.run(progress=progress).measured()
    with say_when_stopped(f"The report is complete: {out}"):
        console = open_console(sys.stderr if as_json else sys.stdout)
        show_lesson(lesson, console=console)
        console.print(f"\n{dated.says}")
        show_files(out, console=console)
        say_what_to_open(out / "report.html", opens=opens, console=console)
        if as_json:
            click.echo((out / "measures.json").read_text(encoding="utf-8"))
