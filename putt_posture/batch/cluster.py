"""A Dask cluster as an executor of `concurrent.futures` that outlives lost workers and a lost scheduler.

Dask itself gives what a lost worker had to another one. A scheduler that is started again knows nothing of what it was
given before; what was with it is given to it once more. One thread waits for the scheduler, sends calls and fetches
results, so that whoever holds a future sees only that it takes longer. Results of workers come through the scheduler.
"""

import importlib
import logging
import multiprocessing
import os
import socket
import threading
import time
from collections.abc import Callable
from concurrent.futures import Executor, Future
from contextlib import suppress
from functools import cache
from multiprocessing.util import Finalize
from typing import Any, Final, TypeVar

from attrs import define, frozen

from putt_posture.batch.cluster_address import ClusterAddress, read_cluster_address
from putt_posture.batch.limits import end_workers
from putt_posture.batch.method import present_method
from putt_posture.errors import ClusterError, InstallationError, ProcessStopped, UsageError

__all__ = ["ClusterExecutor", "run_in_worker"]

T = TypeVar("T")
_ANSWER_S: Final = 20.0
"""How long a scheduler may take to answer."""
_LOOK_S: Final = 0.05
"""How often it is looked whether something is done, s."""
_COUNT_S: Final = 2.0
"""How often the workers are counted, s."""
_PATIENCE_S: Final = 600.0
"""How long is waited for a scheduler or for workers, s."""
_GREETING_BYTES: Final = 100_000
"""More than the first message of any scheduler."""
_TRIES: Final = 3
"""How often a clip may not be seen by a worker: a shared folder may be away for a moment."""
_GO_ON: Final = "What was done is noted. Start the cluster and give the same command again to go on."
_SILENT: Final = ("distributed", "distributed.client", "distributed.core", "distributed.comm", "tornado.application")
"""Loggers of Dask whose messages say what the sentences here say."""


@define(eq=False)
class _Call:
    """One call, the future that was promised for it, and Dask's future while it is with the scheduler."""

    function: Callable[..., Any]
    given: tuple[Any, ...]
    promise: "Future[Any]"
    sent: Any = None
    unseen: int = 0


@frozen(kw_only=True)
class _Answer:
    """What a call returned, on which machine, and which clips of its job are not there."""

    value: Any
    host: str
    unseen: tuple[str, ...]


class ClusterExecutor(Executor):
    """Run calls on the workers of a Dask cluster; `shutdown` it at the end.

    Parameters
    ----------
    address : str
        Of the scheduler; see `read_cluster_address`.
    patience_s : float
        How long is waited for a scheduler, or for workers, before all calls fail.
    tell : callable, optional
        Called, in another thread, with a sentence where something has to be waited for.

    Raises
    ------
    UsageError
        If the address cannot be used, or nothing answers there.
    InstallationError
        If Dask is not installed.
    ClusterError
        If a worker has another version of the program than this computer, or none.
    """

    def __init__(
        self, address: str, *, patience_s: float = _PATIENCE_S, tell: Callable[[str], None] | None = None
    ) -> None:
        self.address: ClusterAddress = read_cluster_address(address)
        self._dask = _import_dask()
        self._patience_s = patience_s
        self._tell = tell or (lambda _says: None)
        self._calls: list[_Call] = []
        self._lock = threading.Lock()
        self._wake = threading.Event()
        self._ending = False
        self._error: ClusterError | None = None
        self._threads = 0
        self._known: set[str] = set()
        self._counted_at = self._good_at = time.monotonic()
        self._said = ""
        try:
            self._client: Any = self._connect()
        except OSError as error:
            raise UsageError(
                f"No cluster answers at {self.address} ({_short(error)}). Give the address that its scheduler prints "
                "when it starts."
            ) from None
        if self.address.warning:
            self._tell(self.address.warning)
        try:
            with suppress(OSError):
                self._count()
            if not self._threads:
                self._say_no_workers()
        except BaseException:
            self._client.close(timeout=5)
            raise
        self._thread = threading.Thread(target=self._work, name="cluster", daemon=True)
        self._thread.start()

    @property
    def workers(self) -> int:
        """How many calls the cluster runs at once now, at least 1; it changes as workers come and go."""
        return max(self._threads, 1)

    def submit(self, function: Callable[..., T], /, *given: Any, **named: Any) -> "Future[T]":
        """Have a worker call a function, and return the future of what it returns.

        Parameters
        ----------
        function : callable
            A public function of a module that the workers have.
        *given, **named : Any
            Can be pickled.

        Raises
        ------
        ClusterError
            If the cluster was lost.
        """
        if named:
            raise TypeError("calls on a cluster take arguments by place")
        promise: Future[T] = Future()
        with self._lock:
            if self._error is not None:
                raise self._error
            if self._ending:
                raise RuntimeError("the executor was shut down")
            self._calls.append(_Call(function, given, promise))
        self._wake.set()
        return promise

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """Take no more calls, and leave the cluster.

        Parameters
        ----------
        wait : bool
            Whether to wait for the calls that were submitted.
        cancel_futures : bool
            Whether calls that are not done are given up.
        """
        with self._lock:
            self._ending = True
            calls = list(self._calls)
        if cancel_futures or not wait:
            for call in calls:
                call.promise.cancel()
        self._wake.set()
        self._thread.join()

    def _work(self) -> None:
        """Send and fetch until the end."""
        try:
            while True:
                with self._lock:
                    if self._ending and not self._calls:
                        return
                    calls = list(self._calls)
                self._wake.clear()
                try:
                    self._be_there()
                    done = self._go_on(calls)
                except (OSError, self._dask.CancelledError) as error:  # looked at again after the next connection
                    self._wait_for_scheduler(error)
                    continue
                with self._lock:
                    self._calls = [call for call in self._calls if call not in done]
                if not done:
                    self._wake.wait(_LOOK_S)
        except ClusterError as error:
            self._fail(error)
        except Exception as error:
            self._fail(ClusterError(f"The cluster at {self.address} failed ({_short(error)}). {_GO_ON}"))
        finally:
            with suppress(Exception):
                self._client.close(timeout=5)

    def _be_there(self) -> None:
        """Count the workers now and then; raise OSError where the scheduler is away, ClusterError after too long."""
        if self._client.status != "running":
            raise OSError("it does not answer")
        if time.monotonic() - self._counted_at >= _COUNT_S:
            self._count()
        if self._threads:
            self._good_at = time.monotonic()
            if self._said:
                self._said = ""
                self._tell(f"The cluster at {self.address} works again.")
        else:
            self._say_no_workers()
            self._look_at_patience("has had no workers")

    def _count(self) -> None:
        """Count the threads of the workers, and refuse workers that measure by another method."""
        self._counted_at = time.monotonic()
        threads: dict[str, int] = self._client.sync(self._client.scheduler.ncores, callback_timeout=_ANSWER_S)
        new = sorted(threads.keys() - self._known)
        if new:
            answers = self._client.run(present_method, workers=new, on_error="return")
            for worker, method in answers.items():
                _check_method(worker, method)
            self._known |= answers.keys()
        self._threads = sum(threads.values())

    def _go_on(self, calls: list[_Call]) -> list[_Call]:
        """Send calls and fetch results; return the calls that are done.

        No more calls are with the scheduler than it has threads: Dask would put those that wait behind one that runs,
        and leave them there when another worker is idle or joins.
        """
        done = []
        for call in calls:
            free = self._threads - sum(each.sent is not None and each not in done for each in calls)
            if self._go_on_with(call, may_send=free > 0):
                done.append(call)
        return done

    def _go_on_with(self, call: _Call, *, may_send: bool) -> bool:
        """Send a call if it may be sent, or look what became of it; tell whether it is done."""
        if call.promise.cancelled():
            if call.sent is not None:
                call.sent.cancel(force=True)
            return True
        if call.sent is None or call.sent.status in ("cancelled", "lost"):
            call.sent = None
            if not may_send:
                return False
            name = f"lesson-{os.urandom(8).hex()}"
            call.sent = self._client.submit(run_in_worker, call.function, *call.given, pure=False, key=name)
            return False
        if call.sent.status == "finished":
            try:
                answer = call.sent.result(timeout=_ANSWER_S)
            except (TimeoutError, self._dask.CancelledError):  # lost with its worker, which Dask notes in a moment
                return False
            if self._is_unseen(call, answer):
                call.sent.release()
                call.sent = None
                return False
            if call.promise.set_running_or_notify_cancel():
                call.promise.set_result(answer.value)
        elif call.sent.status == "error":
            error = call.sent.exception(timeout=_ANSWER_S)
            if call.promise.set_running_or_notify_cancel():
                call.promise.set_exception(self._read_error(error))
        else:
            return False
        call.sent.release()
        return True

    def _is_unseen(self, call: _Call, answer: _Answer) -> bool:
        """Tell whether a worker did not see a clip that is seen here; after some times the run cannot go on."""
        missed = [path for path in answer.unseen if os.path.isfile(path)]
        call.unseen += bool(missed)
        if missed and call.unseen >= _TRIES:
            raise ClusterError(
                f"The workers of the cluster on {answer.host} do not see {missed[0]}, which this computer sees. Give "
                f"them the same folder at the same path. {_GO_ON}"
            )
        return bool(missed)

    def _read_error(self, error: BaseException) -> BaseException:
        """Return what a call fails with; look at the workers anew, as one of them may not be fit for it."""
        if isinstance(error, self._dask.KilledWorker):
            return ProcessStopped(
                "The workers of the cluster that had it ended one after the other. See that they have enough memory."
            )
        if isinstance(error, ImportError):
            self._known.clear()
            self._count()
        return error

    def _wait_for_scheduler(self, error: BaseException) -> None:
        """Wait a moment for a scheduler that is away, and connect again where Dask has given up."""
        self._threads, self._known = 0, set()
        self._say_once(
            f"The scheduler at {self.address} does not answer. Waiting for it for {self._patience_s / 60:g} minutes."
        )
        self._look_at_patience(f"has not answered ({_short(error)})")
        if self._ending and all(call.promise.cancelled() for call in self._calls):
            self._calls.clear()
            return
        time.sleep(_LOOK_S)
        if self._client.status in ("closed", "closing"):
            for call in self._calls:
                call.sent = None
            with suppress(OSError):
                self._client = self._connect()

    def _connect(self) -> Any:
        """Return a client of Dask. Raises OSError where no scheduler answers."""
        if self.address.scheme == "tls" and not self._dask.Security().get_connection_args("client").get("ssl_context"):
            raise UsageError(
                f"{self.address} needs certificates, and Dask's configuration has none. Set its values under "
                "distributed.comm.tls (ca-file, and client.key and client.cert) in ~/.config/dask/distributed.yaml."
            )
        _knock(self.address)
        try:
            return self._dask.Client(str(self.address), timeout=_ANSWER_S, set_as_default=False)
        except (ValueError, AssertionError) as error:  # the second where a machine is too busy to start its thread
            raise OSError(_short(error)) from None

    def _look_at_patience(self, what: str) -> None:
        minutes = self._patience_s / 60
        if time.monotonic() - self._good_at > self._patience_s:
            raise ClusterError(f"The cluster at {self.address} {what} for {minutes:g} minutes. {_GO_ON}")

    def _say_no_workers(self) -> None:
        self._say_once(
            f"The cluster at {self.address} has no workers. Start some: dask worker {self.address} --nthreads 1. "
            f"Waiting for them for {self._patience_s / 60:g} minutes."
        )

    def _say_once(self, says: str) -> None:
        if self._said != says:
            self._said = says
            self._tell(says)

    def _fail(self, error: ClusterError) -> None:
        with self._lock:
            self._error = error
            calls, self._calls = self._calls, []
        for call in calls:
            if call.promise.set_running_or_notify_cancel():
                call.promise.set_exception(error)


def run_in_worker(function: Callable[..., Any], *given: Any) -> _Answer:
    """In a worker of a cluster: call a function that starts processes of its own.

    Parameters
    ----------
    function : callable
    *given : Any
        Such as jobs; it is looked whether their clips are there.
    """
    _prepare_worker()
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command has it, and Dask where a worker has a nanny
    clips = [path for each in given for path in getattr(each, "clips", {}).values()]
    unseen = tuple(os.fspath(path) for path in clips if not os.path.isfile(path))
    return _Answer(value=function(*given), host=socket.gethostname(), unseen=unseen)


@cache
def _prepare_worker() -> None:
    """Let a worker of Dask start the processes of jobs, which end with it.

    Dask's workers are daemonic processes (distributed.worker.daemon), and those may start no others. Without that mark
    a worker waits at its end for those that it started, so they are ended then; Dask's workers end when they lose their
    scheduler.
    """
    process = multiprocessing.current_process()
    if process.daemon:
        process.daemon = False
    Finalize(None, end_workers, exitpriority=100)


def _knock(address: ClusterAddress) -> None:
    """See that a scheduler listens there. Raises OSError.

    A client of Dask that cannot connect leaves a thread behind, and one that something else answers waits without end.
    A scheduler speaks first, in messages that begin with their length: 8 bytes, the lowest first.
    """
    with socket.create_connection((address.host, address.port), timeout=_ANSWER_S) as connection:
        if address.scheme == "tcp":
            said = connection.makefile("rb").read(8)
            if len(said) < 8 or int.from_bytes(said, "little") > _GREETING_BYTES:
                raise OSError("something else than a scheduler answers there")


def _check_method(worker: str, method: Any) -> None:
    """Refuse a worker that is not fit. Raises ClusterError."""
    here = present_method()
    if method == here:
        return
    if isinstance(method, BaseException):
        found = f"cannot run putt_posture ({_short(method)})"
    else:
        found = f"measures by putt_posture {method}"
    raise ClusterError(
        f"The worker {worker} {found}, and this computer measures by {here}. Install the same there, so that all "
        "lessons are measured alike, and give the same command again; what was done is noted."
    )


def _import_dask() -> Any:
    try:
        dask: Any = importlib.import_module("distributed")
    except ImportError:
        raise InstallationError(
            "A cluster was given, and dask.distributed is not installed. "
            "Install it: pip install 'putt_posture[cluster]'"
        ) from None
    for name in _SILENT:
        logging.getLogger(name).setLevel(logging.CRITICAL)
    return dask


def _short(error: BaseException) -> str:
    """Return an error in a few words; those of the network say by themselves what they are."""
    kind, said = type(error).__name__, " ".join(str(error).split())[:200]
    if not said:
        return kind
    return said if isinstance(error, OSError) or type(error) is Exception else f"{kind}: {said}"
