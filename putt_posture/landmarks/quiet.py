"""Keep what a C++ library writes to standard error away from the terminal, and nothing else."""

import os
import re
import tempfile
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

__all__ = ["quiet_stderr"]

_STDERR: Final = 2
_NOISE: Final = re.compile(
    rb"^(?:(?:INFO|WARNING|ERROR|VERBOSE): (?:\[[\w.]+:\d+\]|Created TensorFlow)"  # TensorFlow Lite and LiteRT
    rb"|[IWE]\d{4} \d\d:"  # Abseil: severity, month and day, then the time
    rb"|WARNING: Logging before InitGoogle\(\))"
)
_lock = threading.RLock()


@contextmanager
def quiet_stderr() -> Iterator[None]:
    """Hold back file descriptor 2 while the block runs; then pass on the lines that are not library chatter.

    Log lines of TensorFlow Lite, LiteRT and Abseil are dropped. All else, such as what another thread printed
    meanwhile or the last words before an abort, appears when the block ends. One thread at a time holds the
    descriptor. Where the process has no descriptor 2, nothing is done.
    """
    with _lock:
        try:
            kept = os.dup(_STDERR)
        except OSError:
            yield
            return
        try:
            with tempfile.TemporaryFile() as held:
                os.dup2(held.fileno(), _STDERR)
                try:
                    yield
                finally:
                    os.dup2(kept, _STDERR)
                    _pass_on(held.fileno())
        finally:
            os.close(kept)


def _pass_on(held: int) -> None:
    os.lseek(held, 0, os.SEEK_SET)
    text = b"".join(iter(lambda: os.read(held, 1 << 16), b""))
    rest = b"".join(line for line in text.splitlines(keepends=True) if not _NOISE.match(line))
    if rest:
        os.write(_STDERR, rest)
