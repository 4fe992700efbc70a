"""``putt-posture archive``: the family of commands, in the order in which a coach meets them."""

from typing import Final

import click

from putt_posture.cli.archive.backup import backup, restore
from putt_posture.cli.archive.consent import consent
from putt_posture.cli.archive.correct import correct, measure_again
from putt_posture.cli.archive.erase import erase, erase_lesson, erasures
from putt_posture.cli.archive.export import export, export_all
from putt_posture.cli.archive.file import file
from putt_posture.cli.archive.hide_faces import hide_faces
from putt_posture.cli.archive.history import history
from putt_posture.cli.archive.overview import overview
from putt_posture.cli.archive.practice import practice
from putt_posture.cli.archive.retention import retention
from putt_posture.cli.archive.show import show
from putt_posture.cli.archive.students import describe, enrol, find
from putt_posture.cli.archive.upkeep import check, settings, upgrade

__all__ = ["archive"]

_COMMANDS: Final = (
    enrol,
    find,
    show,
    describe,
    consent,
    file,
    correct,
    measure_again,
    practice,
    history,
    overview,
    export,
    export_all,
    settings,
    retention,
    hide_faces,
    erase,
    erase_lesson,
    erasures,
    backup,
    restore,
    check,
    upgrade,
)


class _InOrder(click.Group):
    """A family that lists its commands in the order in which they were added."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(self.commands)


@click.group(
    cls=_InOrder,
    short_help="Keep students, their lessons and what they consented to.",
    epilog="Start with: putt-posture archive enrol. What may be kept of whom, and for how long, your local rules say.",
)
def archive() -> None:
    """Keep students, their lessons and what they consented to, in an archive on this computer.

    An archive is made when the first student is enrolled: in a folder of your own, or where --archive or the
    environment variable PUTT_POSTURE_ARCHIVE says. NUMBER is a student's number, as find shows it.
    """


for _each in _COMMANDS:
    archive.add_command(_each)
