"""``putt-posture archive correct``: a landmark of a filed lesson corrected by hand."""

from __future__ import annotations

import sys
from datetime import date
from typing import TYPE_CHECKING, Final

import click

from putt_posture.cli.command import command
from putt_posture.cli.options import VIEW_NAMES, point_option
from putt_posture.cli.shared_options import NUMBER, archive_options, number_argument

if TYPE_CHECKING:
    from rich.console import Console

    from putt_posture.archive import Archive, FiledLandmarks
    from putt_posture.values import Point

__all__ = ["correct"]

_VIEWS: Final = {name: view for view, name in VIEW_NAMES.items()}


@command(short_help="Correct a landmark of a lesson by hand, or show corrections.")
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
    archive: str | None,
    files: str | None,
) -> None:
    """Correct a landmark of the lesson LESSON by hand and show its frames and corrections. Without options only show.

    A correction stands beside what the model saw, and the measures stay as they were filed.
    """
    adding = {"--view": view, "--frame": frame, "--landmark": landmark, "--at": at, "--by": by}
    given = [option for option, value in adding.items() if value is not None]
    missing = [option for option, value in adding.items() if value is None]
    if given and remove is not None:
        raise click.UsageError(f"{given[0]} and --remove were given. Correct a landmark, or remove a correction.")
    if given and missing:
        raise click.UsageError(f"A correction needs {', '.join(missing)} too.")

    from putt_posture.archive import correct_landmark, load_lesson, open_archive, remove_correction
    from putt_posture.cli.table import open_console
    from putt_posture.errors import NotInArchive

    today = date.today()
    console = open_console(sys.stdout)
    with open_archive(archive, files=files, make=False) as opened:
        filed = load_lesson(opened, lesson)
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
        found = _load(opened, lesson, today)
    console.print(f"Lesson {lesson} of {filed.day}, student {filed.student}")
    _show(found, console=console)


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
