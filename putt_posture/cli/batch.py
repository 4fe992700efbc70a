"""``putt-posture batch``: many lessons measured and filed, from a list or a folder of clips."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from putt_posture.cli.command import command
from putt_posture.cli.shared_options import archive_options
from putt_posture.cli.stopping import FAULT, say_when_stopped

if TYPE_CHECKING:
    from putt_posture.batch import BatchOutcome

__all__ = ["batch"]

_MEGABYTES_IN_A_GIGABYTE: Final = 1000.0


@command(short_help="Measure and file many lessons, from a list or a folder.")
@click.argument("source", metavar="LIST.csv|FOLDER", type=click.Path(path_type=Path))
@click.option("--workers", type=click.IntRange(min=1), default=1, show_default=True, help="Lessons at once.")
@click.option("--cluster", metavar="ADDRESS", help="Dask scheduler whose workers measure, such as tcp://10.0.0.5:8786.")
@click.option(
    "--minutes-each",
    type=click.FloatRange(min=0, min_open=True),
    default=15.0,
    show_default=True,
    help="How long one lesson may take.",
)
@click.option(
    "--memory-each",
    type=click.FloatRange(min=0, min_open=True),
    default=4.0,
    show_default=True,
    metavar="GB",
    help="How much memory one lesson may take.",
)
@click.option(
    "--tries",
    type=click.IntRange(min=1),
    default=3,
    show_default=True,
    help="How often a lesson is tried that takes too much or ends its process.",
)
@click.option("--try-again", is_flag=True, help="Also try what an earlier run laid aside.")
@click.option("--work", type=click.Path(path_type=Path), metavar="FOLDER", help="Where the run is noted.")
@click.option("--table", type=click.Path(path_type=Path), metavar="FILE.csv", help="Write what became of each lesson.")
@archive_options
def batch(
    *,
    source: Path,
    workers: int,
    cluster: str | None,
    minutes_each: float,
    memory_each: float,
    tries: int,
    try_again: bool,
    work: Path | None,
    table: Path | None,
    archive: str | None,
    files: str | None,
) -> None:
    """Measure many lessons and file them in the archive.

    LIST.csv has one row a lesson, under the names of its columns: student (number), moment (before, after or check),
    down_the_line and face_on (clips, from the list's folder), and what else archive file takes. Or give a FOLDER whose
    clips are named like 12_2026-11-07_before_down-the-line.mov: student, day, moment and view.

    A run that was stopped goes on where it stood when it is started again, and no lesson is filed twice. The exit code
    is 1 if a lesson was laid aside.
    """
    from putt_posture.archive import open_archive
    from putt_posture.batch import Ledger, Limits, find_work_folder, open_executor, read_folder, read_list, run_batch
    from putt_posture.cli.table import open_console

    source = source.absolute()  # the workers of a cluster run in other folders
    lessons = read_folder(source) if source.is_dir() else read_list(source)
    console = open_console(sys.stdout)

    def tell(says: str) -> None:
        click.echo(says, err=True)

    outcomes: list[BatchOutcome] = []
    with (
        say_when_stopped("What was done is noted. Give the same command again to go on."),
        open_archive(archive, files=files, make=False) as opened,
        Ledger(work or find_work_folder(opened.place)) as ledger,
        open_executor(workers=workers, cluster=cluster, tell=tell) as pool,
    ):
        if try_again:
            ledger.forget_laid_aside()
        for outcome in run_batch(
            opened,
            lessons,
            ledger=ledger,
            pool=pool,
            today=date.today(),
            limits=Limits(seconds=60 * minutes_each, memory_mb=_MEGABYTES_IN_A_GIGABYTE * memory_each),
            tries=tries,
            tell=tell,
        ):
            outcomes.append(outcome)
            console.print(f"{len(outcomes)} of {len(lessons)}: {_say(outcome)}", soft_wrap=True)
    _end(outcomes, table=table)


def _say(outcome: BatchOutcome) -> str:
    who = f"student {outcome.student}" if outcome.student else "no student"
    what = f"{outcome.state} as lesson {outcome.lesson}" if outcome.lesson else outcome.state
    earlier = ", in an earlier run" if outcome.before else ""
    tries = f", after {outcome.tries} tries" if outcome.tries > 1 else ""
    return f"{outcome.where}, {who}: {what}{earlier}{tries}.{f' {outcome.says}' if outcome.says else ''}"


def _end(outcomes: list[BatchOutcome], *, table: Path | None) -> None:
    """Say how many lessons ended in which way, write the table, and end with the exit code."""
    from collections import Counter

    from putt_posture.batch.table import write_table
    from putt_posture.figures import count_of
    from putt_posture.shown import join_words

    counted = Counter(outcome.state for outcome in outcomes)
    click.echo(f"{count_of(len(outcomes), 'lesson')}: {join_words([f'{n} {state}' for state, n in counted.items()])}.")
    if table is not None:
        write_table(outcomes, table)
        click.echo(f"The table is {table}.")
    if aside := counted["laid aside"]:
        are = "was" if aside == 1 else "were"
        click.echo(
            f"putt-posture: {count_of(aside, 'lesson')} {are} laid aside. Put right what is said there and give the "
            "command again, with --try-again.",
            err=True,
        )
        raise click.exceptions.Exit(FAULT)
