"""A batch that runs: jobs to an executor, results to one writer, and what became of each lesson.

Nothing is lost and nothing is done twice. A lesson of clips that the archive holds is not touched, whether the run that
filed it noted that or not. What was measured and not filed is filed. Only what belongs to one lesson can go wrong for
one lesson: a job that ends its process or goes beyond its limits is tried again after the others, a clip that cannot be
used lies aside at once. A process that something outside ended was not at fault, so that such an end hardly counts. An
archive that is away for a while is waited for; if it stays away, the run stops, and the next run goes on.
"""

import time
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, wait
from contextlib import suppress
from datetime import date
from typing import Any, Final, TypeVar

from attrs import define, evolve, field, frozen

from putt_posture.archive import Archive
from putt_posture.batch.archived import AgainLesson
from putt_posture.batch.executors import Pool
from putt_posture.batch.ledger import Ledger, LedgerEntry, LessonState
from putt_posture.batch.lessons import BatchLesson
from putt_posture.batch.limits import Limits, run_limited
from putt_posture.batch.method import present_method
from putt_posture.batch.tasks import Ended, Task, begin_task
from putt_posture.errors import (
    AlreadyFiled,
    ArchiveAway,
    ArchiveError,
    BucketAway,
    ClusterError,
    NotAllowed,
    OutputError,
    ProcessKilled,
    ProcessStopped,
    PuttPostureError,
)
from putt_posture.services import JobResult, SharedArchive, share_archive

__all__ = ["BatchOutcome", "run_batch"]

T = TypeVar("T")
_AHEAD: Final = 2
"""Jobs with the executor for each of its workers, so that none waits for the next."""
_MOST_KILLED: Final = 10
"""How often something outside may end a lesson's process: it may be the system, each time that the lesson takes all
memory."""
_MOST_SAID: Final = 300
"""Letters that are shown of an error that is not the program's own."""
_LOOK_S: Final = 0.5
_END: Final = object()
_WAITS_S: Final = (1.0, 2.0, 4.0, 8.0, 15.0, 30.0, 60.0)
"""How long is waited before each further try to reach the archive, s."""


@frozen(kw_only=True)
class BatchOutcome:
    """What became of one lesson in this run.

    Attributes
    ----------
    where : str
        How the list or the folder calls it.
    student : int
    state : {"filed", "already filed", "unchanged", "laid aside"}
        ``unchanged``: it was measured again, and every number is the same as before.
    lesson : int or None
        Its number in the archive.
    says : str
        Why it lies aside; what the coach should know of it otherwise, or empty.
    tries : int
        How often it was begun in this run, or in the earlier one that noted it.
    before : bool
        Whether that was noted in an earlier run.
    """

    where: str
    student: int
    state: LessonState
    lesson: int | None = None
    says: str = ""
    tries: int = 1
    before: bool = False


def run_batch(
    archive: Archive,
    lessons: Iterable[BatchLesson | AgainLesson | None],
    *,
    ledger: Ledger,
    pool: Pool,
    today: date,
    limits: Limits | None = None,
    tries: int = 3,
    try_again: bool = False,
    tell: Callable[[str], None] | None = None,
    begin: Callable[[Any, Ledger], Task] = begin_task,
) -> Iterator[BatchOutcome]:
    """Measure and file many lessons.

    Parameters
    ----------
    archive : Archive
        Written by this process alone, or by the workers too where it takes many writers.
    lessons : iterable of BatchLesson, AgainLesson or None
        Taken one by one, as soon as there is room for them. None says that there is nothing to do at the moment.
    ledger : Ledger
        Of this archive.
    pool : Pool
        Where the jobs are run; see `open_executor`.
    today : date
        The day by which consent and ages are judged.
    limits : Limits, optional
        What one lesson may take.
    tries : int
        How often a lesson is tried whose process ended or went beyond its limits.
    try_again : bool
        Whether lessons that an earlier run laid aside are tried again.
    tell : callable, optional
        Called with a sentence where the run has to wait.
    begin : callable
        Makes the task of a lesson.

    Yields
    ------
    BatchOutcome
        Of each lesson, as soon as it is known.

    Raises
    ------
    ArchiveError
        If the archive can only be read, or stays away; what was done is noted, and the next run goes on there.
    BucketAway, ClusterError
        If the bucket of the clips or the cluster stays away, likewise.
    OutputError
        If the work folder cannot be used.
    """
    archive.check_writable()
    with share_archive(archive) as shared:
        run = _Run(
            archive=archive,
            shared=shared,
            ledger=ledger,
            pool=pool,
            today=today,
            limits=limits or Limits(),
            tries=tries,
            try_again=try_again,
            tell=tell,
            begin=begin,
        )
        yield from run.through(lessons)


@define(kw_only=True, eq=False)
class _Run:
    archive: Archive
    shared: SharedArchive | None
    ledger: Ledger
    pool: Pool
    today: date
    limits: Limits
    tries: int
    try_again: bool
    tell: Callable[[str], None] | None
    begin: Callable[[Any, Ledger], Task]
    _ended: dict[str, BatchOutcome] = field(factory=dict)
    """Of the lessons of this run, by key."""
    _same: dict[str, list[BatchLesson | AgainLesson]] = field(factory=dict)
    """Of each lesson that is to do, by key, those that are the same and were given later."""
    _running: dict[Future[JobResult], Task] = field(factory=dict)
    _again: deque[Task] = field(factory=deque)
    """Lessons that are tried again, after the others."""

    def through(self, lessons: Iterable[BatchLesson | AgainLesson | None]) -> Iterator[BatchOutcome]:
        """Yield what becomes of each lesson, and of those that are the same."""
        coming, is_ended = iter(lessons), False
        try:
            while not is_ended or self._again or self._running:
                while len(self._running) < _AHEAD * self.pool.workers:
                    lesson = _END if is_ended else next(coming, _END)
                    is_ended = lesson is _END
                    if isinstance(lesson, BatchLesson | AgainLesson):
                        yield from self._begin(lesson)
                    elif self._again:
                        yield from self._start(self._again.popleft())
                    else:
                        break
                if not self._running:
                    time.sleep(0.0 if is_ended and not self._again else _LOOK_S)
                    continue
                done, _ = wait(self._running, timeout=_LOOK_S, return_when=FIRST_COMPLETED)
                for future in done:
                    yield from self._end(self._running.pop(future), _result_of(future))
        finally:
            for future, task in self._running.items():
                if not future.cancel() and future.done():
                    self._keep_for_next(task, future)

    def _begin(self, lesson: BatchLesson | AgainLesson) -> Iterator[BatchOutcome]:
        """Begin with a lesson, or yield what became of it already."""
        if lesson.fault:
            yield _aside(lesson, lesson.fault)
            return
        try:
            task = self.begin(lesson, self.ledger)
        except (BucketAway, OutputError):
            raise
        except PuttPostureError as error:
            yield _aside(lesson, str(error))
            return
        if task.key in self._ended:
            yield _repeat(lesson, self._ended[task.key])
        elif task.key in self._same:
            self._same[task.key].append(lesson)
        else:
            self._same[task.key] = []
            yield from self._start(task)

    def _start(self, task: Task) -> Iterator[BatchOutcome]:
        """Hand the job of a task to the executor, or yield what became of it without."""
        try:
            ended = self._find_ended(task) if task.tries == 0 else None
            if ended is None:
                job = self._patiently(lambda: task.prepare(self.archive, today=self.today))
        except (ArchiveAway, BucketAway):
            raise
        except PuttPostureError as error:
            ended = _aside(task, str(error))
        if ended is not None:
            yield from self._tell(task, ended)
            return
        files = self.ledger.load_measured(task.key, task.name_result())
        if files is not None:
            yield from self._tell(task, self._finish(task, JobResult(job=job, files=files)))
            return
        if self.shared is not None:
            job = task.let_file(self.shared, today=self.today)
        task.tries += 1
        self._running[self.pool.executor.submit(run_limited, job, self.limits)] = task

    def _end(self, task: Task, result: JobResult) -> Iterator[BatchOutcome]:
        """Try a task again, or yield what became of it."""
        if self._is_to_try_again(task, result.error):
            self._again.append(task)
        else:
            yield from self._tell(task, self._finish(task, result))

    def _tell(self, task: Task, outcome: BatchOutcome) -> Iterator[BatchOutcome]:
        """Yield what became of a lesson and of those that are the same."""
        yield outcome
        if not (self.try_again and outcome.state == "laid aside"):
            self._ended[task.key] = outcome
        for lesson in self._same.pop(task.key, ()):
            yield _repeat(lesson, outcome)

    def _find_ended(self, task: Task) -> BatchOutcome | None:
        known = self.ledger.find(task.key)
        if known is not None and self.try_again and known.state == "laid aside":
            known = None
        if known is not None and known.state == "laid aside" and known.method == present_method():
            return _outcome(task, Ended(state="laid aside", says=known.says), tries=known.tries, before=True)
        ended = self._patiently(lambda: task.find_ended(self.archive, known))
        if ended is None or (ended.state == "laid aside" and self.try_again):
            return None
        self.ledger.remove_measured(task.key)  # a run that was killed may have filed it and left this
        return _outcome(task, ended, tries=0 if known is None else known.tries, before=known is not None)

    def _is_to_try_again(self, task: Task, error: Exception | None) -> bool:
        if isinstance(error, ProcessKilled):
            task.killed += 1
            return task.killed < _MOST_KILLED
        return isinstance(error, (ProcessStopped, BucketAway)) and task.tries - task.killed < self.tries

    def _finish(self, task: Task, result: JobResult) -> BatchOutcome:
        """File what was measured, note what became of it, and return that."""
        if isinstance(result.error, BucketAway):
            raise result.error
        if result.error is not None and not isinstance(result.error, AlreadyFiled | ArchiveError):
            return self._note(task, Ended(state="laid aside", says=_sentence(task, result.error)))
        if result.files:
            self.ledger.keep_measured(task.key, task.name_result(), result.files)
        try:
            ended = self._patiently(lambda: task.file(self.archive, result, today=self.today))
        except (ArchiveAway, BucketAway):
            raise
        except ArchiveError as error:  # not noted: consent may be given by the next run, or the archive be restored
            if isinstance(error, NotAllowed):
                self.ledger.remove_measured(task.key)
            return _outcome(task, Ended(state="laid aside", says=str(error)), tries=task.tries)
        except PuttPostureError as error:
            ended = Ended(state="laid aside", says=str(error))
        outcome = self._note(task, ended)
        self.ledger.remove_measured(task.key)
        return outcome

    def _keep_for_next(self, task: Task, future: Future[JobResult]) -> None:
        """Keep for the next run what a job measured that nothing was done with any more."""
        with suppress(PuttPostureError):
            result = _result_of(future)
            if result.error is None and result.files:
                self.ledger.keep_measured(task.key, task.name_result(), result.files)

    def _note(self, task: Task, ended: Ended) -> BatchOutcome:
        says = ended.says if ended.state == "laid aside" else ""
        entry = LedgerEntry(
            state=ended.state, lesson=ended.lesson, says=says, tries=task.tries, method=present_method()
        )
        for key in (task.key, *ended.keys):
            self.ledger.write(key, entry)
        return _outcome(task, ended, tries=task.tries)

    def _patiently(self, act: Callable[[], T]) -> T:
        """Do something with the archive; wait and try again where the archive is away."""
        for wait_s in _WAITS_S:
            try:
                return act()
            except ArchiveAway as error:
                if self.tell is not None:
                    self.tell(f"{error} Waiting {wait_s:g} s.")
                time.sleep(wait_s)
        return act()


def _outcome(task: Task, ended: Ended, *, tries: int, before: bool = False) -> BatchOutcome:
    return BatchOutcome(
        where=task.where,
        student=task.student,
        state=ended.state,
        lesson=ended.lesson,
        says=ended.says,
        tries=tries,
        before=before,
    )


def _aside(lesson: BatchLesson | AgainLesson | Task, says: str) -> BatchOutcome:
    """Return a lesson that was not begun; it is not noted, as its cause may be gone in the next run."""
    return BatchOutcome(where=lesson.where, student=lesson.student, state="laid aside", says=says, tries=0)


def _repeat(lesson: BatchLesson | AgainLesson, first: BatchOutcome) -> BatchOutcome:
    """Return what became of a lesson that was given twice."""
    state: LessonState = "already filed" if first.state == "filed" else first.state
    return evolve(first, where=lesson.where, state=state, says=f"It is the same lesson as {first.where}.", tries=0)


def _result_of(future: "Future[JobResult]") -> JobResult:
    """Return the result of a job; one that did not come back is reported like a process that ended.

    Raises ClusterError.
    """
    try:
        return future.result()
    except ClusterError:
        raise
    except PuttPostureError as error:
        return JobResult(job=None, error=error)
    except Exception as error:
        lost = ProcessStopped(f"The worker that did it gave no result ({type(error).__name__}).")
        lost.__cause__ = error
        return JobResult(job=None, error=lost)


def _sentence(task: Task, error: Exception) -> str:
    if isinstance(error, PuttPostureError):
        said = str(error)
    else:
        said = f"It failed ({type(error).__name__}: {' '.join(str(error).split())[:_MOST_SAID]})."
    return f"{said} It was tried {task.tries} times." if task.tries > 1 else said
