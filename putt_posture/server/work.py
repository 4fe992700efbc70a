"""Long work, such as measuring a lesson: it runs in a worker, says how far it is, and can be cancelled.

A route starts the job of the service layer and goes on at once; the page follows it by its number::

    id = state.work.start(draft.id, LessonJob(…, out=state.drafts.result_folder(draft.id), replace=True))

A job writes its result whole or not at all. So cancelling kills the worker and removes the unfinished folder, and a
crash of one job tells that job and no more.
"""

import os
import secrets
import threading
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final, Literal

from attrs import define, field

from putt_posture.disk.unfinished import settle
from putt_posture.errors import ProcessStopped, PuttPostureError, UsageError
from putt_posture.services import Job, JobResult, run_job
from putt_posture.services.workers import Worker, Workers, tell_progress

__all__ = ["LongWork", "WorkRoom", "WorkState"]

WorkState = Literal["waiting", "running", "done", "failed", "cancelled"]
_KEPT: Final = 200
"""How many pieces of work that have ended can still be asked for."""
_LEAST_SHARE: Final = 0.03
"""Before this share is done, the time left would be a guess."""
_ENDED: Final = frozenset({"done", "failed", "cancelled"})


@define(eq=False)
class LongWork:
    """One piece of work; see `WorkRoom.start`.

    Attributes
    ----------
    id : str
        32 hexadecimal digits.
    name : str
        Whose work it is: the draft's id. A phone may follow the work of its draft.
    state : {"waiting", "running", "done", "failed", "cancelled"}
    what : str
        What is going on, in English, as the library says it.
    share : float
        Share done, 0 to 1.
    says : str
        Why it failed, in a sentence; empty otherwise.
    result : JobResult or None
        What the job returned, once it is done.
    """

    id: str
    name: str
    state: WorkState = "waiting"
    what: str = ""
    share: float = 0.0
    says: str = ""
    result: JobResult | None = field(default=None, repr=False)
    _began: float = field(factory=time.monotonic, init=False, repr=False)
    _told: float = field(default=0.0, init=False, repr=False)
    _worker: Worker | None = field(default=None, init=False, repr=False)
    _ended: threading.Event = field(factory=threading.Event, init=False, repr=False)
    _cancelled: bool = field(default=False, init=False, repr=False)

    @property
    def has_ended(self) -> bool:
        """Whether it is done, failed or cancelled."""
        return self.state in _ENDED

    @property
    def left_s(self) -> float | None:
        """Seconds that are left if it goes on as fast as so far; None if that cannot be said now."""
        if self.state != "running" or self.share < _LEAST_SHARE:
            return None
        left = (self._told - self._began) * (1.0 - self.share) / self.share - (time.monotonic() - self._told)
        return left if left > 0.0 else None

    def wait(self, timeout_s: float | None = None) -> bool:
        """Wait for the end, and return whether it has come.

        Parameters
        ----------
        timeout_s : float, optional
        """
        return self._ended.wait(timeout_s)

    def as_document(self) -> Mapping[str, Any]:
        """Return what a page shows of it, for JSON."""
        left = self.left_s
        return {
            "id": self.id,
            "state": self.state,
            "what": self.what,
            "share": round(self.share, 3),
            "left_s": None if left is None else round(left),
            "says": self.says,
        }


@define(eq=False)
class WorkRoom:
    """All work of the server.

    Attributes
    ----------
    most_at_once : int
        How many jobs run at once; the others wait for their turn.
    """

    most_at_once: int = field(factory=lambda: max(1, min(4, (os.cpu_count() or 2) // 2)))
    _workers: Workers = field(factory=Workers, init=False, repr=False)
    _all: dict[str, LongWork] = field(factory=dict, init=False, repr=False)
    _turns: threading.Semaphore = field(init=False, repr=False)
    _starting: threading.Lock = field(factory=threading.Lock, init=False, repr=False)
    _lock: threading.RLock = field(factory=threading.RLock, init=False, repr=False)

    def __attrs_post_init__(self) -> None:
        self._turns = threading.Semaphore(self.most_at_once)

    def start(self, name: str, job: Job) -> str:
        """Start a job and return the number of the work; earlier work of the same name is cancelled first.

        Parameters
        ----------
        name : str
            The draft's id.
        job : Job
            A `LessonJob`, or another value of that kind. It and its result can be pickled.

        Raises
        ------
        OutputError
            If the job says, before any long work, that its result cannot be written.
        """
        with self._starting:
            earlier = self.find_going_on(name)
            if earlier is not None:
                self.cancel(earlier.id)
            if (check := getattr(job, "check", None)) is not None:
                check()
            work = LongWork(id=secrets.token_hex(16), name=name)
            with self._lock:
                self._all[work.id] = work
                for id in [each.id for each in self._all.values() if each.has_ended][:-_KEPT]:
                    del self._all[id]
        threading.Thread(target=self._do, args=(work, job), daemon=True, name=f"work {work.id}").start()
        return work.id

    def find(self, id: str) -> LongWork:
        """Return a piece of work.

        Parameters
        ----------
        id : str

        Raises
        ------
        UsageError
            If there is none of this number; a server that was started again knows none of the earlier ones.
        """
        found = self._all.get(id)
        if found is None:
            raise UsageError("This work is not known: the program was started again since. Measure once more.")
        return found

    def find_going_on(self, name: str) -> LongWork | None:
        """Return the work of a draft that has not ended; None if there is none.

        Parameters
        ----------
        name : str
        """
        with self._lock:
            return next((each for each in self._all.values() if each.name == name and not each.has_ended), None)

    def cancel(self, id: str) -> None:
        """Stop a piece of work and wait until nothing of it is left; what has ended stays as it is.

        Parameters
        ----------
        id : str

        Raises
        ------
        UsageError
            If there is none of this number.
        """
        work = self.find(id)
        with self._lock:
            if work.has_ended:
                return
            work._cancelled = True
            if work._worker is not None:
                work._worker.kill()
            else:
                self._end(work, "cancelled")
        work.wait()

    def close(self) -> None:
        """Cancel all work and end all workers."""
        with self._starting:
            for work in list(self._all.values()):
                self.cancel(work.id)
        self._workers.close()

    def _do(self, work: LongWork, job: Job) -> None:
        with self._turns:
            with self._lock:
                if work.has_ended:
                    return
                worker = work._worker = self._workers.take()
                work._began = time.monotonic()
                work.state = "running"
            try:
                result = worker.run(_run_in_worker, job, progress=lambda what, share: _follow(work, what, share))
            except Exception as error:  # the process is lost, or the job or its result cannot be sent
                result = JobResult(job=job, error=error)
            with self._lock:
                work._worker = None
                usable = not worker.is_killed and not isinstance(result.error, ProcessStopped)
            if usable:
                self._workers.give_back(worker)
            else:
                worker.close()
                _clean_up(job)
            with self._lock:
                if work._cancelled:
                    self._end(work, "cancelled")
                elif result:
                    work.result = result
                    self._end(work, "done")
                else:
                    work.says = _say(result.error)
                    self._end(work, "failed")

    def _end(self, work: LongWork, state: WorkState) -> None:
        if state == "done":
            work.share = 1.0
        work.state = state
        work._ended.set()


def _run_in_worker(job: Job) -> JobResult:
    return run_job(job, progress=tell_progress)


def _follow(work: LongWork, what: str, share: float) -> None:
    work.what = what
    if share > work.share:
        work.share, work._told = min(1.0, share), time.monotonic()


def _clean_up(job: Job) -> None:
    """Undo what a killed worker left beside the place of its result."""
    out = getattr(job, "out", None)
    if isinstance(out, Path):
        settle(out.parent)


def _say(error: Exception | None) -> str:
    if isinstance(error, PuttPostureError):
        return str(error)
    return f"Something went wrong inside the program ({type(error).__name__}: {error}). The clips are kept: try again."
