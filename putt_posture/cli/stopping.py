"""The exit codes, and how a command is stopped.

Ctrl-C, the end of the session (HUP) and a request to end (TERM) all undo unfinished work in the same way: by an
exception that passes through the program. QUIT and KILL leave no time for that; the next run removes what they leave.
"""

import os
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
    "TRACEBACK_VARIABLE",
    "USAGE_FAULT",
    "StoppedBySignal",
    "end_on_signals",
    "is_stopped",
    "say_when_stopped",
    "shows_tracebacks",
    "stopped_code",
]

FAULT: Final = 1
"""Something is wrong with a clip, the student or the installation."""
USAGE_FAULT: Final = 2
"""Something is wrong with the call."""
STOPPED: Final = 130
"""Stopped by Ctrl-C: 128 plus the number of the interrupt signal, as shells count; for others see `stopped_code`."""
TRACEBACK_VARIABLE: Final = "PUTT_POSTURE_TRACEBACK"
"""Environment variable that asks for the place in the program where an error arose."""
_SIGNALS: Final = tuple(getattr(signal, name) for name in ("SIGTERM", "SIGHUP") if hasattr(signal, name))
_UNDOING_S: Final = 5.0
"""A second signal within this time finds the program undoing already: a closed terminal sends HUP twice."""
_came: dict[int, float] = {}


class StoppedBySignal(KeyboardInterrupt):
    """The program was told to end; its work is undone as after Ctrl-C."""


def end_on_signals() -> None:
    """Undo what is unfinished when the process is told to end, unless it was started with such signals ignored."""
    for number in _SIGNALS:
        if signal.getsignal(number) == signal.SIG_DFL:
            signal.signal(number, _stop)


def is_stopped() -> bool:
    """Whether a signal has told the process to end."""
    return bool(_came)


def stopped_code() -> int:
    """Return the exit code of a program that was stopped: 128 plus the number of the signal, as shells count."""
    return 128 + next(iter(_came)) if _came else STOPPED


def shows_tracebacks() -> bool:
    """Whether an error is shown with the place in the program where it arose."""
    return os.environ.get(TRACEBACK_VARIABLE, "0") not in ("", "0")


@contextmanager
def say_when_stopped(text: str) -> Iterator[None]:
    """Print this text when Ctrl-C or a signal ends the block, instead of "Nothing was written"."""
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
