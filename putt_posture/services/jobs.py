"""Lessons as jobs: one frozen value says what to do, one function does it, and any executor may run it.

A job and its result pickle, so that they travel to another process or another machine, where the clips and the folder
of the job must have the same paths. A new kind of job is a frozen value with a `run` of its own; `run_jobs` takes
any mixture of them.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from concurrent.futures import Executor, Future
from datetime import date
from pathlib import Path
from typing import Any, Final, Protocol

from attrs import evolve, field, frozen

from putt_posture import lesson as pipeline
from putt_posture import pages
from putt_posture.disk.folders import check_folder
from putt_posture.drawing import hide_faces
from putt_posture.errors import ProcessStopped, PuttPostureError
from putt_posture.values import Lesson, Progress, Student, View, part_of_progress

__all__ = ["Job", "JobResult", "LessonJob", "paths_by_view", "run_job", "run_jobs"]

_WRITING: Final = 0.1
"""Share of the progress for drawing and writing; about what it takes of a lesson from two clips."""


def paths_by_view(clips: Mapping[View, Path | str]) -> dict[View, Path]:
    """Return clips as a value keeps them: a mapping of its own, which pickles.

    Parameters
    ----------
    clips : mapping of View to path
    """
    return {view: Path(path) for view, path in clips.items()}


class Job(Protocol):
    """Something to be done: a value that pickles and knows how it is run."""

    def run(self, *, progress: Progress | None = None) -> "JobResult":
        """Do it, and raise what stands against it.

        Parameters
        ----------
        progress : callable, optional
        """
        ...


@frozen(kw_only=True)
class LessonJob:
    """One lesson to be measured from clips.

    Attributes
    ----------
    student : Student
    clips : mapping of View to Path
        One or two videos or stills.
    given : mapping of str to object
        What the coach gave for each view, and the setup that is wanted: the further arguments of `measure_lesson`, by
        name.
    out : Path or None
        The folder for the report; without it the files come back in the result.
    replace : bool
        Whether a report that is in the folder already may be replaced.
    hide_faces : bool
        Whether every head in the stills and the report is hidden.
    made_on : date or None
        The day of the lesson; the day on which the job is run where it is not known.
    """

    student: Student
    clips: Mapping[View, Path] = field(converter=paths_by_view)
    given: Mapping[str, Any] = field(factory=dict)
    out: Path | None = None
    replace: bool = False
    hide_faces: bool = False
    made_on: date | None = None

    def check(self) -> None:
        """Check, before any long work, that the result can be written where it is to go.

        Raises
        ------
        OutputError
            If the folder is in use or cannot be written.
        """
        if self.out is not None:
            check_folder(self.out, replace=self.replace, keep=self.clips.values())

    def run(self, *, progress: Progress | None = None) -> "JobResult":
        """Measure the clips, and write the report to the folder or return its files.

        Parameters
        ----------
        progress : callable, optional

        Raises
        ------
        UsageError, ClipError, InstallationError
            As `measure_lesson` and `store_lesson` do.
        """
        self.check()
        lesson = pipeline.measure_lesson(
            student=self.student,
            down_the_line=self.clips.get("down_the_line"),
            face_on=self.clips.get("face_on"),
            progress=part_of_progress(progress, 0.0, 1.0 - _WRITING),
            **self.given,
        )
        if self.hide_faces:
            lesson = hide_faces(lesson)
        made_on, writing = self.made_on or date.today(), part_of_progress(progress, 1.0 - _WRITING, 1.0)
        if self.out is None:
            files = pages.lesson_as_files(lesson, made_on=made_on, progress=writing)
        else:
            files = {}
            pages.store_lesson(lesson, self.out, replace=self.replace, made_on=made_on, progress=writing)
        return JobResult(job=self, lesson=evolve(lesson, views={}), files=files)


@frozen(kw_only=True, eq=False)
class JobResult:
    """What became of a job; falsy where it failed.

    Attributes
    ----------
    job : Job
    lesson : Lesson or None
        The numbers, without the pictures and outlines of its views, which are in the files and too large to travel
        twice; None where the job failed.
    files : mapping of str to bytes
        The files of the lesson by name, where the job names no folder.
    error : Exception or None
        Why it failed: a `PuttPostureError`, whose text is a sentence for the coach, or what nobody expected.
    """

    job: Any
    lesson: Lesson | None = field(default=None, repr=False)
    files: Mapping[str, bytes] = field(factory=dict, repr=False)
    error: Exception | None = None

    def __bool__(self) -> bool:
        return self.error is None

    def measured(self) -> Lesson:
        """Return the lesson, or raise what stood against it."""
        if self.error is not None:
            raise self.error
        if self.lesson is None:
            raise ProcessStopped("A job ended with neither a lesson nor an error. Run it again.")
        return self.lesson


def run_job(job: Job, *, progress: Progress | None = None) -> JobResult:
    """Run one job; what stands against it comes back in the result.

    Parameters
    ----------
    job : Job
    progress : callable, optional
    """
    try:
        return job.run(progress=progress)
    except Exception as error:
        return JobResult(job=job, error=error)


def run_jobs(
    jobs: Iterable[Job], *, executor: Executor | None = None, progress: Progress | None = None
) -> Iterator[JobResult]:
    """Run jobs and hand out their results in the order of the jobs, each as soon as those before it are there.

    Parameters
    ----------
    jobs : iterable of Job
    executor : Executor, optional
        Where the jobs are run: a `ProcessPoolExecutor`, or whatever else keeps to `concurrent.futures`. Without it they
        are run one after the other in this process.
    progress : callable, optional
        Told of the work in this process; with an executor, of how many jobs have ended.

    Yields
    ------
    JobResult
        A job that failed says so here and stops no other. If the caller stops asking, jobs that have not begun are
        taken back.
    """
    chosen = list(jobs)
    if executor is None:
        for number, job in enumerate(chosen):
            yield run_job(job, progress=_one_of(progress, number, len(chosen)))
        return
    yield from _run_elsewhere(chosen, executor, progress)


def _run_elsewhere(jobs: Sequence[Job], executor: Executor, progress: Progress | None) -> Iterator[JobResult]:
    waiting: list[Future[JobResult]] = []
    try:
        waiting += [executor.submit(run_job, job) for job in jobs]
        for number, (job, future) in enumerate(zip(jobs, waiting, strict=True), start=1):
            yield _result_of(job, future)
            if progress is not None:
                progress(f"{number} of {len(jobs)} lessons", number / len(jobs))
    finally:
        for future in waiting:
            future.cancel()


def _result_of(job: Job, future: "Future[JobResult]") -> JobResult:
    """Wait for a result; a worker that was lost, and a job that could not travel, are told like any other failure."""
    try:
        return future.result()
    except PuttPostureError as error:
        return JobResult(job=job, error=error)
    except Exception as error:
        lost = ProcessStopped(
            f"A job got no result from where it was run ({type(error).__name__}: {error}). Run it again."
        )
        lost.__cause__ = error
        return JobResult(job=job, error=lost)


def _one_of(progress: Progress | None, number: int, count: int) -> Progress | None:
    """Return the progress of one job as a part of that of all."""
    if progress is None or count == 1:
        return progress
    tell = part_of_progress(progress, number / count, (number + 1) / count)
    return tell and (lambda what, share: tell(f"{number + 1} of {count}: {what}", share))
