"""Lessons as jobs: a frozen value says what to do, its `run` does it, and any executor may run it.

A job and its result can be pickled, so that they can be sent to another process or machine. There the clips and the
folder of the job must have the same paths. A new kind of job is a frozen value with its own `run`; `run_jobs` takes any
mixture of them.
"""

import re
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
from putt_posture.services.overlays import draw_overlays
from putt_posture.shown_units import LengthUnit, show_lengths_in, shown_length_unit
from putt_posture.values import Lesson, Progress, Student, View, part_of_progress

__all__ = ["Job", "JobResult", "LessonJob", "paths_by_view", "run_job", "run_jobs"]

_WRITING: Final = 0.1
"""Share of the progress for drawing and writing; about their share of the time for a lesson with two clips."""
_OVERLAYS: Final = 0.6
"""Of that the share for the overlay clips of the stroke."""


def paths_by_view(clips: Mapping[View, Path | str]) -> dict[View, Path]:
    """Return a copy of the clips as a mapping that can be pickled.

    Parameters
    ----------
    clips : mapping of View to path
    """
    return {view: Path(path) for view, path in clips.items()}


class Job(Protocol):
    """A job: a value that can be pickled and run."""

    def run(self, *, progress: Progress | None = None) -> "JobResult":
        """Do the job; raise an error if it fails.

        Parameters
        ----------
        progress : callable, optional
        """
        ...


@frozen(kw_only=True)
class LessonJob:
    """A lesson to measure from clips.

    Attributes
    ----------
    student : Student
    clips : mapping of View to Path
        One or two videos or stills.
    given : mapping of str to object
        What the coach gave for each view, and the wanted setup: the other arguments of `measure_lesson`, by name.
    out : Path or None
        The folder for the report; without it the result has the files.
    replace : bool
        Whether an existing report in the folder may be replaced.
    hide_faces : bool
        Whether every head in the stills and the report is hidden.
    paper : {"a4", "letter"}
        What the PDFs are set for.
    made_on : date or None
        The day of the lesson; None means the day on which the job is run.
    names : mapping of View to str
        How the clips are called for people, where that is not the name of their file.
    units : {"cm", "inches"}
        In which lengths are shown in pages and pictures; those in force where the job is made, so that it shows the
        same in another process.
    """

    student: Student
    clips: Mapping[View, Path] = field(converter=paths_by_view)
    given: Mapping[str, Any] = field(factory=dict)
    out: Path | None = None
    replace: bool = False
    hide_faces: bool = False
    paper: pages.Paper = "a4"
    made_on: date | None = None
    names: Mapping[View, str] = field(factory=dict)
    units: LengthUnit = field(factory=shown_length_unit)

    def check(self) -> None:
        """Check, before any long work, that the result can be written to its place.

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
        try:
            lesson = pipeline.measure_lesson(
                student=self.student,
                down_the_line=self.clips.get("down_the_line"),
                face_on=self.clips.get("face_on"),
                progress=part_of_progress(progress, 0.0, 1.0 - _WRITING),
                **self.given,
            )
        except PuttPostureError as error:
            error.args = tuple(self._name(each) if isinstance(each, str) else each for each in error.args)
            raise
        lesson = self._with_names(lesson)
        if self.hide_faces:
            lesson = hide_faces(lesson)
        made_on, writing = self.made_on or date.today(), part_of_progress(progress, 1.0 - _WRITING, 1.0)
        files: dict[str, bytes] = {}
        with show_lengths_in(self.units):
            if self.out is None:
                files = pages.lesson_as_files(lesson, made_on=made_on, paper=self.paper, progress=writing)
            else:
                lesson, overlays = draw_overlays(lesson, progress=part_of_progress(writing, 0.0, _OVERLAYS))
                pages.store_lesson(
                    lesson,
                    self.out,
                    replace=self.replace,
                    made_on=made_on,
                    paper=self.paper,
                    overlays=overlays,
                    progress=part_of_progress(writing, _OVERLAYS, 1.0),
                )
        return JobResult(job=self, lesson=evolve(lesson, views={}), files=files)

    def _name(self, text: str) -> str:
        """Return a sentence with the names of the clips as people know them."""
        known = {self.clips[view].name: name for view, name in self.names.items() if view in self.clips}
        if not known:
            return text
        return re.sub("|".join(map(re.escape, known)), lambda found: known[found[0]], text)

    def _with_names(self, lesson: Lesson) -> Lesson:
        """Return the lesson with the names of the clips as people know them; where the clips are stays."""
        if not self.names:
            return lesson

        def named(notes: Iterable[str]) -> tuple[str, ...]:
            return tuple(map(self._name, notes))

        views = {
            view: evolve(
                each,
                clip=evolve(each.clip, shown_name=self.names.get(view, ""), notes=named(each.clip.notes)),
                landmarks=evolve(each.landmarks, notes=named(each.landmarks.notes)),
                scene=evolve(each.scene, warnings=named(each.scene.warnings)),
                notes=named(each.notes),
            )
            for view, each in lesson.views.items()
        }
        return evolve(lesson, views=views, warnings=named(lesson.warnings))


@frozen(kw_only=True, eq=False)
class JobResult:
    """The result of a job; falsy if it failed.

    Attributes
    ----------
    job : Job
    lesson : Lesson or None
        The numbers, without the pictures and outlines of its views, which are in the files and too large to send
        twice; None if the job failed.
    files : mapping of str to bytes
        The files of the lesson by name, if the job has no folder.
    filed : Filed or None
        What the archive has of it, where the job filed it itself; then there are no files.
    error : Exception or None
        Why it failed: a `PuttPostureError`, whose text is a sentence for the coach, or an unexpected error.
    """

    job: Any
    lesson: Lesson | None = field(default=None, repr=False)
    files: Mapping[str, bytes] = field(factory=dict, repr=False)
    filed: Any = field(default=None, repr=False)
    error: Exception | None = None

    def __bool__(self) -> bool:
        return self.error is None

    def measured(self) -> Lesson:
        """Return the lesson, or raise the error."""
        if self.error is not None:
            raise self.error
        if self.lesson is None:
            raise ProcessStopped("A job ended with neither a lesson nor an error. Run it again.")
        return self.lesson


def run_job(job: Job, *, progress: Progress | None = None) -> JobResult:
    """Run one job; an error is returned in the result.

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
    """Run jobs and yield their results in the order of the jobs, each as soon as it and those before it are done.

    Parameters
    ----------
    jobs : iterable of Job
    executor : Executor, optional
        Where the jobs are run: a `ProcessPoolExecutor`, or any other that follows `concurrent.futures`. Without it they
        are run one after the other in this process.
    progress : callable, optional
        Called with the work in this process; with an executor, with how many jobs have ended.

    Yields
    ------
    JobResult
        A failed job does not stop the others. If the caller stops iterating, jobs that have not begun are cancelled.
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
    """Wait for a result; a lost worker, or a job that could not be sent, is reported like any other failure."""
    try:
        return future.result()
    except PuttPostureError as error:
        return JobResult(job=job, error=error)
    except Exception as error:
        lost = ProcessStopped(f"A job returned no result ({type(error).__name__}: {error}). Run it again.")
        lost.__cause__ = error
        return JobResult(job=job, error=lost)


def _one_of(progress: Progress | None, number: int, count: int) -> Progress | None:
    """Return the progress of one job as a part of the whole."""
    if progress is None or count == 1:
        return progress
    tell = part_of_progress(progress, number / count, (number + 1) / count)
    return tell and (lambda what, share: tell(f"{number + 1} of {count}: {what}", share))
