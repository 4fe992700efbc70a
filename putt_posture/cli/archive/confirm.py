"""Asking before something is erased."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager

import click

from putt_posture.errors import UsageError

__all__ = ["confirm", "confirm_by_name", "yes_option"]

yes_option = click.option("--yes", is_flag=True, help="Do not ask first.")


def confirm(question: str, *, yes: bool) -> None:
    """Ask a question to which yes is needed to go on.

    Raises
    ------
    UsageError
        If there is no terminal to ask on.
    click.Abort
        If the answer is no, or Ctrl-C.
    """
    if yes:
        return
    _check_terminal()
    with _on_a_new_line():
        agreed = click.confirm(question, err=True)
    if not agreed:
        raise click.Abort


def confirm_by_name(question: str, *, name: str, yes: bool) -> None:
    """Ask for a name to be typed before going on.

    Raises
    ------
    UsageError
        If there is no terminal to ask on, or another name was typed.
    click.Abort
        At Ctrl-C.
    """
    if yes:
        return
    _check_terminal()
    with _on_a_new_line():
        typed = click.prompt(question, err=True)
    if " ".join(typed.split()) != name:
        raise UsageError(f"{typed!r} is not {name!r}. Nothing was erased.")


@contextmanager
def _on_a_new_line() -> Iterator[None]:
    """End the line of a question that was left with Ctrl-C."""
    try:
        yield
    except click.Abort:
        click.echo(err=True)
        raise


def _check_terminal() -> None:
    if not sys.stdin.isatty():
        raise UsageError("This must be confirmed, and there is no terminal to ask on. Add --yes. Nothing was erased.")
