"""The one door to the terminal, and a progress bar on standard error where that is a terminal.

What steers a terminal or deceives a reader is shown by its number, and passwords in addresses are hidden, whoever
prints and by which library.
"""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import IO, Any

from putt_posture.shown import hide_passwords, show_plainly

__all__ = ["door_to_terminal", "show_progress", "stream_behind"]


class _Door:
    """A text stream that shows plainly whatever is written to it.

    It has no ``buffer``, so that nobody writes bytes past it.
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
def show_progress(*, prefix: str = "") -> Iterator[Callable[[str, float], None] | None]:
    """Show a bar for as long as the block lasts.

    Parameters
    ----------
    prefix : str
        What stands before each text.

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
        task = bar.add_task(show_plainly(f"{prefix}Starting"), total=1.0)
        yield lambda doing, share: bar.update(task, description=show_plainly(prefix + doing), completed=share)
