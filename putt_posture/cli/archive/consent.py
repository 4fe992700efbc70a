"""``putt-posture archive consent``: what a student or a guardian allowed or withdrew."""

from __future__ import annotations

import sys
from datetime import date
from typing import TYPE_CHECKING, Final, cast

import click

from putt_posture.cli.command import command
from putt_posture.cli.options import past_day_option
from putt_posture.cli.shared_options import archive_options, number_argument

if TYPE_CHECKING:
    from putt_posture.archive import Scope

__all__ = ["SCOPE_NAMES", "consent"]

SCOPE_NAMES: Final = ("filming", "measures", "pictures", "faces")
"""The scopes of the archive, whose import would slow the help down."""
_ALL: Final = "all"


def _read_scopes(_context: click.Context, _option: click.Parameter, text: str) -> tuple[str, ...]:
    named = [each.strip() for each in text.split(",") if each.strip()]
    strange = [each for each in named if each not in (*SCOPE_NAMES, _ALL)]
    if strange or not named:
        found = repr(strange[0]) if strange else "nothing"
        raise click.BadParameter(f"{found} was given; known are {', '.join(SCOPE_NAMES)} and {_ALL}.")
    return SCOPE_NAMES if _ALL in named else tuple(dict.fromkeys(named))


@command(short_help="Record that consent was given or withdrawn.")
@number_argument()
@click.option(
    "--for",
    "scopes",
    required=True,
    callback=_read_scopes,
    metavar="WHAT",
    help="What it is for, separated by commas: filming, measures, pictures, faces; or all.",
)
@click.option("--given-by", metavar="NAME", help="Who gave it.")
@click.option("--guardian", is_flag=True, help="A parent or guardian gave it. For a minor, only they can.")
@click.option("--on", callback=past_day_option, metavar="DATE", help="Day on which it was given. Default: today.")
@click.option("--note", default="", metavar="TEXT", help="How it was given: a form, an e-mail.")
@click.option("--withdraw", is_flag=True, help="It was withdrawn, from the day of --on.")
@archive_options
def consent(
    *,
    number: int,
    scopes: tuple[Scope, ...],
    given_by: str | None,
    guardian: bool,
    on: date | None,
    note: str,
    withdraw: bool,
    archive: str | None,
    files: str | None,
) -> None:
    """Record that consent for the student NUMBER was given, or withdrawn with --withdraw.

    Nothing is filed without consent to filming and to keeping the measures. Pictures are kept only with consent to
    pictures, and show a face only with consent to faces. A guardian consents for a minor; from the day on which
    students are grown up they consent themselves. Local rules say what a consent must look like.
    """
    if withdraw and (given_by is not None or guardian or note):
        raise click.UsageError(
            "--withdraw goes with --for and --on alone. Leave --given-by, --guardian and --note out."
        )
    if not withdraw and given_by is None:
        raise click.UsageError("Missing option '--given-by'.")

    from putt_posture.archive import add_consent, load_permission, open_archive, withdraw_consent
    from putt_posture.cli.archive.words import show_consents
    from putt_posture.cli.table import open_console
    from putt_posture.figures import count_of
    from putt_posture.services import find_faces_to_hide

    today = date.today()
    with open_archive(archive, files=files, make=False) as opened:
        if withdraw:
            withdraw_consent(opened, number, scopes=scopes, on=on or today)
        else:
            add_consent(
                opened,
                number,
                scopes=scopes,
                given_on=on or today,
                given_by=cast(str, given_by),
                relation="guardian" if guardian else "self",
                today=today,
                note=note,
            )
        permission = load_permission(opened, number)
        to_hide = find_faces_to_hide(opened, today=today, student=number) if withdraw else ()
    console = open_console(sys.stdout)
    console.print(f"Student {number}: {permission.person.name}")
    show_consents(permission, today=today, console=console)
    if withdraw:
        console.print(
            "From that day on nothing is shown or given out that it was for. What is kept without consent is to be "
            "erased: putt-posture archive retention shows it, and erases it with --erase."
        )
        if to_hide:
            console.print(
                f"{count_of(len(to_hide), 'lesson')} may keep pictures with the heads hidden instead: "
                f"putt-posture archive hide-faces {number}"
            )
