"""One job in a process of its own, which is ended where it takes too long or too much memory.

A process is kept from job to job, so that its models are loaded once, and uses one processor: more work at once needs
more processes. A job that hangs, eats memory or crashes a decoder takes its process with it and nothing else; the next
job gets a new one.
"""

import os
import threading
import time
from contextlib import suppress
from typing import Final

import psutil
from attrs import field, frozen, validators

from putt_posture.errors import BeyondLimits, ProcessStopped
from putt_posture.services.jobs import Job, JobResult, run_job
from putt_posture.services.workers import Worker, Workers
from putt_posture.threads import hold_threads

__all__ = ["Limits", "count_workers", "end_workers", "run_limited"]

_LOOK_S: Final = 0.25
"""How often time and memory are looked at, s."""
_START_S: Final = 300.0
"""How long a process may take to start, which is not the lesson's time, s."""
_SEARCH: Final = 8
"""Every this many looks the processes that were started are searched for, which takes longer than to look at them."""
_MEGABYTE: Final = 1_000_000
_NEEDED_MB: Final = 1_200
"""Memory of a process that measures lessons of two clips."""
_MOST_IDLE: Final = 1_000
"""No process is ended because others are idle."""
_workers = Workers(most_idle=_MOST_IDLE)


@frozen(kw_only=True)
class Limits:
    """What one job may take.

    Attributes
    ----------
    seconds : float
        From the start of its work to the end. A lesson of two clips takes 10 to 60 s on one processor.
    memory_mb : float
        Of its process and those that it starts, together, in millions of bytes. A lesson takes about 1,000.
    """

    seconds: float = field(default=900.0, validator=validators.gt(0))
    memory_mb: float = field(default=4000.0, validator=validators.gt(0))


def count_workers() -> int:
    """Return how many processes suit this machine: one for each processor, as far as its free memory goes."""
    processors = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return max(1, min(processors, int(psutil.virtual_memory().available / _MEGABYTE / _NEEDED_MB)))


def run_limited(job: Job, limits: Limits) -> JobResult:
    """Run a job in a process of its own; an error is returned in the result.

    Parameters
    ----------
    job : Job
    limits : Limits

    Returns
    -------
    JobResult
        With a `BeyondLimits` where it was ended, a `ProcessKilled` where something else ended its process, and a
        `ProcessStopped` where that ended by itself.
    """
    workers = _workers
    try:
        worker = workers.take()
    except ProcessStopped as error:
        return JobResult(job=job, error=error)
    watch = _Watch(worker, limits)
    watch.start()
    try:
        result = worker.run(_run_on_one_processor, job)
    except Exception as error:
        result = JobResult(job=job, error=error)
    finally:
        watch.stop()
    if isinstance(result.error, MemoryError):
        result = JobResult(job=job, error=BeyondLimits("There was no memory left for it, so it ended. Allow more."))
    if watch.reason is not None and isinstance(result.error, ProcessStopped):
        result = JobResult(job=job, error=watch.reason)
    if worker.is_killed or isinstance(result.error, ProcessStopped):
        worker.close()
    else:
        workers.give_back(worker)
    return result


def end_workers() -> None:
    """End all processes of `run_limited`, whatever they do; later jobs get new ones."""
    global _workers
    _workers.stop()
    _workers = Workers(most_idle=_MOST_IDLE)


def _run_on_one_processor(job: Job) -> JobResult:
    hold_threads(1)
    return run_job(job)


class _Watch(threading.Thread):
    """Looks at one job's time and memory, and ends its process where there is too much of either."""

    def __init__(self, worker: Worker, limits: Limits) -> None:
        super().__init__(daemon=True, name="limits")
        self.reason: BeyondLimits | None = None
        self._worker = worker
        self._limits = limits
        self._done = threading.Event()
        self._began = time.monotonic()
        self._processes: list[psutil.Process] = []
        self._looks = 0

    def run(self) -> None:
        created = self._began
        while not self._done.wait(_LOOK_S):
            now = time.monotonic()
            if self._worker.pid is None and now - created < _START_S:
                self._began = now
            if now - self._began > self._limits.seconds:
                self._end(f"It was not done after {self._limits.seconds:g} s")
            elif (used := self._memory() / _MEGABYTE) > self._limits.memory_mb:
                self._end(f"It took {used:,.0f} MB of memory, and {self._limits.memory_mb:,.0f} MB are allowed")

    def stop(self) -> None:
        self._done.set()
        self.join()

    def _end(self, what: str) -> None:
        self.reason = BeyondLimits(f"{what}, so it was ended. Look at the clips, or allow more.")
        self._done.set()
        self._worker.kill()

    def _memory(self) -> int:
        """Return the memory of the process and those that it started, bytes; 0 where it has ended."""
        if self._looks % _SEARCH == 0 and (pid := self._worker.pid) is not None:
            with suppress(psutil.Error):
                process = psutil.Process(pid)
                self._processes = [process, *process.children(recursive=True)]
        self._looks += bool(self._processes)
        total = 0
        for each in self._processes:
            with suppress(psutil.Error):
                total += each.memory_info().rss
        return total
