"""The processes in which the pose models run, seen from this one.

A process is lent to one user at a time and kept for the next, with the models that it has loaded. It ends when this
process closes its input or ends in any way.
"""

import atexit
import os
import re
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import IO, Any, Final

from putt_posture.errors import InstallationError, ProcessKilled, ProcessStopped
from putt_posture.landmarks.model_worker import Array, Message, receive, send

__all__ = ["ModelProcess", "lend_process"]

_SCRIPT: Final = Path(__file__).with_name("model_worker.py")
_PATIENCE_S: Final = 5.0
"""How long to wait for a process to end before it is killed, s."""
_FROM_OUTSIDE: Final = (-signal.SIGTERM, -getattr(signal, "SIGKILL", signal.SIGTERM))
"""Exit codes of a process that something else ended."""
_PIPE_BYTES: Final = 1 << 20
"""Size of the pipe, where the system lets one choose: a picture then goes through in few writes."""
_CHATTER: Final = re.compile(
    rb"^(?:(?:(?:INFO|WARNING|ERROR|VERBOSE): )*"  # more than one where two threads log at once
    rb"(?:\[[\w.]+\.(?:cc|h):\d+\]|Created TensorFlow)"  # TensorFlow Lite and LiteRT
    rb"|[IWE]\d{4} \d\d:"  # Abseil: severity, month and day, then the time
    rb"|WARNING: Logging before InitGoogle\(\))"
)


class ModelProcess:
    """One process with its models; get one from `lend_process`.

    Attributes
    ----------
    keys : set of str
        What `ask` opened in it.
    """

    def __init__(self) -> None:
        self.keys: set[str] = set()
        self._lock = threading.Lock()
        self._in_step = True
        self._said: IO[bytes] = tempfile.TemporaryFile()  # noqa: SIM115 - closed with the process
        try:
            self._process = subprocess.Popen(
                [sys.executable, "-P", "-W", "ignore", str(_SCRIPT)],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=self._said,
                start_new_session=True,  # this process deals with Ctrl-C and a closed terminal
                creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
            )
        except OSError as error:
            self._said.close()
            raise InstallationError(
                f"The process for the pose model cannot be started ({error.strerror or error}). "
                "Close other programs and try again."
            ) from None
        _widen(self._process.stdin)
        _widen(self._process.stdout)

    @property
    def is_usable(self) -> bool:
        """Whether it runs and every request was answered."""
        return self._in_step and self._process.poll() is None

    def ask(self, message: Message, *arrays: Array) -> tuple[Message, list[Array]]:
        """Send a request and wait for the answer.

        Parameters
        ----------
        message : dict
            The request, as JSON can hold it.
        *arrays : array
            Sent behind the message.

        Raises
        ------
        ProcessStopped
            If the process ends before it has answered; a `ProcessKilled` where something else ended it.
        """
        process = self._process
        assert process.stdin is not None
        assert process.stdout is not None
        with self._lock:
            self._in_step = False  # until the answer is here, even if the wait is interrupted
            try:
                send(process.stdin, message, *arrays)  # type: ignore[arg-type]
                answer = receive(process.stdout)  # type: ignore[arg-type]
            except (OSError, EOFError, ValueError):
                says = self._last_words()
                kind = ProcessKilled if self._process.poll() in _FROM_OUTSIDE else ProcessStopped
                raise kind(says) from None
            self._in_step = True
        return answer

    def close(self) -> None:
        """End the process; kill it where it does not end in time."""
        for stream in (self._process.stdin, self._process.stdout):
            if stream is not None:
                with suppress(OSError):
                    stream.close()
        if not self._in_step:
            self._process.kill()
        try:
            self._process.wait(_PATIENCE_S)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()
        self._said.close()

    def abandon(self) -> None:
        """Close the pipes in a forked copy of this process; the model's process belongs to the original."""
        for stream in (self._process.stdin, self._process.stdout, self._said):
            if stream is not None:
                with suppress(OSError):
                    stream.close()
        self._process.returncode = 0  # so that no process waits for another's child

    def _last_words(self) -> str:
        """Say in one sentence how it ended."""
        with suppress(subprocess.TimeoutExpired):
            self._process.wait(_PATIENCE_S)
        code = self._process.poll()
        how = "does not answer" if code is None else f"ended with exit code {code}" if code >= 0 else f"signal {-code}"
        self._said.seek(0)
        lines = [line.strip() for line in self._said.read().splitlines() if line.strip() and not _CHATTER.match(line)]
        said = lines[-1].decode("utf-8", "replace")[:200] if lines else ""
        return (
            f"The process of the pose model stopped in the middle of its work ({how}{f': {said}' if said else ''}). "
            "Close other programs, so that there is memory, and try again; putt-posture doctor tries the model alone."
        )


class _Pool:
    """Processes that are not in use."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._idle: list[ModelProcess] = []

    def take(self) -> ModelProcess:
        with self._lock:
            while self._idle:
                process = self._idle.pop()
                if process.is_usable:
                    return process
                process.close()
        return ModelProcess()

    def give_back(self, process: ModelProcess) -> None:
        if not process.is_usable:
            process.close()
            return
        with self._lock:
            self._idle.append(process)

    def close(self) -> None:
        with self._lock:
            idle, self._idle = self._idle, []
        for process in idle:
            process.close()

    def abandon(self) -> None:
        """Forget the processes in a forked copy of this one; see `ModelProcess.abandon`."""
        self._lock = threading.Lock()
        idle, self._idle = self._idle, []
        for process in idle:
            process.abandon()


_pool: Final = _Pool()
atexit.register(_pool.close)
if hasattr(os, "register_at_fork"):
    os.register_at_fork(after_in_child=_pool.abandon)


@contextmanager
def lend_process() -> Iterator[ModelProcess]:
    """Lend a process for as long as the block lasts: one that is idle, or a new one.

    Raises
    ------
    InstallationError
        If none can be started.
    """
    process = _pool.take()
    try:
        yield process
    finally:
        _pool.give_back(process)


def _widen(pipe: Any) -> None:
    """Enlarge a pipe, on Linux."""
    try:
        import fcntl

        fcntl.fcntl(pipe.fileno(), fcntl.F_SETPIPE_SZ, _PIPE_BYTES)
    except (ImportError, AttributeError, OSError):
        pass
