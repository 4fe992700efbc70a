"""``putt-posture fit``: the putter for a body and a wanted setup, without clips."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

from putt_posture.cli.command import command
from putt_posture.cli.options import length_option
from putt_posture.cli.shared_options import (
    coach_file_option,
    json_option,
    putter_options,
    sex_option,
    stature_option,
    units_option,
    wrist_floor_option,
)

if TYPE_CHECKING:
    from putt_posture.values import Sex

__all__ = ["fit"]


@command(short_help="Suggest a putter from body measures alone.")
@stature_option()
@sex_option
@wrist_floor_option
@putter_options(prefix="current")
@click.option(
    "--grip-down",
    callback=length_option,
    metavar="LENGTH",
    help="How far the hands hold below the usual place.",
)
@coach_file_option
@units_option
@json_option
def fit(
    *,
    stature: float,
    sex: Sex | None,
    wrist_floor: float | None,
    current_length: float | None,
    current_lie: float | None,
    grip_down: float | None,
    coach_file: Path | None,
    as_json: bool,
) -> None:
    """Suggest a putter for a body and a wanted setup, without clips.

    A body model of this size is put into the setup; its hands and eyes give the putter. Write lengths with their unit.
    """
    from attrs import evolve

    from putt_posture.cli.table import open_console, show_fit
    from putt_posture.club_spec import find_club_spec
    from putt_posture.documents import fit_as_json
    from putt_posture.errors import PuttPostureError
    from putt_posture.fitting import fit_putter
    from putt_posture.services.coach_files import open_coach_file
    from putt_posture.shown_units import say_in_shown_unit
    from putt_posture.values import Student, WantedSetup

    wanted = (None if coach_file is None else open_coach_file(coach_file).wanted) or WantedSetup()
    if grip_down is not None:
        wanted = evolve(wanted, grip_down_cm=grip_down)
    student = Student(
        stature_cm=stature,
        handed="right",  # a left-hander gets the same putter
        sex=sex,
        wrist_floor_cm=wrist_floor,
        putter_length_cm=current_length,
        putter_lie_deg=current_lie,
    )
    found = fit_putter(None, student, wanted=wanted)
    if found.putter_length.absent is not None:
        raise PuttPostureError(say_in_shown_unit(found.putter_length.absent))
    show_fit(
        found, find_club_spec(found, student), student, console=open_console(sys.stderr if as_json else sys.stdout)
    )
    if as_json:
        click.echo(json.dumps(fit_as_json(found), indent=2, ensure_ascii=False, allow_nan=False))
