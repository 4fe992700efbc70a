"""``putt-posture archive backup`` and ``restore``, and the options for encryption."""

from __future__ import annotations

import sys
from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, TypeVar

import click

from putt_posture.cli.command import command
from putt_posture.cli.shared_options import archive_options
from putt_posture.errors import UsageError

if TYPE_CHECKING:
    from putt_posture.disk.sealing import Lock, OpeningKey

__all__ = ["backup", "lock_options", "make_key", "make_lock", "opening_options", "restore"]

Command = TypeVar("Command", bound=Callable[..., Any])
_PASSPHRASE_FILE: Final = click.option(
    "--passphrase-file",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="File with the passphrase in its first line; without it you are asked.",
)


def lock_options(command: Command) -> Command:
    """Add the options for writing an encrypted file."""
    for option in (
        click.option(
            "--for",
            "keys",
            multiple=True,
            metavar="KEY",
            help="Encrypt for this public key, age1…, instead of a passphrase. May be given more than once.",
        ),
        _PASSPHRASE_FILE,
        click.option(
            "--encrypt",
            is_flag=True,
            help="Write one encrypted file. Without its passphrase or key, no one can ever open it.",
        ),
    ):
        command = option(command)
    return command


def opening_options(command: Command) -> Command:
    """Add the options for opening an encrypted file."""
    identity = click.option(
        "--identity",
        type=click.Path(path_type=Path),
        metavar="FILE",
        help="File with the secret key, if the file was encrypted for a public key.",
    )
    return identity(_PASSPHRASE_FILE(command))


def make_lock(*, encrypt: bool, passphrase_file: Path | None, keys: tuple[str, ...]) -> Lock | None:
    """Return for whom the file is encrypted, or None if it is not. The passphrase is asked for twice.

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

    from putt_posture.disk.sealing import lock_for_keys, lock_with_passphrase, read_passphrase

    if keys:
        return lock_for_keys(keys)
    if passphrase_file is not None:
        return lock_with_passphrase(read_passphrase(passphrase_file))
    return lock_with_passphrase(_ask("Passphrase", twice=True))


def make_key(*, identity: Path | None, passphrase_file: Path | None) -> OpeningKey:
    """Return what opens an encrypted file; the passphrase is asked for when it is needed. Raises UsageError."""
    from putt_posture.disk.sealing import OpeningKey, read_identities, read_passphrase

    ask: Callable[[], str] = partial(_ask, "Passphrase", twice=False)
    if passphrase_file is not None:
        given = read_passphrase(passphrase_file)
        ask = lambda: given  # noqa: E731
    return OpeningKey(identities=() if identity is None else read_identities(identity), ask_passphrase=ask)


@command(short_help="Copy the whole archive into a folder.")
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@lock_options
@archive_options
def backup(
    *,
    folder: Path,
    encrypt: bool,
    passphrase_file: Path | None,
    keys: tuple[str, ...],
    archive: str | None,
    files: str | None,
) -> None:
    """Copy the whole archive into the new folder DIR, with the digests of its files.

    With --encrypt, DIR is one new file instead, which opens only with the passphrase or the key. If these are lost, no
    one can open it.

    A backup holds people's pictures, as the archive does: keep it as safe, and erase old ones.
    """
    from putt_posture.archive import back_up, open_archive
    from putt_posture.cli.table import open_console
    from putt_posture.services.sentences import ENCRYPTED, say_size

    lock = make_lock(encrypt=encrypt, passphrase_file=passphrase_file, keys=keys)
    with open_archive(archive, files=files, make=False) as opened:
        made = back_up(opened, folder, today=date.today(), lock=lock)
    console = open_console(sys.stdout)
    console.print(f"Backup of all rows and {say_size(made.files, made.size)} in {folder}", soft_wrap=True)
    if lock is not None:
        console.print(ENCRYPTED)
    console.print(
        "It holds people's pictures and names: keep it as safe as the archive. Students erased later stay in it."
    )


@command(short_help="Restore an archive from a backup.")
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@click.option("--only-check", is_flag=True, help="Check that the whole backup can be restored, and restore nothing.")
@opening_options
@archive_options
def restore(
    *,
    folder: Path,
    only_check: bool,
    identity: Path | None,
    passphrase_file: Path | None,
    archive: str | None,
    files: str | None,
) -> None:
    """Restore an archive from the backup in DIR, or from the encrypted file DIR, to a place that has none.

    The backup is first checked against its digests and restored in memory. Students who were erased after the backup
    was made are in it again: erase them once more. archive erasures of the later archive shows on which days.
    """
    from putt_posture.archive import check_backup, open_archive
    from putt_posture.archive import restore as bring_back
    from putt_posture.cli.table import open_console
    from putt_posture.services.sentences import say_size

    console = open_console(sys.stdout)
    key = make_key(identity=identity, passphrase_file=passphrase_file)
    if only_check:
        found = check_backup(folder, key=key)
        console.print(
            f"The backup {folder} is complete: all rows and {say_size(found.files, found.size)}", soft_wrap=True
        )
        return
    brought = bring_back(folder, archive=archive, files=files, key=key)
    with open_archive(archive, files=files, make=False) as opened:
        place = opened.place.title
    console.print(f"Restored all rows and {say_size(brought.files, brought.size)} to {place}", soft_wrap=True)
    console.print("Students erased after the backup was made are in it again: erase them once more.")


def _ask(question: str, *, twice: bool) -> str:
    if not sys.stdin.isatty():
        raise UsageError("A passphrase is needed, and there is no terminal to ask on. Give it with --passphrase-file.")
    answer: str = click.prompt(question, hide_input=True, confirmation_prompt=twice, err=True)
    return answer
