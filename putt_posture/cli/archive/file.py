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
    gather_clips,
    number_argument,
    putter_options,
    read_view_options,
    settings_option,
    view_options,
)
from putt_posture.cli.stopping import say_when_stopped

if TYPE_CHECKING:
    from rich.console import Console

    from putt_posture.archive import EnrolledStudent, FiledLesson
    from putt_posture.records import KeptLesson
    from putt_posture.values import Moment

__all__ = ["MOMENT_NAMES", "file"]

MOMENT_NAMES: Final = ("before", "after", "check")
"""Those of `values`, whose import would bring numpy into the help."""
_TOLD_CM: Final = 1.0
"""Heights that differ by less are not spoken of."""


@command(short_help="File a lesson from clips or from a result folder.")
@number_argument()
@click.argument("folder", metavar="[RESULT_FOLDER]", required=False, type=click.Path(path_type=Path))
@clip_options
@click.option(
    "--moment",
    type=click.Choice(MOMENT_NAMES, case_sensitive=False),
    required=True,
    help="What was filmed: the setup as it was, as it was rebuilt, or a later look at whether it held.",
)
@click.option("--day", callback=past_day_option, metavar="DATE", help="Day of the lesson; without it today.")
@click.option("--place", default="", metavar="TEXT", help="Where it was.")
@click.option("--coach", default="", metavar="NAME", help="Who gave it.")
@click.option("--misses", default="", metavar="TEXT", help="Which putts are missed, and which way.")
@click.option("--putter-story", default="", metavar="TEXT", help="How the putter came to be chosen.")
@click.option(
    "--limits", default="", metavar="TEXT", help="Pain, and what the body does not allow, as the student says."
)
@click.option("--notes", default="", metavar="TEXT", help="Anything else to remember.")
@click.option("--without-pictures", is_flag=True, help="Keep the measures and landmarks alone.")
@click.option("--without-clips", is_flag=True, help="Keep stills and report, and not the clips that were measured.")
@putter_options(prefix="putter")
@settings_option
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
    putter_length: float | None,
    putter_lie: float | None,
    settings: Path | None,
    place: str,
    coach: str,
    misses: str,
    putter_story: str,
    limits: str,
    notes: str,
    archive: str | None,
    files: str | None,
    **per_view: tuple[str, ...],
) -> None:
    """File a lesson of the student NUMBER.

    With RESULT_FOLDER, which measure wrote, that is filed; clips given beside it are kept with it if they are the ones
    that were measured. Without it the clips are measured first, with the height, the hand and the wrist height that the
    archive knows; the options from --putter-length on are for that, and are those of measure.
    """
    clips = gather_clips(down_the_line=down_the_line, face_on=face_on)
    measuring: dict[str, object] = {
        "--putter-length": putter_length,
        "--putter-lie": putter_lie,
        "--settings": settings,
    }
    measuring |= {f"--{name.replace('_', '-')}": texts or None for name, texts in per_view.items()}
    for option, value in measuring.items():
        if folder is not None and value is not None:
            raise click.UsageError(f"{option} is for measuring clips, and a result folder was given. Leave one out.")
    if folder is None and not clips:
        raise click.UsageError("Nothing was given to file. Give RESULT_FOLDER, or --down-the-line and --face-on clips.")
    given = read_view_options(per_view, clips=clips, settings=settings)

    from attrs import evolve

    from putt_posture.archive import (
        Told,
        ask_about_putter,
        check_filing,
        file_lesson,
        load_lesson,
        load_standing,
        load_student,
        open_archive,
    )
    from putt_posture.cli.archive.words import say_drifts
    from putt_posture.cli.job import measure_into_memory
    from putt_posture.cli.table import open_console, show_bullet, show_lesson
    from putt_posture.records import read_result_files, read_result_folder

    today = date.today()
    day = day or today
    told = Told(place=place, coach=coach, notes=notes, misses=misses, putter_story=putter_story, limits=limits)
    kept_clips = {} if without_clips or without_pictures else clips
    console = open_console(sys.stdout)
    with open_archive(archive, files=files, make=False) as opened:
        student = load_student(opened, number)
        allowed = check_filing(opened, number, day=day, today=today, pictures=not without_pictures)
        measured = None
        if folder is not None:
            lesson = read_result_folder(folder)
        else:
            if doubt := ask_about_putter(opened, number, length_cm=putter_length, day=day, today=today):
                show_bullet(doubt, console=console)
            known = evolve(student.student, putter_length_cm=putter_length, putter_lie_deg=putter_lie)
            hide = "faces" not in allowed
            measured, made = measure_into_memory(clips, student=known, given=given, hide=hide)
            lesson = read_result_files(made, title="the lesson")
            kept_clips = {} if hide else kept_clips
        filed = file_lesson(
            opened,
            number,
            lesson,
            day=day,
            moment=moment,
            today=today,
            told=told,
            clips=kept_clips,
            pictures=not without_pictures,
        )
        with say_when_stopped(f"The lesson is filed as lesson {filed}."):
            if measured is not None:
                show_lesson(measured, console=console)
            _show_filed(load_lesson(opened, filed), student, console=console)
            notes_to_coach = _find_differences(student, lesson)
            if clips and not kept_clips and not (without_clips or without_pictures):
                notes_to_coach.append("The clips are not kept, as there is no consent for showing the face in them.")
            typed = lesson.record.student.putter_length_cm
            doubt = ask_about_putter(opened, number, length_cm=typed, day=day, today=today, lesson=filed)
            notes_to_coach += [doubt] if doubt else []
            notes_to_coach += say_drifts(load_standing(opened, number, today=today))
            for each in notes_to_coach:
                show_bullet(each, console=console)


def _show_filed(filed: FiledLesson, student: EnrolledStudent, *, console: Console) -> None:
    from putt_posture.figures import count_of

    parts = ["measures", *(["stills and report"] if filed.has_pictures else [])]
    parts += [count_of(filed.clips, "clip")] if filed.clips else []
    console.print(f"\nFiled as lesson {filed.number} of student {student.number}, {student.name}")
    console.print(f"{filed.day}, {filed.moment}. Kept: {', '.join(parts)}")


def _find_differences(student: EnrolledStudent, lesson: KeptLesson) -> list[str]:
    """Say where the lesson does not seem to be the student's."""
    from putt_posture.figures import format_given

    said, found = lesson.record.student, []
    if said.name and said.name.casefold() != student.name.casefold():
        found.append(
            f"The report is named {said.name}. If it is not of {student.name}, take the lesson back with "
            "archive erase-lesson."
        )
    if abs(said.stature_cm - student.student.stature_cm) >= _TOLD_CM:
        found.append(
            f"It was measured with a height of {format_given(said.stature_cm, 'cm')}, and the archive has "
            f"{format_given(student.student.stature_cm, 'cm')}. Lengths depend on it."
        )
    return found
