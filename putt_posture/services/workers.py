"""Processes that work for the page or a batch: each does one thing at a time and can be stopped without harm to others.

A worker is a `ProcessPoolExecutor` of one process, started afresh (``spawn``), so that it shares no lock and no open
file with the threads of the program that started it. If it crashes or is killed, only its own work is lost; the next
work gets a new one. An idle worker is kept, since it has imported everything. A worker ends when that program ends, in
whatever way.
"""

import multiprocessing
import os
import signal
import threading
import time
from collections.abc import Callable
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import suppress
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from typing import Any, Final, TypeVar
from weakref import WeakSet

import psutil
from attrs import define, field

from putt_posture.errors import ProcessKilled, ProcessStopped
from putt_posture.memory import give_memory_back, share_memory_among_threads
from putt_posture.values import Progress

__all__ = ["Worker", "Workers", "tell_progress"]

T = TypeVar("T")
_POLL_S: Final = 0.1
"""How often is looked whether a worker has told something or is done, s."""
_ENDING_S: Final = 2.0
"""How long a process that is gone may take until the system says how it ended, s."""
_FROM_OUTSIDE: Final = (-signal.SIGTERM, -getattr(signal, "SIGKILL", signal.SIGTERM))
"""Exit codes of a process that something else ended."""
_LOST: Final = (
    "The process that did this work ended before it was done. Nothing else was harmed. Close other programs, so that "
    "there is memory, and try again."
)
_tell: Connection | None = None
"""In a worker: where its progress goes."""
_telling: Final = threading.Lock()
"""Two clips are followed in two threads."""


class Worker:
    """One process; get one from `Workers.take`."""

    def __init__(self) -> None:
        os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # numpy reads it in the process before anything else runs
        context = multiprocessing.get_context("spawn")
        self._heard, told = context.Pipe(duplex=False)
        self._told = told
        self._executor = ProcessPoolExecutor(
            max_workers=1, mp_context=context, initializer=_begin_worker, initargs=(told,)
        )
        self._pid: int | None = None
        self._process: BaseProcess | None = None
        self._killed = False
        self._lock = threading.Lock()

    @property
    def pid(self) -> int | None:
        """The number of the process; None before it has begun."""
        return self._pid

    @property
    def is_killed(self) -> bool:
        """Whether it was ended by `kill`."""
        return self._killed

    def run(self, function: Callable[..., T], *given: Any, progress: Progress | None = None) -> T:
        """Run a function in the process, and return what it returns.

        Parameters
        ----------
        function : callable
            A public function of a module; it and what is given to it can be pickled.
        *given : Any
        progress : callable, optional
            Called in this process with what `tell_progress` is given in the other.

        Raises
        ------
        ProcessStopped
            If the process ends before it has answered; a `ProcessKilled` where something outside ended it.
        Exception
            What the function raises.
        """
        try:
            future = self._executor.submit(_do, function, *given)
            self._told.close()  # the process has its own by now; so the end of its messages is seen here
            self._wait(future, progress)
            return future.result()
        except (BrokenProcessPool, RuntimeError) as error:
            if isinstance(error, BrokenProcessPool) or self._killed:
                from_outside = not self._killed and self._exit_code() in _FROM_OUTSIDE
                raise (ProcessKilled if from_outside else ProcessStopped)(_LOST) from error
            raise

    def kill(self) -> None:
        """End the process and those that it started at once, whatever they do. It cannot be used any more."""
        with self._lock:
            self._killed = True
            pid = self._pid
        if pid is not None:
            started: list[psutil.Process] = []
            with suppress(psutil.Error):
                started = psutil.Process(pid).children(recursive=True)
            with suppress(OSError):
                os.kill(pid, getattr(signal, "SIGKILL", signal.SIGTERM))
            for each in started:  # a pose model that hangs would not notice that its user is gone
                with suppress(psutil.Error):
                    each.kill()

    def close(self) -> None:
        """End the process and wait for its end."""
        self.kill()
        self._executor.shutdown(wait=True, cancel_futures=True)
        self._heard.close()
        self._told.close()

    def _leave_results_to_it(self) -> None:
        """Close this process's copy of the end to which results are written.

        The executor keeps it, so a process that is killed within a long result would leave it waiting for the rest
        without end, although there is no one to write it (seen with Python 3.11).
        """
        written = getattr(getattr(self._executor, "_result_queue", None), "_writer", None)
        if written is not None:
            written.close()

    def _exit_code(self) -> int | None:
        """Return how the process ended; None where that is not known."""
        until = time.monotonic() + _ENDING_S
        while self._process is not None and self._process.exitcode is None and time.monotonic() < until:
            time.sleep(_POLL_S / 10)
        return None if self._process is None else self._process.exitcode

    def _wait(self, future: "Future[Any]", progress: Progress | None) -> None:
        """Hand on what the process tells until it is done."""
        while not future.done():
            self._hear(progress, wait_s=_POLL_S)
        while self._hear(progress, wait_s=0.0):
            pass

    def _hear(self, progress: Progress | None, *, wait_s: float) -> bool:
        try:
            if not self._heard.poll(wait_s):
                return False
            told = self._heard.recv()
        except (EOFError, OSError):  # it has ended, perhaps in the middle of a message
            time.sleep(wait_s)
            return False
        if isinstance(told, int):
            with self._lock:
                self._pid = told
                self._process = next((each for each in multiprocessing.active_children() if each.pid == told), None)
                killed = self._killed
            self._leave_results_to_it()
            if killed:  # it was stopped before it had said its number
                self.kill()
        elif progress is not None:
            progress(*told)
        return True


@define
class Workers:
    """Workers that are idle, to be taken and given back.

    Attributes
    ----------
    most_idle : int
        How many are kept.
    """

    most_idle: int = 1
    _idle: list[Worker] = field(factory=list, init=False, repr=False)
    _lent: "WeakSet[Worker]" = field(factory=WeakSet, init=False, repr=False)
    _stopped: bool = field(default=False, init=False, repr=False)
    _lock: threading.Lock = field(factory=threading.Lock, init=False, repr=False)

    def take(self) -> Worker:
        """Return a worker that is not in use; give it back with `give_back`, or `Worker.close` it.

        Raises
        ------
        ProcessStopped
            After `stop`.
        """
        with self._lock:
            if self._stopped:
                raise ProcessStopped("The work was stopped before it had begun.")
            worker = self._idle.pop() if self._idle else Worker()
            self._lent.add(worker)
            return worker

    def give_back(self, worker: Worker) -> None:
        """Take back a worker that has done its work.

        Parameters
        ----------
        worker : Worker
        """
        with self._lock:
            self._lent.discard(worker)
            if len(self._idle) < self.most_idle and not self._stopped:
                self._idle.append(worker)
                return
        worker.close()

    def run(self, function: Callable[..., T], *given: Any, limit_s: float) -> T:
        """Run a function in a worker and return what it returns.

        Parameters
        ----------
        function : callable
        *given : Any
            As for `Worker.run`.
        limit_s : float
            How long it may take; then the process is ended.

        Raises
        ------
        ProcessStopped
            If the process ended, or took too long.
        Exception
            What the function raises.
        """
        worker = self.take()
        timer = threading.Timer(limit_s, worker.kill)
        timer.daemon = True
        timer.start()
        try:
            answer = worker.run(function, *given)
        except ProcessStopped:
            timer.cancel()
            worker.close()
            raise
        except BaseException:
            timer.cancel()
            self.give_back(worker)
            raise
        timer.cancel()
        if worker.is_killed:  # the time was over as it was done
            worker.close()
        else:
            self.give_back(worker)
        return answer

    def close(self) -> None:
        """End all idle workers."""
        with self._lock:
            idle, self._idle = self._idle, []
        for worker in idle:
            worker.close()

    def stop(self) -> None:
        """End all workers, those in use too, whose work is lost; no other is lent."""
        with self._lock:
            self._stopped = True
            lent = list(self._lent)
        for worker in lent:
            worker.kill()
        self.close()


def tell_progress(what: str, share: float) -> None:
    """In a worker: tell the program that started it what is going on; anywhere else nothing happens.

    Parameters
    ----------
    what : str
    share : float
        Share done, 0 to 1.
    """
    if _tell is not None:
        with _telling, suppress(OSError):  # that program is gone, and this process will be in a moment
            _tell.send((what, share))


def _begin_worker(told: Connection) -> None:
    """Prepare the process: it ends with the program that started it, and leaves Ctrl+C to it."""
    global _tell
    _tell = told
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    share_memory_among_threads()
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_end_with, args=(parent,), daemon=True).start()
    told.send(os.getpid())


def _do(function: Callable[..., T], *given: Any) -> T:
    try:
        return function(*given)
    finally:
        give_memory_back()


def _end_with(parent: Any) -> None:
    parent.join()
    os._exit(1)
