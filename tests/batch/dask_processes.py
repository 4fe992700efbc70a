"""A Dask cluster of real processes on the loopback address, started by its own commands, as people start it."""

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

import psutil
from attrs import define, field

HERE = Path(__file__).parent
PATIENCE_S = 400.0
_PATHS = os.pathsep.join(filter(None, (str(HERE), os.environ.get("PYTHONPATH"))))


@define(eq=False)
class DaskProcesses:
    """A scheduler at a port of its own, and workers.

    Attributes
    ----------
    folder : Path
        For what they print and keep.
    scheme : {"tcp", "tls"}
    environment : mapping of str to str
        Added to that of all processes.
    """

    folder: Path
    scheme: str = "tcp"
    environment: Mapping[str, str] = field(factory=dict)
    port: int = field(factory=lambda: _free_port(), init=False)
    scheduler: "subprocess.Popen[bytes] | None" = field(default=None, init=False)
    workers: "list[subprocess.Popen[bytes]]" = field(factory=list, init=False)

    @property
    def address(self) -> str:
        return f"{self.scheme}://127.0.0.1:{self.port}"

    def start_scheduler(self) -> None:
        """Start the scheduler, or start it again at the same address."""
        self.scheduler = self._start("scheduler", "--host", self.address.rpartition(":")[0], "--port", str(self.port))
        until = time.monotonic() + PATIENCE_S
        while True:
            with suppress(OSError), socket.create_connection(("127.0.0.1", self.port), timeout=1):
                return
            assert self.scheduler.poll() is None, self.said()
            assert time.monotonic() < until, self.said()
            time.sleep(0.05)

    def start_worker(self, *options: str, **environment: str) -> "subprocess.Popen[bytes]":
        """Start a worker with one thread and its nanny; it connects when it can."""
        given = ("--nthreads", "1", "--host", "127.0.0.1", *options)
        worker = self._start("worker", self.address, *given, **environment)
        self.workers.append(worker)
        return worker

    def kill_scheduler(self) -> None:
        assert self.scheduler is not None
        self.scheduler.kill()
        self.scheduler.wait()

    def end(self) -> None:
        """End everything that was started here, and what that started."""
        started = [each for each in (self.scheduler, *self.workers) if each is not None]
        tree = [
            each for top in started if top.poll() is None for each in psutil.Process(top.pid).children(recursive=True)
        ]
        for each in started:
            each.kill()
            each.wait()
        for one in tree:
            with suppress(psutil.Error):
                one.kill()
        psutil.wait_procs(tree, timeout=10)

    def said(self) -> str:
        """What they printed."""
        return "\n".join(path.read_text(errors="replace") for path in sorted(self.folder.glob("*.log")))

    def _start(self, kind: str, *options: str, **environment: str) -> "subprocess.Popen[bytes]":
        self.folder.mkdir(parents=True, exist_ok=True)
        with open(self.folder / f"{kind}.log", "ab") as log:
            return subprocess.Popen(
                [sys.executable, "-m", "dask", kind, "--no-dashboard", *options],
                cwd=self.folder,
                env={
                    **os.environ,
                    "PYTHONPATH": str(HERE),
                    "PYTHONWARNINGS": "ignore",
                    **self.environment,
                    **environment,
                },
                stdout=log,
                stderr=log,
            )


@contextmanager
def cluster_of(workers: int, folder: Path, **about: Any) -> Iterator[DaskProcesses]:
    """Yield a cluster with so many workers, which may not have connected yet."""
    cluster = DaskProcesses(folder=folder, **about)
    try:
        cluster.start_scheduler()
        for _ in range(workers):
            cluster.start_worker()
        yield cluster
    finally:
        cluster.end()


def kill(pid: int) -> None:
    """Kill a process by its number."""
    os.kill(pid, signal.SIGKILL)


def wait_until(true: Any, *, what: str) -> None:
    """Wait until a function returns something true; fail after some minutes."""
    until = time.monotonic() + PATIENCE_S
    while not true():
        assert time.monotonic() < until, f"waited in vain: {what}"
        time.sleep(0.05)


def _free_port() -> int:
    with socket.socket() as found:
        found.bind(("127.0.0.1", 0))
        return int(found.getsockname()[1])
