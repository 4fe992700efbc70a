"""``putt-posture batch``: many lessons measured and filed, from a list or a folder of clips, or measured again."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Final

import click

from putt_posture.cli.command import command
from putt_posture.cli.shared_options import NUMBER, archive_options, running_options
from putt_posture.cli.stopping import FAULT, say_when_stopped
from putt_posture.errors import ArchiveError, ClusterError

if TYPE_CHECKING:
    from putt_posture.archive import Archive
    from putt_posture.batch import AgainLesson, BatchLesson, BatchOutcome
    from putt_posture.values import Progress

__all__ = ["batch"]

_MEGABYTES_IN_A_GIGABYTE: Final = 1000.0


@command(short_help="Measure and file many lessons, from a list or a folder.")
@click.argument("source", metavar="[LIST.csv|FOLDER]", required=False)
@click.option("--again", is_flag=True, help="Measure the lessons of the archive again, by the present method.")
@click.option(
    "--student", "students", multiple=True, type=NUMBER, metavar="NUMBER", help="With --again: only of this student."
)
@click.option("--older-than", metavar="VERSION", help="With --again: only what a version before this one measured.")
@click.option("--try-again", is_flag=True, help="Also try what an earlier run laid aside.")
@click.option("--table", type=click.Path(path_type=Path), metavar="FILE.csv", help="Write what became of each lesson.")
@running_options
@archive_options
def batch(
    *,
    source: str | None,
    again: bool,
    students: tuple[int, ...],
    older_than: str | None,
    workers: int | None,
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
    clips are named like 12_2026-11-07_before_down-the-line.mov: student, day, moment and view. The clips of a list, and
    a FOLDER, may be in a bucket: s3://bucket/folder. With --again lessons of the archive are measured again from what
    was seen when they were filed.

    A run that was stopped goes on where it stood when it is started again, and no lesson is filed twice. The exit code
    is 1 if a lesson was laid aside.
    """
    if (source is None) != again:
        raise click.UsageError("Give a LIST.csv, a FOLDER, or --again for the lessons of the archive.")
    if (students or older_than is not None) and not again:
        raise click.UsageError("--student and --older-than choose lessons of the archive. Give them with --again.")

    from putt_posture.archive import open_archive
    from putt_posture.batch import Ledger, Limits, count_workers, find_work_folder, open_executor, run_batch
    from putt_posture.batch.table import check_table, write_table
    from putt_posture.cli.table import open_console
    from putt_posture.cli.terminal import show_progress_between

    if table is not None:
        check_table(table)
    console = open_console(sys.stdout)

    def tell(says: str) -> None:
        click.echo(says, err=True)

    outcomes: list[BatchOutcome] = []
    with open_archive(archive, files=files, make=False) as opened:
        lessons = _read(opened, source, students=students, older_than=older_than)
        with (
            _say_how_to_go_on(outcomes, lessons),
            Ledger(work or find_work_folder(opened.place)) as ledger,
            open_executor(workers=workers or count_workers(), cluster=cluster, tell=tell) as pool,
        ):
            sound_last = sorted(lessons, key=lambda lesson: not lesson.fault)
            run = run_batch(
                opened,
                sound_last,
                ledger=ledger,
                pool=pool,
                today=date.today(),
                limits=Limits(seconds=60 * minutes_each, memory_mb=_MEGABYTES_IN_A_GIGABYTE * memory_each),
                tries=tries,
                try_again=try_again,
                tell=tell,
            )
            for outcome in show_progress_between(lambda show: _with_time_left(run, outcomes, len(lessons), show)):
                outcomes.append(outcome)
                console.print(f"{len(outcomes)} of {len(lessons)}: {_say(outcome)}", soft_wrap=True)
    if table is not None:
        places = {lesson.where: place for place, lesson in enumerate(lessons)}
        write_table(sorted(outcomes, key=lambda outcome: places[outcome.where]), table)
    _end(outcomes, table=table)


def _read(
    archive: Archive, source: str | None, *, students: tuple[int, ...], older_than: str | None
) -> Sequence[BatchLesson | AgainLesson]:
    from putt_posture.batch import read_archive, read_folder, read_list
    from putt_posture.buckets import is_bucket_url

    if source is None:
        return read_archive(archive, students=students, older_than=older_than)
    if is_bucket_url(source):
        return read_folder(source)
    path = Path(source).absolute()  # the workers of a cluster run in other folders
    return read_folder(path) if path.is_dir() else read_list(path)


@contextmanager
def _say_how_to_go_on(outcomes: list[BatchOutcome], lessons: Sequence[object]) -> Iterator[None]:
    """Say how far the run came, where Ctrl+C, a signal, or what it cannot go on without stops it."""
    try:
        yield
    except (ArchiveError, ClusterError):
        click.echo(f"{len(outcomes)} of {len(lessons)} lessons are done, and that is noted.", err=True)
        raise
    except KeyboardInterrupt:
        with say_when_stopped(
            f"{len(outcomes)} of {len(lessons)} lessons are done, and that is noted. Give the same command again to "
            "go on."
        ):
            raise


def _with_time_left(
    run: Iterator[BatchOutcome], outcomes: list[BatchOutcome], count: int, show: Progress
) -> Iterator[BatchOutcome]:
    """Show before each outcome how many there are, and how long the rest may take once lessons were measured."""
    began = time.monotonic()
    while True:
        says = f"{len(outcomes)} of {count} lessons"
        if measured := sum(1 for each in outcomes if not each.before and each.tries):
            minutes = (time.monotonic() - began) / measured * (count - len(outcomes)) / 60
            says += f", about {minutes:.0f} min left" if minutes >= 1 else ", less than a minute left"
        show(says, len(outcomes) / count)
        try:
            yield next(run)
        except StopIteration:
            return


def _say(outcome: BatchOutcome) -> str:
    who = f", student {outcome.student}" if outcome.student else ""
    what = f"{outcome.state} as lesson {outcome.lesson}" if outcome.state in _FILED else outcome.state
    earlier = ", in an earlier run" if outcome.before else ""
    tries = f", after {outcome.tries} tries" if outcome.tries > 1 else ""
    return f"{outcome.where}{who}: {what}{earlier}{tries}.{f' {outcome.says}' if outcome.says else ''}"


_FILED: Final = ("filed", "already filed")


def _end(outcomes: list[BatchOutcome], *, table: Path | None) -> None:
    """Say how many lessons ended in which way, and end with the exit code."""
    from collections import Counter

    from putt_posture.figures import count_of
    from putt_posture.shown import join_words

    counted = Counter(outcome.state for outcome in outcomes)
    click.echo(f"{count_of(len(outcomes), 'lesson')}: {join_words([f'{n} {state}' for state, n in counted.items()])}.")
    if table is not None:
        click.echo(f"The table is {table}.")
    if aside := counted["laid aside"]:
        are = "was" if aside == 1 else "were"
        click.echo(
            f"putt-posture: {count_of(aside, 'lesson')} {are} laid aside. Put right what is said there and give the "
            "command again, with --try-again.",
            err=True,
        )
        raise click.exceptions.Exit(FAULT)
