"""``putt-posture demo``: the sample clips measured, beside their true values."""

from __future__ import annotations

import sys
from datetime import date
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING

import click

from putt_posture.cli.command import command
from putt_posture.cli.opening import open_option, say_what_to_open
from putt_posture.cli.shared_options import interview_options, units_option
from putt_posture.cli.stopping import stopped_code

if TYPE_CHECKING:
    from putt_posture.values import WeakPutts

__all__ = ["demo"]


@command(short_help="Measure the sample clips.")
@click.option(
    "--out", type=click.Path(path_type=Path), metavar="DIR", help="Folder for the reports. Default: demo-report."
)
@click.option("--replace", is_flag=True, help="Replace the reports that are already in DIR.")
@open_option
@units_option
@interview_options
def demo(
    *,
    out: Path | None,
    replace: bool,
    opens: bool,
    misses: str,
    weak_putts: WeakPutts | None,
    putter_story: str,
    limits: str,
    notes: str,
) -> None:
    """Measure the sample clips and show each measure beside its true value.

    The clips are rendered, so the true values are known; their people are invented. What is typed goes in place of what
    they say.
    """
    from putt_posture.cli.lesson import show_understood
    from putt_posture.cli.table import open_console, show_beside_truth
    from putt_posture.cli.terminal import show_progress_between
    from putt_posture.demo import load_samples
    from putt_posture.services import LessonJob, run_jobs
    from putt_posture.shown_units import AsIs
    from putt_posture.values import Interview

    typed = Interview(misses=misses, weak_putts=weak_putts, putter_story=putter_story, limits=limits, notes=notes)
    samples = load_samples()
    out = _next_free(Path("demo-report")) if out is None else out
    jobs = [
        LessonJob(
            student=each.student,
            clips=each.clips,
            given={"interview": typed.filled_from(each.interview)},
            out=out / each.name,
            replace=replace,
            made_on=date.today(),
        )
        for each in samples
    ]
    for job in jobs:
        job.check()
    console = open_console(sys.stdout)
    stored: list[Path] = []
    try:
        results = show_progress_between(lambda tell: run_jobs(jobs, progress=tell))
        for sample, result in zip(samples, results, strict=True):
            lesson = result.measured()
            stored.append(out / sample.name / "report.html")
            console.print(f"\n{sample.name}: {sample.story}")
            show_understood(lesson.interview, handed=lesson.student.handed, console=console)
            show_beside_truth(lesson, sample.truth, console=console)
    except KeyboardInterrupt:
        if not stored:
            raise
        click.echo(f"\nputt-posture: Stopped. {len(stored)} of {len(samples)} reports are in {out}.", err=True)
        raise click.exceptions.Exit(stopped_code()) from None
    console.print(AsIs(f"\nWritten to {out}"), soft_wrap=True)
    for path in stored:
        console.print(AsIs(f"  {path}"), soft_wrap=True)
    say_what_to_open(stored[0], opens=opens, console=console)


def _next_free(folder: Path) -> Path:
    """Return the folder, or the first of folder-2, folder-3, … that is not there."""
    if not folder.exists():
        return folder
    return next(each for number in count(2) if not (each := folder.with_name(f"{folder.name}-{number}")).exists())
