"""A progress bar on standard error, where that is a terminal."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from putt_posture.cli.terminal import stream_behind
from putt_posture.shown import show_plainly

__all__ = ["show_progress"]


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
