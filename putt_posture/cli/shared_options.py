"""Options and arguments that several commands share."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, TypeVar

import click

from putt_posture.cli.options import degrees_option, length_option

if TYPE_CHECKING:
    from putt_posture.shown_units import LengthUnit

__all__ = [
    "NUMBER",
    "archive_options",
    "clip_options",
    "coach_file_option",
    "event_at_option",
    "filmed_options",
    "handed_option",
    "hide_faces_option",
    "interview_options",
    "json_option",
    "number_argument",
    "out_option",
    "paper_option",
    "putter_options",
    "raw_text_option",
    "replace_option",
    "running_options",
    "setup_only_option",
    "sex_option",
    "stature_option",
    "units_option",
    "view_options",
    "without_putter_option",
    "wrist_floor_option",
]

NUMBER: Final = click.IntRange(min=1, max=2**31 - 1)
"""A number that every database accepts."""
WEAK_PUTTS: Final = ("short", "lag", "both")
"""Those of `values`, whose import would bring numpy into the help."""
Command = TypeVar("Command", bound=Callable[..., Any])
Decorator = Callable[[Command], Command]
_PATH: Final = click.Path(path_type=Path)
sex_option = click.option(
    "--sex",
    type=click.Choice(["female", "male"], case_sensitive=False),
    help="Body table to use. Default: the mean of both.",
)
wrist_floor_option = click.option(
    "--wrist-floor",
    callback=length_option,
    metavar="LENGTH",
    help="Height of the wrist crease above the floor, standing barefoot, arms hanging.",
)


def _show_in(context: click.Context, _option: click.Parameter, unit: LengthUnit | None) -> None:
    """Show lengths in this unit until the command ends."""
    if unit not in (None, "cm"):
        from putt_posture.shown_units import show_lengths_in

        context.with_resource(show_lengths_in(unit))


units_option = click.option(
    "--units",
    type=click.Choice(["cm", "inches"], case_sensitive=False),
    callback=_show_in,
    expose_value=False,
    help="Show lengths in centimetres or in inches. JSON and CSV stay in centimetres. Default: cm.",
)
paper_option = click.option(
    "--paper",
    type=click.Choice(["a4", "letter"], case_sensitive=False),
    default="a4",
    show_default=True,
    help="Paper that the PDF is set for.",
)


class _OptionWithOldName(click.Option):
    """An option whose second name works, for scripts of older versions, and is not shown."""

    def get_help_record(self, ctx: click.Context) -> tuple[str, str] | None:
        record = super().get_help_record(ctx)
        return record and (record[0].replace(f", {self.opts[1]}", ""), record[1])

    def get_error_hint(self, ctx: click.Context | None) -> str:
        return f"'{self.opts[0]}'"


coach_file_option = click.option(
    "--coach-file",
    "--settings",
    "coach_file",
    cls=_OptionWithOldName,
    type=_PATH,
    metavar="FILE",
    help="TOML file of the coach: bands, order, words, drills and the wanted setup.",
)
json_option = click.option(
    "--json", "as_json", is_flag=True, help="Print the result as JSON; the rest goes to standard error."
)
without_putter_option = click.option(
    "--without-putter",
    is_flag=True,
    help="The student was filmed without putter and ball, hands together or arms hanging. No stroke is needed.",
)
setup_only_option = click.option(
    "--setup-only", is_flag=True, help="Measure the setup alone and leave the strokes out, which takes less time."
)
event_at_option = click.option(
    "--event-at",
    multiple=True,
    metavar='[VIEW:]"N:EVENT=SECONDS"',
    help='When an event of stroke N was: "2:top=5.77". EVENT is start, top, impact or finish. May be given more than '
    "once.",
)
raw_text_option = click.option(
    "--raw-text",
    is_flag=True,
    help="Leave every text in the CSV as it was typed. Careful: a spreadsheet may run one as a formula.",
)


def number_argument(name: str = "number") -> Callable[[Any], Any]:
    """Make the argument for a number in the archive."""
    return click.argument(name, type=NUMBER)


def stature_option(*, required: bool = True) -> Decorator[Any]:
    """Make the option for the student's height."""
    return click.option(
        "--height",
        "--stature",
        "stature",
        cls=_OptionWithOldName,
        callback=length_option,
        metavar="LENGTH",
        required=required,
        help="Barefoot height: 178cm, 1.78m, 70in, 5ft10in or 5'10\".",
    )


def handed_option(*, required: bool = True) -> Decorator[Any]:
    """Make the option for the side from which the student putts."""
    return click.option(
        "--handed",
        type=click.Choice(["right", "left"], case_sensitive=False),
        required=required,
        help="Which way the student putts.",
    )


def out_option(*, what: str = "report", metavar: str = "DIR") -> Decorator[Any]:
    """Make the option for what is written."""
    kind = "file" if metavar == "FILE" else "folder"
    return click.option("--out", type=_PATH, required=True, metavar=metavar, help=f"New {kind} for the {what}.")


def replace_option(*, what: str = "report", metavar: str = "DIR") -> Decorator[Any]:
    """Make the option to replace what is there, `what` in the singular."""
    there = "is there" if metavar == "FILE" else "is in DIR"
    return click.option("--replace", is_flag=True, help=f"Replace the {what} that {there} now.")


def hide_faces_option(*, where: str) -> Decorator[Any]:
    """Make the option to hide every head; `where` ends the sentence."""
    return click.option(
        "--hide-faces/--show-faces",
        help=f"Make every head unrecognisable {where}. --show-faces overrides a defaults file that hides them.",
    )


def putter_options(*, prefix: str) -> Decorator[Any]:
    """Make the options for the putter in use; they are named after the prefix."""
    length = click.option(
        f"--{prefix}-length",
        callback=length_option,
        metavar="LENGTH",
        help="Putter in use: top of the grip along the shaft to the sole.",
    )
    lie = click.option(
        f"--{prefix}-lie", callback=degrees_option, metavar="DEG", help="Lie of the putter in use, by a lie gauge."
    )
    return _all_of(length, lie)


def clip_options(command: Command) -> Command:
    """Add the options for the clips."""
    return _all_of(
        click.option(
            "--down-the-line", type=_PATH, metavar="CLIP", help="Clip or still from behind, along the target line."
        ),
        click.option(
            "--face-on", type=_PATH, metavar="CLIP", help="Clip or still square to the chest. One view is enough."
        ),
    )(command)


def filmed_options(command: Command) -> Command:
    """Add the options that say what was filmed."""
    return _all_of(
        without_putter_option,
        setup_only_option,
        click.option("--step", metavar="NAME", help='Step of the rebuild that was filmed: "shoulders back".'),
    )(command)


def interview_options(command: Command) -> Command:
    """Add the options for what the student said; each is an answer of `Interview`."""
    return _all_of(
        click.option(
            "--misses", default="", metavar="TEXT", help='Which putts are missed, and which way: "left under 2 m".'
        ),
        click.option(
            "--weak-putts",
            type=click.Choice(WEAK_PUTTS, case_sensitive=False),
            help="Which putts go worst: short ones, lag putts, or both.",
        ),
        click.option("--putter-story", default="", metavar="TEXT", help="How the putter was chosen."),
        click.option(
            "--limits", default="", metavar="TEXT", help="Pain and limits of the body, in the student's words."
        ),
        click.option("--notes", default="", metavar="TEXT", help="Anything else to remember."),
    )(command)


def view_options(command: Command) -> Command:
    """Add the options that belong to a view."""
    return _all_of(
        click.option(
            "--setup-at",
            multiple=True,
            metavar="[VIEW:]SECONDS",
            help="Measure the setup at this time of the clip. May be given more than once.",
        ),
        click.option(
            "--scale-object",
            multiple=True,
            metavar='[VIEW:]"LENGTH at X,Y X,Y"',
            help="A known length in the student's plane and its two ends in the picture.",
        ),
        click.option(
            "--capture-rate",
            multiple=True,
            metavar="[VIEW:]RATE",
            help="Frames a second that the phone filmed at, for slow motion that plays stretched: 240.",
        ),
        click.option(
            "--camera-roll",
            multiple=True,
            metavar="[VIEW:]DEG",
            help="How far the picture is turned clockwise, in degrees.",
        ),
        click.option(
            "--camera-distance", multiple=True, metavar="[VIEW:]LENGTH", help="From the lens to the student: 4.5m."
        ),
        click.option(
            "--student-at",
            multiple=True,
            metavar="[VIEW:]X,Y",
            help="A point on the student, if there are several people.",
        ),
        click.option(
            "--shaft-at", multiple=True, metavar='[VIEW:]"X,Y X,Y"', help="Top of the grip, then sole of the putter."
        ),
        click.option("--ball-at", multiple=True, metavar="[VIEW:]X,Y", help="Centre of the ball."),
        click.option(
            "--ground-at",
            multiple=True,
            metavar="[VIEW:]X,Y",
            help="A point of the ground beside the feet, as far from the camera as they are.",
        ),
        click.option(
            "--back-at",
            multiple=True,
            metavar="[VIEW:]X,Y",
            help="A point on the outline of the back, from pelvis to neck; four or more replace what is found.",
        ),
        click.option(
            "--target-at",
            multiple=True,
            metavar='[VIEW:]"X,Y X,Y"',
            help="Two points of the ground on the target line, such as ball and hole, or on a line parallel to it.",
        ),
        click.option(
            "--landmark-at",
            multiple=True,
            metavar='[VIEW:]"NAME X,Y"',
            help='Where a joint is in the still, placed by hand: "left_shoulder 512,300". May be given more than once.',
        ),
        event_at_option,
    )(command)


def archive_options(command: Command) -> Command:
    """Add the options that say where the archive is."""
    return _all_of(
        click.option(
            "--archive",
            metavar="PLACE",
            help="Folder or postgresql:// URL of the archive. Default: PUTT_POSTURE_ARCHIVE, or a folder of your own.",
        ),
        click.option(
            "--files",
            metavar="PLACE",
            help="Folder or bucket for the files of an archive by URL. Default: PUTT_POSTURE_ARCHIVE_FILES.",
        ),
    )(command)


def running_options(command: Command) -> Command:
    """Add the options that say where and within which limits many lessons are measured."""
    above_0 = click.FloatRange(min=0, min_open=True)
    return _all_of(
        click.option(
            "--workers",
            type=click.IntRange(min=1),
            help="Lessons at once. Default: one for each processor, as far as the memory goes.",
        ),
        click.option(
            "--cluster", metavar="ADDRESS", help="Dask scheduler whose workers measure, such as tcp://10.0.0.5:8786."
        ),
        click.option(
            "--minutes-each", type=above_0, default=15.0, show_default=True, help="How long one lesson may take."
        ),
        click.option(
            "--memory-each",
            type=above_0,
            default=4.0,
            show_default=True,
            metavar="GB",
            help="How much memory one lesson may take.",
        ),
        click.option(
            "--tries",
            type=click.IntRange(min=1),
            default=3,
            show_default=True,
            help="How often a lesson is tried that takes too much or ends its process.",
        ),
        click.option("--work", type=_PATH, metavar="FOLDER", help="Where the run is noted."),
    )(command)


def _all_of(*options: Decorator[Any]) -> Callable[[Command], Command]:
    """Make one decorator of several, so that the help lists them in this order."""

    def add(command: Command) -> Command:
        for option in reversed(options):
            command = option(command)
        return command

    return add
