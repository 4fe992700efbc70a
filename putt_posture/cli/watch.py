"""``putt-posture watch``: clips that arrive in a folder, measured and filed."""

from __future__ import annotations

import sys
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from putt_posture.cli.archive.file import MOMENT_NAMES
from putt_posture.cli.command import command
from putt_posture.cli.shared_options import NUMBER, archive_options, running_options
from putt_posture.cli.stopping import FAULT, say_when_stopped

if TYPE_CHECKING:
    from collections import Counter
    from collections.abc import Iterator

    from putt_posture.batch import BatchOutcome
    from putt_posture.values import Moment

__all__ = ["watch"]

_MINUTE_S: Final = 60.0
_MEGABYTES_IN_A_GIGABYTE: Final = 1000.0


@command(short_help="Measure and file the clips that arrive in a folder.")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--student", type=NUMBER, metavar="NUMBER", help="Whose clips are that do not say it.")
@click.option(
    "--moment",
    type=click.Choice(MOMENT_NAMES, case_sensitive=False),
    default="check",
    show_default=True,
    help="What is filmed in clips that do not say it.",
)
@click.option(
    "--minutes-apart",
    type=click.FloatRange(min=0, min_open=True),
    default=10.0,
    show_default=True,
    help="How far apart the two clips of a lesson may be filmed.",
)
@click.option(
    "--minutes-wait",
    type=click.FloatRange(min=0),
    default=10.0,
    show_default=True,
    help="How long a clip waits for the other view.",
)
@click.option(
    "--seconds-still",
    type=click.FloatRange(min=0),
    default=5.0,
    show_default=True,
    help="How long a clip must not change before it is looked at.",
)
@click.option("--once", is_flag=True, help="Do what is in the folder now, and end.")
@click.option("--leave-clips", is_flag=True, help="Leave the clips where they are.")
@click.option("--place", default="", metavar="TEXT", help="Where the lessons are.")
@click.option("--coach", default="", metavar="NAME", help="Who gives the lessons.")
@click.option("--without-pictures", is_flag=True, help="Keep only the measures and landmarks in the archive.")
@click.option("--without-clips", is_flag=True, help="Keep stills and report in the archive, but not the clips.")
@running_options
@archive_options
def watch(
    *,
    folder: Path,
    student: int | None,
    moment: Moment,
    minutes_apart: float,
    minutes_wait: float,
    seconds_still: float,
    once: bool,
    leave_clips: bool,
    place: str,
    coach: str,
    without_pictures: bool,
    without_clips: bool,
    workers: int | None,
    cluster: str | None,
    minutes_each: float,
    memory_each: float,
    tries: int,
    work: Path | None,
    archive: str | None,
    files: str | None,
) -> None:
    """Measure the clips that arrive in FOLDER and file them in the archive. Stop it with Ctrl+C.

    FOLDER may be what a phone shares, or a card. A clip is taken once it is whole. Whose it is, says a folder in FOLDER
    that is named by the student's number (12, and in it before, after or check), a name such as
    12_2026-11-07_before_down-the-line.mov, or --student. From which side it was filmed is told from the picture. Two
    clips of a student that were filmed within some minutes, one from each side, are one lesson.

    Filed clips are moved into the folder "filed", others into "laid aside", with the reason as a text beside each. To
    have one tried again, put right what is said there and move it back. No clip is deleted.
    """
    from collections import Counter

    from putt_posture.archive import LessonNotes, open_archive
    from putt_posture.batch import (
        BatchLesson,
        Ledger,
        Limits,
        WatchRules,
        count_workers,
        find_work_folder,
        open_executor,
        open_watch,
        run_watch,
    )

    rules = WatchRules(
        student=student,
        moment=moment,
        apart_s=_MINUTE_S * minutes_apart,
        wait_s=_MINUTE_S * minutes_wait,
        once=once,
        leaves=leave_clips,
        lesson=BatchLesson(
            where="",
            notes=LessonNotes(place=place, coach=coach),
            keep_pictures=not without_pictures,
            keep_clips=not without_clips,
        ),
    )
    counted: Counter[str] = Counter()
    with (
        say_when_stopped("What was done is noted. Give the same command again to go on."),
        _told_at_end(counted),
        open_watch(folder, rules=rules, still_s=seconds_still, tell=_tell) as opened,
        open_archive(archive, files=files, make=False) as found,
        Ledger(work or find_work_folder(found.place)) as ledger,
        open_executor(workers=workers or count_workers(), cluster=cluster, tell=_tell) as pool,
    ):
        if not once:
            _tell(f"{folder} is watched. Stop with Ctrl+C.")
        for outcome in run_watch(
            found,
            opened,
            ledger=ledger,
            pool=pool,
            limits=Limits(seconds=_MINUTE_S * minutes_each, memory_mb=_MEGABYTES_IN_A_GIGABYTE * memory_each),
            tries=tries,
        ):
            counted[outcome.state] += 1
            _tell(_say(outcome))
    if counted["laid aside"]:
        raise click.exceptions.Exit(FAULT)


@contextmanager
def _told_at_end(counted: Counter[str]) -> Iterator[None]:
    """Say what became of all, also where the watch was stopped."""
    try:
        yield
    except KeyboardInterrupt:
        _count(counted)
        raise
    _count(counted)


def _count(counted: Counter[str]) -> None:
    from putt_posture.shown import join_words

    if not counted:
        click.echo("Nothing was there to do.")
        return
    click.echo(f"In all: {join_words([f'{number} {state}' for state, number in counted.items()])}.")


def _tell(text: str) -> None:
    click.echo(f"{datetime.now():%H:%M:%S}  {text}")
    sys.stdout.flush()


def _say(outcome: BatchOutcome) -> str:
    what = f"{outcome.state} as lesson {outcome.lesson}" if outcome.lesson else outcome.state
    earlier = ", in an earlier run" if outcome.before else ""
    return f"{outcome.where}: {what}{earlier}.{f' {outcome.says}' if outcome.says else ''}"
