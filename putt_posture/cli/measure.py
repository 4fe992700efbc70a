"""``putt-posture measure``: from the clips of one student to a folder with the report."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from putt_posture.cli.exit_codes import STOPPED
from putt_posture.cli.options import (
    degrees_option,
    length_option,
    read_by_view,
    read_degrees,
    read_lists_by_view,
    read_rate_hz,
    read_scale_object,
    read_seconds,
)
from putt_posture.units import read_length_cm, read_point, read_segment

if TYPE_CHECKING:
    from putt_posture.values import Handed, Sex, View

__all__ = ["measure"]

_PATH = click.Path(path_type=Path)


@click.command(short_help="Measure one student and write the report.")
@click.option("--down-the-line", type=_PATH, metavar="CLIP", help="Clip or still from behind, along the target line.")
@click.option("--face-on", type=_PATH, metavar="CLIP", help="Clip or still square to the chest. One view is enough.")
@click.option(
    "--stature",
    callback=length_option,
    metavar="LENGTH",
    required=True,
    help="Barefoot height: 178cm, 1.78m, 70in, 5ft10in or 5'10\".",
)
@click.option("--handed", type=click.Choice(["right", "left"]), required=True, help="Which way the student putts.")
@click.option("--out", type=_PATH, required=True, metavar="DIR", help="New folder for the report.")
@click.option("--replace", is_flag=True, help="Replace the report that is in DIR already.")
@click.option("--hide-faces", is_flag=True, help="Make every head in the stills and the report unrecognisable.")
@click.option("--json", "as_json", is_flag=True, help="Print the result as JSON; all else goes to standard error.")
@click.option("--student", "name", metavar="NAME", help="Name for the report.")
@click.option("--sex", type=click.Choice(["female", "male"]), help="Body table to use; without it the mean of both.")
@click.option(
    "--putter-length",
    callback=length_option,
    metavar="LENGTH",
    help="Putter in use: top of the grip along the shaft to the sole.",
)
@click.option("--putter-lie", callback=degrees_option, metavar="DEG", help="Its lie, read off a gauge.")
@click.option(
    "--wrist-floor",
    callback=length_option,
    metavar="LENGTH",
    help="Standing height of the wrist crease above the floor.",
)
@click.option("--settings", type=_PATH, metavar="FILE", help="TOML file with the setup that is wanted.")
@click.option(
    "--setup-at",
    multiple=True,
    metavar="[VIEW:]SECONDS",
    help="Measure the setup at this time of the clip. May be given more than once.",
)
@click.option(
    "--scale-object",
    multiple=True,
    metavar='[VIEW:]"LENGTH at X,Y X,Y"',
    help="A known length in the golfer's plane and its two ends in the picture.",
)
@click.option(
    "--capture-rate",
    multiple=True,
    metavar="[VIEW:]RATE",
    help="Frames a second that the phone filmed at, for slow motion that plays stretched: 240.",
)
@click.option(
    "--camera-roll",
    multiple=True,
    metavar="[VIEW:]DEG",
    help="How far the picture is turned clockwise, in degrees.",
)
@click.option("--camera-distance", multiple=True, metavar="[VIEW:]LENGTH", help="From the lens to the golfer: 4.5m.")
@click.option(
    "--student-at", multiple=True, metavar="[VIEW:]X,Y", help="A point on the student, where there are several people."
)
@click.option("--shaft-at", multiple=True, metavar='[VIEW:]"X,Y X,Y"', help="Top of the grip, then sole of the putter.")
@click.option("--ball-at", multiple=True, metavar="[VIEW:]X,Y", help="Centre of the ball.")
def measure(
    *,
    down_the_line: Path | None,
    face_on: Path | None,
    stature: float,
    handed: Handed,
    out: Path,
    replace: bool,
    hide_faces: bool,
    as_json: bool,
    name: str | None,
    sex: Sex | None,
    putter_length: float | None,
    putter_lie: float | None,
    wrist_floor: float | None,
    settings: Path | None,
    **per_view: tuple[str, ...],
) -> None:
    """Measure one student and write the report, the stills and the tables to a new folder.

    VIEW is down-the-line or face-on, written before a value that is for that clip alone: --setup-at face-on:4.2.
    Without it the value counts for each clip. Places in the picture are pixels of the upright picture from its
    top left. Lengths carry their unit.
    """
    clips: dict[View, Path] = {}
    if down_the_line is not None:
        clips["down_the_line"] = down_the_line
    if face_on is not None:
        clips["face_on"] = face_on
    if not clips:
        raise click.UsageError("No clip was given. Give --down-the-line CLIP, --face-on CLIP, or both.")
    given = _read_per_view(per_view, views=tuple(clips))

    from putt_posture.cli.job import measure_and_store
    from putt_posture.cli.settings import read_settings
    from putt_posture.cli.table import open_console, show_files, show_lesson
    from putt_posture.values import Student

    student = Student(
        stature_cm=stature,
        handed=handed,
        name=name,
        sex=sex,
        wrist_floor_cm=wrist_floor,
        putter_length_cm=putter_length,
        putter_lie_deg=putter_lie,
    )
    if settings is not None:
        given["wanted"] = read_settings(settings)
    lesson = measure_and_store(clips, student=student, out=out, replace=replace, given=given, hide=hide_faces)
    try:
        console = open_console(sys.stderr if as_json else sys.stdout)
        show_lesson(lesson, console=console)
        show_files(out, console=console)
        if as_json:
            click.echo((out / "measures.json").read_text(encoding="utf-8"))
    except KeyboardInterrupt:
        click.echo(f"\nStopped. The report is whole: {out}", err=True)
        raise click.exceptions.Exit(STOPPED) from None


def _read_per_view(texts: dict[str, tuple[str, ...]], *, views: tuple[View, ...]) -> dict[str, Any]:
    """Read the options that belong to a view into arguments of `measure_lesson`."""
    once = {
        "scale_object": ("scale_object", read_scale_object, True),
        "capture_rate": ("capture_rate_hz", read_rate_hz, False),
        "camera_roll": ("camera_roll_deg", read_degrees, False),
        "camera_distance": ("camera_distance_cm", read_length_cm, False),
        "student_at": ("student_at", read_point, True),
        "shaft_at": ("shaft_at", read_segment, True),
        "ball_at": ("ball_at", read_point, True),
    }
    given: dict[str, Any] = {
        "setup_at": read_lists_by_view(texts["setup_at"], read=read_seconds, views=views, option="--setup-at")
    }
    for name, (argument, read, in_picture) in once.items():
        option = f"--{name.replace('_', '-')}"
        given[argument] = read_by_view(texts[name], read=read, views=views, option=option, in_picture=in_picture)
    return given
