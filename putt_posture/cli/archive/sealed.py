"""Options for what is encrypted, and where the passphrase comes from; it is never on the command line."""

from __future__ import annotations

import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, TypeVar

import click

from putt_posture.errors import UsageError

if TYPE_CHECKING:
    from putt_posture.sealing import Lock, OpeningKey

__all__ = ["LOST", "lock_options", "make_key", "make_lock", "opening_options"]

Command = TypeVar("Command", bound=Callable[..., Any])

LOST: Final = "It is encrypted. If the passphrase or the key is lost, nobody can open it, not even this program."

_PASSPHRASE_FILE: Final = click.option(
    "--passphrase-file",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="File with the passphrase in its first line; without it you are asked.",
)


def lock_options(command: Command) -> Command:
    """Add the options by which something is encrypted."""
    for option in (
        click.option(
            "--for",
            "keys",
            multiple=True,
            metavar="KEY",
            help="Encrypt for this public key, age1…, and not with a passphrase. May be given more than once.",
        ),
        _PASSPHRASE_FILE,
        click.option(
            "--encrypt",
            is_flag=True,
            help="Write one encrypted file; without its passphrase or key nobody can open it, ever.",
        ),
    ):
        command = option(command)
    return command


def opening_options(command: Command) -> Command:
    """Add the options by which something encrypted is opened."""
    identity = click.option(
        "--identity",
        type=click.Path(path_type=Path),
        metavar="FILE",
        help="File with the secret key, for what was encrypted for a public one.",
    )
    return identity(_PASSPHRASE_FILE(command))


def make_lock(*, encrypt: bool, passphrase_file: Path | None, keys: tuple[str, ...]) -> Lock | None:
    """Return for whom something is to be encrypted; None where it is not. The passphrase is asked for twice.

    Raises
    ------
    UsageError
        If the options do not go together, or the passphrase cannot be had or is too short.
    click.Abort
        At Ctrl-C.
    """
    if not encrypt:
        if keys or passphrase_file:
            raise UsageError("--for and --passphrase-file go with --encrypt. Add it, or leave them out.")
        return None
    if keys and passphrase_file:
        raise UsageError("Encrypt for keys, or with a passphrase: give --for or --passphrase-file, not both.")

    from putt_posture.sealing import lock_for_keys, lock_with_passphrase, read_passphrase

    if keys:
        return lock_for_keys(keys)
    if passphrase_file is not None:
        return lock_with_passphrase(read_passphrase(passphrase_file))
    return lock_with_passphrase(_ask("Passphrase", twice=True))


def make_key(*, identity: Path | None, passphrase_file: Path | None) -> OpeningKey:
    """Return what opens something encrypted; the passphrase is asked for when it is needed. Raises UsageError."""
    from putt_posture.sealing import OpeningKey, read_identities, read_passphrase

    ask: Callable[[], str] = partial(_ask, "Passphrase", twice=False)
    if passphrase_file is not None:
        given = read_passphrase(passphrase_file)
        ask = lambda: given  # noqa: E731
    return OpeningKey(identities=() if identity is None else read_identities(identity), ask_passphrase=ask)


def _ask(question: str, *, twice: bool) -> str:
    if not sys.stdin.isatty():
        raise UsageError("A passphrase is needed, and there is no terminal to ask on. Give it with --passphrase-file.")
    answer: str = click.prompt(question, hide_input=True, confirmation_prompt=twice, err=True)
    return answer
