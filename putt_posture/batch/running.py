"""A batch that runs: jobs to an executor, results to one writer, and what became of each lesson.

Nothing is lost and nothing is done twice. A lesson that is noted in the ledger is not touched. One that was measured
and not filed is filed. One that was filed and not noted is in the archive with the same document, and the archive
refuses it a second time, which is noted then. Only what belongs to one lesson can go wrong for one lesson: a job that
ends its process or goes beyond its limits is tried again, a clip that cannot be used lies aside at once. An archive
that is away for a while is waited for; if it stays away, the run stops, and the next run goes on.
"""

import time
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import FIRST_COMPLETED, Future, wait
from datetime import date
from typing import Any, Final

from attrs import define, evolve, fields, frozen

from putt_posture.archive import Archive
from putt_posture.batch.executors import Pool
from putt_posture.batch.ledger import Ledger, LedgerEntry, LessonState, key_of
from putt_posture.batch.lessons import BatchLesson
from putt_posture.batch.limits import Limits, run_limited
from putt_posture.batch.method import present_method
from putt_posture.errors import (
    AlreadyFiled,
    ArchiveError,
    ClusterError,
    NotAllowed,
    NotInArchive,
    ProcessStopped,
    PuttPostureError,
)
from putt_posture.services import Filing, JobResult, LessonJob, file_measured, find_filing_day, prepare_job

__all__ = ["BatchOutcome", "run_batch"]

_AHEAD: Final = 2
"""Jobs with the executor for each of its workers, so that none waits for the next."""
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
    state : {"filed", "already filed", "laid aside"}
    lesson : int or None
        Its number in the archive.
    says : str
        Why it lies aside; what the coach should know of it otherwise, or empty.
    tries : int
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


@define(kw_only=True, eq=False)
class _Task:
    lesson: BatchLesson
    key: str
    filing: Filing
    job: LessonJob
    tries: int = 0


def run_batch(
    archive: Archive,
    lessons: Iterable[BatchLesson | None],
    *,
    ledger: Ledger,
    pool: Pool,
    today: date,
    limits: Limits | None = None,
    tries: int = 3,
    try_again: bool = False,
    tell: Callable[[str], None] | None = None,
) -> Iterator[BatchOutcome]:
    """Measure and file many lessons.

    Parameters
    ----------
    archive : Archive
        Written by this process alone.
    lessons : iterable of BatchLesson or None
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

    Yields
    ------
    BatchOutcome
        Of each lesson, as soon as it is known.

    Raises
    ------
    ArchiveError
        If the archive stays away; what was done is noted, and the next run goes on there.
    ClusterError
        If the cluster stays away, likewise.
    """
    limits = limits or Limits()
    coming, is_ended = iter(lessons), False
    running: dict[Future[JobResult], _Task] = {}
    again: deque[_Task] = deque()
    try:
        while not is_ended or again or running:
            while len(running) < _AHEAD * pool.workers:
                if again:
                    task = again.popleft()
                else:
                    lesson = next(coming, _END)
                    is_ended = is_ended or lesson is _END
                    if not isinstance(lesson, BatchLesson):
                        break
                    prepared = _prepare(archive, lesson, ledger, today=today, try_again=try_again, tell=tell)
                    if isinstance(prepared, BatchOutcome):
                        yield prepared
                        continue
                    task = prepared
                task.tries += 1
                running[pool.executor.submit(run_limited, task.job, limits)] = task
            if not running:
                time.sleep(0.0 if is_ended else _LOOK_S)
                continue
            done, _ = wait(running, timeout=_LOOK_S, return_when=FIRST_COMPLETED)
            for future in done:
                task = running.pop(future)
                result = _result_of(task, future)
                if isinstance(result.error, ProcessStopped) and task.tries < tries:
                    again.append(task)
                    continue
                yield _finish(archive, task, result, ledger, today=today, tell=tell)
    finally:
        for future in running:
            future.cancel()


def _prepare(
    archive: Archive,
    lesson: BatchLesson,
    ledger: Ledger,
    *,
    today: date,
    try_again: bool,
    tell: Callable[[str], None] | None,
) -> "_Task | BatchOutcome":
    """Return what is to be done, or what has become of it already."""
    if lesson.fault:
        return _aside(lesson, lesson.fault)
    try:
        clips = {view: ledger.digest_of(path) for view, path in lesson.clips.items()}
    except OSError as error:
        return _aside(lesson, f"{error.filename} cannot be read ({error.strerror}). Look where it is.")
    key = key_of({**_said(lesson), "clips": clips, "method": present_method()})
    known = ledger.find(key)
    if known is not None and not (try_again and known.state == "laid aside"):
        return BatchOutcome(
            where=lesson.where,
            student=lesson.student,
            state=known.state,
            lesson=known.lesson,
            says=known.says,
            tries=known.tries,
            before=True,
        )
    try:
        filing = Filing(
            student=lesson.student,
            day=find_filing_day(lesson.clips, given=lesson.day, today=today).day,
            moment=lesson.moment,
            notes=lesson.notes,
            clips=lesson.clips,
            keep_pictures=lesson.keep_pictures,
            keep_clips=lesson.keep_clips,
        )
        job = _patiently(
            lambda: prepare_job(
                archive,
                filing,
                today=today,
                putter_length_cm=lesson.putter_length_cm,
                putter_lie_deg=lesson.putter_lie_deg,
                given=lesson.given,
            ),
            tell=tell,
        )
    except ArchiveError as error:
        if not _is_of_lesson(error):
            raise
        return _aside(lesson, str(error))
    except PuttPostureError as error:
        return _aside(lesson, str(error))
    task = _Task(lesson=lesson, key=key, filing=filing, job=evolve(job, made_on=filing.day))
    measured = ledger.load_measured(key)
    if measured is not None:
        return _finish(archive, task, JobResult(job=task.job, files=measured), ledger, today=today, tell=tell)
    return task


def _finish(
    archive: Archive,
    task: _Task,
    result: JobResult,
    ledger: Ledger,
    *,
    today: date,
    tell: Callable[[str], None] | None,
) -> BatchOutcome:
    """File what was measured, note what became of it, and return that."""
    if result.error is not None:
        return _note(ledger, task, LedgerEntry(state="laid aside", says=_sentence(result.error), tries=task.tries))
    ledger.keep_measured(task.key, result.files)
    try:
        filed = _patiently(lambda: file_measured(archive, task.filing, result, today=today), tell=tell)
    except AlreadyFiled as error:
        return _note(ledger, task, LedgerEntry(state="already filed", lesson=error.lesson, tries=task.tries))
    except ArchiveError as error:
        if not _is_of_lesson(error):
            raise
        return _note(ledger, task, LedgerEntry(state="laid aside", says=str(error), tries=task.tries))
    except PuttPostureError as error:
        return _note(ledger, task, LedgerEntry(state="laid aside", says=str(error), tries=task.tries))
    outcome = _note(ledger, task, LedgerEntry(state="filed", lesson=filed.lesson.number, tries=task.tries))
    return evolve(outcome, says=" ".join(filed.says))


def _note(ledger: Ledger, task: _Task, entry: LedgerEntry) -> BatchOutcome:
    ledger.write(task.key, entry)
    return BatchOutcome(
        where=task.lesson.where,
        student=task.lesson.student,
        state=entry.state,
        lesson=entry.lesson,
        says=entry.says,
        tries=entry.tries,
    )


def _aside(lesson: BatchLesson, says: str) -> BatchOutcome:
    """Return a lesson that was not begun; it is not noted, as its cause may be gone in the next run."""
    return BatchOutcome(where=lesson.where, student=lesson.student, state="laid aside", says=says, tries=0)


def _result_of(task: _Task, future: "Future[JobResult]") -> JobResult:
    """Return the result of a job; a lost worker is reported like a process that ended. Raises ClusterError."""
    try:
        return future.result()
    except ClusterError:
        raise
    except Exception as error:
        lost = ProcessStopped(f"The worker that did it was lost ({type(error).__name__}).")
        lost.__cause__ = error
        return JobResult(job=task.job, error=lost)


def _patiently(act: Callable[[], Any], *, tell: Callable[[str], None] | None) -> Any:
    """Do something with the archive; wait and try again where the archive is away."""
    for wait_s in _WAITS_S:
        try:
            return act()
        except ArchiveError as error:
            if _is_of_lesson(error):
                raise
            if tell is not None:
                tell(f"{error} Waiting {wait_s:g} s.")
            time.sleep(wait_s)
    return act()


def _is_of_lesson(error: ArchiveError) -> bool:
    return isinstance(error, (NotAllowed, NotInArchive))


def _sentence(error: Exception) -> str:
    return str(error) if isinstance(error, PuttPostureError) else f"It failed ({type(error).__name__}: {error})."


def _said(lesson: BatchLesson) -> Mapping[str, Any]:
    """Return what makes this lesson what it is, besides its clips."""
    left_out = ("where", "clips", "fault")
    return {each.name: getattr(lesson, each.name) for each in fields(BatchLesson) if each.name not in left_out}
