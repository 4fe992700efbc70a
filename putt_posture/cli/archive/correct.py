"""``putt-posture archive correct`` and ``measure-again``: a filed lesson corrected by hand, and measured again."""

from __future__ import annotations

import sys
from datetime import date
from typing import TYPE_CHECKING, Final

import click

from putt_posture.cli.command import command
from putt_posture.cli.options import VIEW_NAMES, point_option
from putt_posture.cli.shared_options import (
    NUMBER,
    archive_options,
    event_at_option,
    number_argument,
    paper_option,
    units_option,
)
from putt_posture.cli.typed import read_corrections

if TYPE_CHECKING:
    from collections.abc import Callable

    from rich.console import Console

    from putt_posture.archive import Archive, FiledLandmarks
    from putt_posture.pages import Paper
    from putt_posture.services import MeasuredAgain
    from putt_posture.values import Point

__all__ = ["correct", "measure_again"]

_VIEWS: Final = {name: view for view, name in VIEW_NAMES.items()}


@command(short_help="Correct a lesson by hand and measure it again, or show its corrections.")
@number_argument("lesson")
@click.option("--view", type=click.Choice(list(_VIEWS), case_sensitive=False), help="In which clip.")
@click.option("--frame", type=click.IntRange(0, 2**31 - 1), metavar="N", help="Which of the kept frames, from 0.")
@click.option("--landmark", metavar="NAME", help="Which point of the body: left_hip.")
@click.option(
    "--at",
    callback=point_option,
    metavar="U,V",
    help="Where it is, in pixels of the upright picture from its top left.",
)
@click.option("--by", metavar="NAME", help="Who corrected it.")
@click.option("--remove", type=NUMBER, metavar="CORRECTION", help="Remove this correction.")
@click.option("--shaft-at", multiple=True, metavar='[VIEW:]"X,Y X,Y"', help="Top of the grip, then sole of the putter.")
@click.option("--ball-at", multiple=True, metavar="[VIEW:]X,Y", help="Centre of the ball.")
@click.option(
    "--ground-at",
    multiple=True,
    metavar="[VIEW:]X,Y",
    help="A point of the ground beside the feet, as far from the camera as they are.",
)
@click.option(
    "--back-at",
    multiple=True,
    metavar="[VIEW:]X,Y",
    help="A point on the outline of the back, from pelvis to neck; four or more replace what was found.",
)
@click.option(
    "--target-at",
    multiple=True,
    metavar='[VIEW:]"X,Y X,Y"',
    help="Two points of the ground on the target line, such as ball and hole, or on a line parallel to it.",
)
@click.option(
    "--scale-object",
    multiple=True,
    metavar='[VIEW:]"LENGTH at X,Y X,Y"',
    help="A known length in the student's plane and its two ends in the picture.",
)
@click.option(
    "--camera-roll", multiple=True, metavar="[VIEW:]DEG", help="How far the picture is turned clockwise, in degrees."
)
@click.option(
    "--setup-at",
    multiple=True,
    metavar="[VIEW:]SECONDS",
    help="Of the setups that were found, measure only the one at this time. May be given more than once.",
)
@event_at_option
@paper_option
@units_option
@archive_options
def correct(
    *,
    lesson: int,
    view: str | None,
    frame: int | None,
    landmark: str | None,
    at: Point | None,
    by: str | None,
    remove: int | None,
    paper: Paper,
    archive: str | None,
    files: str | None,
    **per_view: tuple[str, ...],
) -> None:
    """Correct the lesson LESSON by hand, measure it again, and show its corrections. Without options only show them.

    A correction stands beside what the program found. The lesson is measured again from what was kept, and the result
    is filed beside the first and counts in its place.
    """
    adding = {"--view": view, "--frame": frame, "--landmark": landmark, "--at": at, "--by": by}
    given = [option for option, value in adding.items() if value is not None]
    missing = [option for option, value in adding.items() if value is None]
    if given and remove is not None:
        raise click.UsageError(f"{given[0]} and --remove were given. Correct a landmark, or remove a correction.")
    if given and missing:
        raise click.UsageError(f"A correction needs {', '.join(missing)} too.")

    from putt_posture.archive import (
        correct_landmark,
        load_first_and_newest,
        load_lesson,
        open_archive,
        open_lesson,
        remove_correction,
    )
    from putt_posture.cli.table import open_console
    from putt_posture.errors import NotInArchive
    from putt_posture.services import measure_again as measure_lesson_again

    today = date.today()
    console = open_console(sys.stdout)
    with open_archive(archive, files=files, make=False) as opened:
        lesson, _ = load_first_and_newest(opened, lesson)
        filed = load_lesson(opened, lesson)
        views = tuple(open_lesson(opened, lesson, today=today, pictures=False).record.views)
        told = read_corrections(per_view, views=views)
        if view is not None and frame is not None and landmark is not None and at is not None and by is not None:
            made = correct_landmark(
                opened,
                lesson,
                view=_VIEWS[view],
                frame=frame,
                landmark=landmark,
                point_px=at,
                made_by=by,
                today=today,
            )
            console.print(f"Written down as correction {made}.")
        elif remove is not None:
            theirs = {each.number for seen in _load(opened, lesson, today) for each in seen.corrections}
            if remove not in theirs:
                raise NotInArchive(f"Lesson {lesson} has no correction {remove}. Look with archive correct {lesson}.")
            remove_correction(opened, remove)
            console.print(f"Correction {remove} is gone; what counted before it counts again.")
        if given or told or remove is not None:
            made_again = _attempt(
                lambda: measure_lesson_again(opened, lesson, today=today, given=told, paper=paper), lesson
            )
            show_measured_again(made_again, console=console)
        found = _load(opened, lesson, today)
    console.print(f"Lesson {lesson} of {filed.day}, student {filed.student}")
    _show(found, console=console)


@command(short_help="Measure a filed lesson, or all of them, again.")
@click.argument("lesson", required=False, type=NUMBER)
@click.option("--all", "everything", is_flag=True, help="Measure all lessons again, with this version of the program.")
@paper_option
@units_option
@archive_options
def measure_again(
    *, lesson: int | None, everything: bool, paper: Paper, archive: str | None, files: str | None
) -> None:
    """Measure the lesson LESSON again from what was seen when it was filed; its clips need not be there.

    The result is filed beside the first and counts in its place. Where every number is the same, nothing is filed.
    """
    if (lesson is None) != everything:
        raise click.UsageError("Give the number of one LESSON, or --all.")

    from putt_posture.archive import open_archive
    from putt_posture.cli.table import open_console
    from putt_posture.cli.terminal import show_progress
    from putt_posture.services import measure_again as measure_lesson_again
    from putt_posture.services import measure_all_again

    today = date.today()
    console = open_console(sys.stdout)
    with open_archive(archive, files=files, make=False) as opened:
        if lesson is not None:
            show_measured_again(measure_lesson_again(opened, lesson, today=today, paper=paper), console=console)
            return
        with show_progress() as progress:
            made = list(measure_all_again(opened, today=today, paper=paper, progress=progress))
        for each in made:
            show_measured_again(each, console=console)
        console.print(f"\n{sum(map(bool, made))} of {len(made)} lessons were filed again.")


def show_measured_again(made: MeasuredAgain, *, console: Console) -> None:
    """Show what came of measuring a lesson again.

    Parameters
    ----------
    made : MeasuredAgain
    console : Console
    """
    from putt_posture.cli.table import new_table, show_bullet
    from putt_posture.figures import format_margin
    from putt_posture.measures import RECORDS

    if not made:
        show_bullet(f"Lesson {made.lesson}: {made.says}", console=console)
        return
    console.print(
        f"\nLesson {made.lesson} was measured again and filed as lesson {made.filed}, which counts from now on."
    )
    if not made.changed:
        console.print("Every number is the same as before.")
        return
    table = new_table()
    table.add_column("Measure")
    for title in ("Before", "Now"):
        table.add_column(title, justify="right", no_wrap=True)
    for name, estimates in made.changed.items():
        signed = RECORDS[name].signed
        shown = [format_margin(each, signed=signed) if each else "not measured" for each in estimates]
        if shown[0] != shown[1]:
            table.add_row(RECORDS[name].title, *shown)
    console.print(table)


def _attempt(measure: Callable[[], MeasuredAgain], lesson: int) -> MeasuredAgain:
    """Measure again; where that cannot be, the correction stands, and it is said why no number moved."""
    from putt_posture.errors import PuttPostureError
    from putt_posture.services import MeasuredAgain

    try:
        return measure()
    except PuttPostureError as error:
        return MeasuredAgain(lesson=lesson, says=str(error))


def _load(opened: Archive, lesson: int, today: date) -> list[FiledLandmarks]:
    from putt_posture.archive import load_landmarks, open_lesson

    views = open_lesson(opened, lesson, today=today, pictures=False).record.views
    return [load_landmarks(opened, lesson, view, today=today) for view in views]


def _show(found: list[FiledLandmarks], *, console: Console) -> None:
    from putt_posture.cli.table import new_table

    table = new_table()
    table.add_column("View", no_wrap=True)
    for title in ("Setup", "Frames", "Times (s)", "Picture"):
        table.add_column(title, justify="right", no_wrap=True)
    for seen in found:
        for setup in sorted(set(seen.setup_index.tolist())):
            frames = (seen.setup_index == setup).nonzero()[0]
            times = seen.times_s[frames]
            table.add_row(
                VIEW_NAMES[seen.view],
                str(setup + 1),
                f"{frames[0]} to {frames[-1]}",
                f"{times.min():.2f} to {times.max():.2f}",
                f"{seen.size_px[0]} × {seen.size_px[1]}",
            )
    console.print(table)
    corrections = [(seen.view, each) for seen in found for each in seen.corrections]
    if not corrections:
        console.print("No landmark was corrected.")
        return
    table = new_table()
    numbers = ("No.", "Frame", "Is at")
    for title in ("No.", "View", "Frame", "Landmark", "Is at", "By", "On"):
        table.add_column(title, justify="right" if title in numbers else "left", no_wrap=title != "By")
    for view, each in corrections:
        u, v = each.point_px
        row = [str(each.number), VIEW_NAMES[view], str(each.frame), each.landmark, f"{u:g}, {v:g}"]
        table.add_row(*row, each.made_by, str(each.made_on))
    console.print(table)
