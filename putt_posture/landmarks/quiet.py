"""Keep what a C++ library writes to standard error away from the terminal, and nothing else."""

import os
import re
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import IO, Final

__all__ = ["quiet_stderr"]

_STDERR: Final = 2
_NOISE: Final = re.compile(
    rb"^(?:(?:(?:INFO|WARNING|ERROR|VERBOSE): )*"  # more than one where two threads log at once
    rb"(?:\[[\w.]+\.(?:cc|h):\d+\]|Created TensorFlow)"  # TensorFlow Lite and LiteRT
    rb"|[IWE]\d{4} \d\d:"  # Abseil: severity, month and day, then the time
    rb"|WARNING: Logging before InitGoogle\(\))"
)


class _Hold:
    """File descriptor 2 held back for as long as at least one thread asks for it."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._depth = 0
        self._kept: int | None = None
        self._held: IO[bytes] | None = None

    def take(self) -> None:
        with self._lock:
            self._depth += 1
            if self._depth > 1:
                return
            try:
                self._kept = os.dup(_STDERR)
            except OSError:
                return
            self._held = tempfile.TemporaryFile()  # noqa: SIM115 - closed by the last to give back
            os.dup2(self._held.fileno(), _STDERR)

    def give_back(self) -> None:
        with self._lock:
            self._depth -= 1
            if self._depth or self._kept is None or self._held is None:
                return
            os.dup2(self._kept, _STDERR)
            _pass_on(self._held.fileno())
            os.close(self._kept)
            self._held.close()
            self._kept = self._held = None


_hold = _Hold()


@contextmanager
def quiet_stderr() -> Iterator[None]:
    """Hold back file descriptor 2 while the block runs; then pass on the lines that are not library chatter.

    Log lines of TensorFlow Lite, LiteRT and Abseil are dropped. All else, such as what another thread printed
    meanwhile or the last words before an abort, appears when the last of the blocks that overlap ends. Where the
    process has no descriptor 2, nothing is done.
    """
    _hold.take()
    try:
        yield
    finally:
        _hold.give_back()


def _pass_on(held: int) -> None:
    os.lseek(held, 0, os.SEEK_SET)
    text = b"".join(iter(lambda: os.read(held, 1 << 16), b""))
    lines = text.splitlines(keepends=True)
    rest = [line for line in lines if not _NOISE.match(line)]
    if len(rest) < len(lines):
        rest = [line for line in rest if line.strip()]  # the line feed of chatter that ran into another line
    if rest:
        os.write(_STDERR, b"".join(rest))
