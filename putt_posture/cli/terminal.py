"""All output to the terminal passes through here, and a progress bar on standard error if that is a terminal.

Characters that control a terminal or mislead a reader are shown by their number, and passwords in addresses are
hidden, also in what libraries print.
"""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import IO, Any, TypeVar

from putt_posture.shown import hide_passwords, show_plainly

__all__ = ["door_to_terminal", "show_progress", "show_progress_between", "stream_behind"]

_Result = TypeVar("_Result")


class _Door:
    """A text stream that shows plainly what is written to it.

    It has no ``buffer``, so that nothing writes bytes past it.
    """

    def __init__(self, behind: IO[str]) -> None:
        self.behind = behind

    def write(self, text: str | bytes) -> int:
        if isinstance(text, bytes):  # click writes the shell's completion so
            text = text.decode("utf-8", "replace")
        self.behind.write(hide_passwords(show_plainly(text)))
        return len(text)

    def writelines(self, lines: Any) -> None:
        for line in lines:
            self.write(line)

    def __getattr__(self, name: str) -> Any:
        if name == "buffer":
            raise AttributeError(name)
        return getattr(self.behind, name)


@contextmanager
def door_to_terminal() -> Iterator[None]:
    """Let standard output and standard error go through the door for as long as the block lasts."""
    behind = sys.stdout, sys.stderr
    sys.stdout, sys.stderr = _Door(sys.stdout), _Door(sys.stderr)
    try:
        yield
    finally:
        sys.stdout, sys.stderr = behind


def stream_behind(stream: IO[str]) -> IO[str]:
    """Return the stream behind the door, for what the program itself wrote and wants to show in bold."""
    return stream.behind if isinstance(stream, _Door) else stream


@contextmanager
def show_progress() -> Iterator[Callable[[str, float], None] | None]:
    """Show a bar for as long as the block lasts.

    Yields
    ------
    callable or None
        Call it with what is going on and the share done, 0 to 1. None where standard error is no terminal.
    """
    if not sys.stderr.isatty():
        yield None
        return

    from rich.console import Console
    from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn, TimeElapsedColumn

    bar = Progress(
        TextColumn("{task.description}", markup=False),
        BarColumn(bar_width=None),
        TaskProgressColumn(),
        TimeElapsedColumn(),
        console=Console(file=stream_behind(sys.stderr)),
        transient=True,
        expand=True,
    )
    with bar:
        task = bar.add_task("Starting", total=1.0)
        yield lambda doing, share: bar.update(task, description=show_plainly(doing), completed=share)


def show_progress_between(
    work: Callable[[Callable[[str, float], None]], Iterator[_Result]],
) -> Iterator[_Result]:
    """Hand out results one after the other, with a bar for as long as the next one is awaited.

    Parameters
    ----------
    work : callable
        Takes a callback as `show_progress` yields it, and returns the results as they come.
    """
    bar: Callable[[str, float], None] | None = None

    def tell(doing: str, share: float) -> None:
        if bar is not None:
            bar(doing, share)

    results = work(tell)
    while True:
        with show_progress() as shown:
            bar = shown
            try:
                result = next(results)
            except StopIteration:
                return
        yield result
