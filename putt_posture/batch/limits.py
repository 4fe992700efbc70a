"""One job in a process of its own, which is ended where it takes too long or too much memory.

Each thread that runs jobs keeps one process from job to job, so that its models are loaded once. A job that hangs, eats
memory or crashes a decoder takes that process with it and nothing else; the next job gets a new one.
"""

import threading
import time
from contextlib import suppress
from typing import Final

import psutil
from attrs import field, frozen, validators

from putt_posture.errors import BeyondLimits, ProcessStopped
from putt_posture.services.jobs import Job, JobResult, run_job
from putt_posture.services.workers import Worker

__all__ = ["Limits", "run_limited"]

_LOOK_S: Final = 0.5
"""How often time and memory are looked at, s."""
_MEGABYTE: Final = 1_000_000
_own: Final = threading.local()


@frozen(kw_only=True)
class Limits:
    """What one job may take.

    Attributes
    ----------
    seconds : float
        From the start of its work to the end. A lesson of two clips takes 10 to 60 s on two cores.
    memory_mb : float
        Of its process and those that it starts, together, in millions of bytes. A lesson takes about 1,400.
    """

    seconds: float = field(default=900.0, validator=validators.gt(0))
    memory_mb: float = field(default=4000.0, validator=validators.gt(0))


def run_limited(job: Job, limits: Limits) -> JobResult:
    """Run a job in this thread's process; an error is returned in the result.

    Parameters
    ----------
    job : Job
    limits : Limits

    Returns
    -------
    JobResult
        With a `BeyondLimits` where it was ended, and a `ProcessStopped` where its process ended by itself.
    """
    worker = getattr(_own, "worker", None)
    if worker is None:
        worker = _own.worker = Worker()
    watch = _Watch(worker, limits)
    watch.start()
    try:
        return worker.run(run_job, job)
    except ProcessStopped as error:
        close_own_worker()
        return JobResult(job=job, error=watch.reason or error)
    finally:
        watch.stop()


def close_own_worker() -> None:
    """End this thread's process, if it has one."""
    worker = getattr(_own, "worker", None)
    if worker is not None:
        _own.worker = None
        worker.close()


class _Watch(threading.Thread):
    """Looks at one job's time and memory, and ends its process where there is too much of either."""

    def __init__(self, worker: Worker, limits: Limits) -> None:
        super().__init__(daemon=True, name="limits")
        self.reason: BeyondLimits | None = None
        self._worker = worker
        self._limits = limits
        self._done = threading.Event()
        self._began = time.monotonic()

    def run(self) -> None:
        while not self._done.wait(_LOOK_S):
            if time.monotonic() - self._began > self._limits.seconds:
                self._end(f"It was not done after {self._limits.seconds:g} s")
            elif (used := _memory_of(self._worker.pid) / _MEGABYTE) > self._limits.memory_mb:
                self._end(f"It took {used:,.0f} MB of memory, and {self._limits.memory_mb:,.0f} MB are allowed")

    def stop(self) -> None:
        self._done.set()
        self.join()

    def _end(self, what: str) -> None:
        self.reason = BeyondLimits(f"{what}, so it was ended. Look at the clips, or allow more.")
        self._done.set()
        self._worker.kill()


def _memory_of(pid: int | None) -> int:
    """Return the memory of a process and those that it started, bytes; 0 where it has ended."""
    total = 0
    with suppress(psutil.Error):
        if pid is not None:
            process = psutil.Process(pid)
            for each in (process, *process.children(recursive=True)):
                with suppress(psutil.Error):
                    total += each.memory_info().rss
    return total
