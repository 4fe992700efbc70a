"""The exit codes, and what becomes of a command that somebody stops.

Ctrl-C, the end of the session (HUP) and the order to end (TERM) all undo what is unfinished in the same way: by an
exception that runs through the program. QUIT and KILL leave no time for that; what they leave, the next run takes away.
"""

import signal
import time
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType
from typing import Final

import click

__all__ = [
    "FAULT",
    "STOPPED",
    "USAGE_FAULT",
    "StoppedBySignal",
    "end_on_signals",
    "is_stopped",
    "say_when_stopped",
    "stopped_code",
]

FAULT: Final = 1
"""A clip, the student or the installation is at fault."""
USAGE_FAULT: Final = 2
"""The call is at fault."""
STOPPED: Final = 130
"""Stopped by Ctrl-C: 128 plus the number of the interrupt signal, as shells count; for others see `stopped_code`."""
_SIGNALS: Final = tuple(getattr(signal, name) for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name))
_UNDOING_S: Final = 5.0
"""A second signal within this time finds the program undoing already: a closed terminal sends HUP twice."""
_came: dict[int, float] = {}


class StoppedBySignal(KeyboardInterrupt):
    """Somebody ended the program; it is undone as after Ctrl-C."""


def end_on_signals() -> None:
    """Undo what is unfinished when the process is told to end, unless it was started so as not to listen."""
    for number in _SIGNALS:
        if signal.getsignal(number) == signal.SIG_DFL:
            signal.signal(number, _stop)


def is_stopped() -> bool:
    """Tell whether a signal has told the process to end."""
    return bool(_came)


def stopped_code() -> int:
    """Return the exit code of a program that was stopped: 128 plus the number of the signal, as shells count."""
    return 128 + next(iter(_came)) if _came else STOPPED


@contextmanager
def say_when_stopped(text: str) -> Iterator[None]:
    """Say how things stand when Ctrl-C or a signal ends the block, instead of that nothing was written."""
    try:
        yield
    except KeyboardInterrupt:
        click.echo(f"\nputt-posture: Stopped. {text}", err=True)
        raise click.exceptions.Exit(stopped_code()) from None


def _stop(number: int, _frame: FrameType | None) -> None:
    now = time.monotonic()
    undoing = any(now - came < _UNDOING_S for came in _came.values())
    _came[number] = now
    if undoing:
        return
    raise StoppedBySignal
