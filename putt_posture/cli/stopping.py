"""What is said where somebody stops a command that has done its work, or may have."""

from collections.abc import Iterator
from contextlib import contextmanager

import click

from putt_posture.cli.exit_codes import STOPPED

__all__ = ["say_when_stopped"]


@contextmanager
def say_when_stopped(text: str) -> Iterator[None]:
    """Say how things stand when Ctrl-C ends the block, instead of that nothing was written."""
    try:
        yield
    except KeyboardInterrupt:
        click.echo(f"\nputt-posture: Stopped. {text}", err=True)
        raise click.exceptions.Exit(STOPPED) from None
