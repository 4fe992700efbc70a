"""``putt-posture archive backup``: the whole archive copied into a folder."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

import click

from putt_posture.cli.archive.sealed import LOST, lock_options, make_lock
from putt_posture.cli.shared_options import archive_options

__all__ = ["backup"]


@click.command(short_help="Copy the whole archive into a folder.")
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
    """Copy the whole archive into the new folder DIR, with the digests of all that is in it.

    With --encrypt DIR is one new file instead, which only those can open who have the passphrase or the key; if that is
    lost, so is the backup, and nobody can bring it back.

    It holds people's pictures as the archive does: keep it as safe, and erase old ones.
    """
    from putt_posture.archive import back_up, open_archive
    from putt_posture.cli.archive.sizes import say_size
    from putt_posture.cli.table import open_console

    lock = make_lock(encrypt=encrypt, passphrase_file=passphrase_file, keys=keys)
    with open_archive(archive, files=files, make=False) as opened:
        made = back_up(opened, folder, today=date.today(), lock=lock)
    console = open_console(sys.stdout)
    console.print(f"Backup of all rows and {say_size(made.files, made.size)} in {folder}", soft_wrap=True)
    if lock is not None:
        console.print(LOST)
    console.print(
        "It holds people's pictures and names: keep it as safe as the archive. Whoever is erased later stays in it."
    )
