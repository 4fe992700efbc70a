"""Asking before something is erased."""

import sys

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
    if not yes:
        _check_terminal()
        click.confirm(question, abort=True, err=True)


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
    typed = click.prompt(question, err=True)
    if " ".join(typed.split()) != name:
        raise UsageError(f"{typed!r} is not {name!r}. Nothing was erased.")


def _check_terminal() -> None:
    if not sys.stdin.isatty():
        raise UsageError("This must be confirmed, and there is no terminal to ask on. Add --yes. Nothing was erased.")
