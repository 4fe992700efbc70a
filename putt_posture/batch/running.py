"""A batch that runs: jobs to an executor, results to one writer, and what became of each lesson.

Nothing is lost and nothing is done twice. A lesson of clips that the archive holds is not touched, whether the run that
filed it noted that or not. What was measured and not filed is filed. Only what belongs to one lesson can go wrong for
one lesson: a job that ends its process or goes beyond its limits is tried again after the others, a clip that cannot be
used lies aside at once. A process that something outside ended was not at fault, so that such an end hardly counts. An
archive that is away for a while is waited for; if it stays away, the run stops, and the next run goes on.
"""

import time
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, wait
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
from putt_posture.figures import count_of
from putt_posture.services import JobResult
from putt_posture.values import Progress

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
    progress: Progress | None = None,
    begin: Callable[[Any, Ledger], Task] = begin_task,
) -> Iterator[BatchOutcome]:
    """Measure and file many lessons.

    Parameters
    ----------
    archive : Archive
        Written by this process alone.
    lessons : iterable of BatchLesson, AgainLesson or None
        Taken one by one, as soon as there is room for them. None says that there is nothing to do at the moment. Of a
        sequence, those with a fault come first.
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
    progress : callable, optional
        Called with how many lessons are done, and the share done.
    begin : callable
        Makes the task of a lesson.

    Yields
    ------
    BatchOutcome
        Of each lesson, as soon as it is known; first of those that cannot be done as they are given.

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
    run = _Run(
        archive=archive,
        ledger=ledger,
        pool=pool,
        today=today,
        limits=limits or Limits(),
        tries=tries,
        try_again=try_again,
        tell=tell,
        begin=begin,
    )
    if not isinstance(lessons, Sequence):
        yield from run.through(lessons)
        return
    count = len(lessons)
    if progress is not None:
        progress(f"0 of {count_of(count, 'lesson')}", 0.0)
    for done, outcome in enumerate(run.through(sorted(lessons, key=_has_no_fault)), 1):
        yield outcome
        if progress is not None and done < count:
            progress(f"{done} of {count_of(count, 'lesson')}", done / count)


@define(kw_only=True, eq=False)
class _Run:
    archive: Archive
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
    _begun: set[str] = field(factory=set)
    """Of the lessons that are to do, by key."""
    _same: dict[str, list[BatchLesson | AgainLesson]] = field(factory=dict)
    """Lessons that were given again while the first of the same is still to do, by key."""
    _shown: dict[str, tuple[int, str]] = field(factory=dict)
    """Whom each clip shows, and where that was said, by digest."""

    def through(self, lessons: Iterable[BatchLesson | AgainLesson | None]) -> Iterator[BatchOutcome]:
        """Yield what becomes of each lesson, and of those that are the same."""
        for key, outcome in self._run(lessons):
            yield outcome
            if key is None:
                continue
            self._begun.discard(key)
            if not (self.try_again and outcome.state == "laid aside"):
                self._ended[key] = outcome
            for lesson in self._same.pop(key, ()):
                yield self._repeat(lesson, outcome)

    def _run(self, lessons: Iterable[BatchLesson | AgainLesson | None]) -> Iterator[tuple[str | None, BatchOutcome]]:
        coming, is_ended = iter(lessons), False
        again: deque[Task] = deque()
        running: dict[Future[JobResult], Task] = {}
        try:
            while not is_ended or again or running:
                while len(running) < _AHEAD * self.pool.workers:
                    lesson: Any = _END if is_ended else next(coming, _END)
                    is_ended = lesson is _END
                    if isinstance(lesson, (BatchLesson, AgainLesson)):
                        task = self._take(lesson)
                    elif again:
                        task = again.popleft()
                    else:
                        break
                    if isinstance(task, BatchOutcome):
                        yield None, task
                    elif task is not None:
                        yield from self._start(task, running)
                if not running:
                    time.sleep(0.0 if is_ended else _LOOK_S)
                    continue
                done, _ = wait(running, timeout=_LOOK_S, return_when=FIRST_COMPLETED)
                for future in done:
                    task = running.pop(future)
                    result = _result_of(future)
                    if self._is_to_try_again(task, result.error):
                        again.append(task)
                    else:
                        yield task.key, self._finish(task, result)
        finally:
            for future in running:
                future.cancel()

    def _take(self, lesson: BatchLesson | AgainLesson) -> Task | BatchOutcome | None:
        """Return the task of a lesson, or why it cannot be done; None where the same was given before."""
        if lesson.fault:
            return _aside(lesson, lesson.fault)
        try:
            task = self.begin(lesson, self.ledger)
        except (BucketAway, OutputError):
            raise
        except PuttPostureError as error:
            return _aside(lesson, str(error))
        for view, digest in task.clips.items():
            student, where = self._shown.setdefault(digest, (task.student, task.where))
            if student != task.student:
                return _aside(
                    lesson,
                    f"Its {view.replace('_', ' ')} clip is also given for student {student} ({where}). Give the right "
                    "number, or another clip.",
                )
        if task.key in self._ended:
            return self._repeat(lesson, self._ended[task.key])
        if task.key in self._begun:
            self._same.setdefault(task.key, []).append(lesson)
            return None
        self._begun.add(task.key)
        return task

    def _start(self, task: Task, running: dict[Future[JobResult], Task]) -> Iterator[tuple[str, BatchOutcome]]:
        """Hand the job of a task to the executor, or yield what became of it without."""
        try:
            ended = self._find_ended(task) if task.tries == 0 else None
            if ended is not None:
                yield task.key, ended
                return
            job = self._patiently(lambda: task.prepare(self.archive, today=self.today))
        except (ArchiveAway, BucketAway):
            raise
        except PuttPostureError as error:
            yield task.key, _aside(task, str(error))
            return
        files = self.ledger.load_measured(task.name_result())
        if files is not None:
            yield task.key, self._finish(task, JobResult(job=job, files=files))
            return
        task.tries += 1
        running[self.pool.executor.submit(run_limited, job, self.limits)] = task

    def _find_ended(self, task: Task) -> BatchOutcome | None:
        known = self.ledger.find(task.key)
        if known is not None and self.try_again and known.state == "laid aside":
            known = None
        if known is not None and known.state == "laid aside" and known.method == present_method():
            return _outcome(task, Ended(state="laid aside", says=known.says), tries=known.tries, before=True)
        ended = self._patiently(lambda: task.find_ended(self.archive, known))
        if ended is None or (ended.state == "laid aside" and self.try_again):
            return None
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
        if result.error is not None:
            return self._note(task, Ended(state="laid aside", says=_sentence(task, result.error)))
        name = task.name_result()
        self.ledger.keep_measured(name, result.files)
        try:
            ended = self._patiently(lambda: task.file(self.archive, result.files, today=self.today))
        except (ArchiveAway, BucketAway):
            raise
        except ArchiveError as error:  # not noted: consent may be given by the next run, or the archive be restored
            if isinstance(error, NotAllowed):
                self.ledger.remove_measured(name)
            return _outcome(task, Ended(state="laid aside", says=str(error)), tries=task.tries)
        except PuttPostureError as error:
            ended = Ended(state="laid aside", says=str(error))
        outcome = self._note(task, ended)
        self.ledger.remove_measured(name)
        return outcome

    def _note(self, task: Task, ended: Ended) -> BatchOutcome:
        says = ended.says if ended.state == "laid aside" else ""
        entry = LedgerEntry(
            state=ended.state, lesson=ended.lesson, says=says, tries=task.tries, method=present_method()
        )
        for key in (task.key, *ended.keys):
            self.ledger.write(key, entry)
        return _outcome(task, ended, tries=task.tries)

    def _repeat(self, lesson: BatchLesson | AgainLesson, first: BatchOutcome) -> BatchOutcome:
        """Return what became of a lesson that was given twice."""
        state: LessonState = "already filed" if first.state == "filed" else first.state
        return evolve(first, where=lesson.where, state=state, says=f"It is the same lesson as {first.where}.", tries=0)

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


def _has_no_fault(lesson: BatchLesson | AgainLesson | None) -> bool:
    return lesson is None or not lesson.fault


def _aside(lesson: BatchLesson | AgainLesson | Task, says: str) -> BatchOutcome:
    """Return a lesson that was not begun; it is not noted, as its cause may be gone in the next run."""
    return BatchOutcome(where=lesson.where, student=lesson.student, state="laid aside", says=says, tries=0)


def _result_of(future: "Future[JobResult]") -> JobResult:
    """Return the result of a job; a lost worker is reported like a process that something outside ended.

    Raises ClusterError where the cluster itself is lost.
    """
    try:
        return future.result()
    except ClusterError:
        raise
    except Exception as error:
        lost = ProcessKilled(f"The worker that did it was lost ({type(error).__name__}).")
        lost.__cause__ = error
        return JobResult(job=None, error=lost)


def _sentence(task: Task, error: Exception) -> str:
    if isinstance(error, PuttPostureError):
        said = str(error)
    else:
        said = f"It failed ({type(error).__name__}: {' '.join(str(error).split())[:_MOST_SAID]})."
    return f"{said} It was tried {task.tries} times." if task.tries > 1 else said
