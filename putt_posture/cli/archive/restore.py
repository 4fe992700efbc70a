"""``putt-posture archive restore``: an archive brought back from a backup."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from putt_posture.cli.archive.sealed import make_key, opening_options
from putt_posture.cli.shared_options import archive_options

__all__ = ["restore"]


@click.command(short_help="Bring an archive back from a backup.")
@click.argument("folder", metavar="DIR", type=click.Path(path_type=Path))
@click.option(
    "--only-check", is_flag=True, help="See that all of the backup can be brought back, and bring nothing back."
)
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
    """Bring an archive back from the backup in DIR, or the encrypted file DIR, to where there is none yet.

    All of it is held against its digests and brought back in memory first. Whoever was erased after the backup was made
    is in it again: erase them once more; archive erasures of the later archive shows on which days.
    """
    from putt_posture.archive import check_backup, open_archive
    from putt_posture.archive import restore as bring_back
    from putt_posture.cli.archive.sizes import say_size
    from putt_posture.cli.table import open_console

    console = open_console(sys.stdout)
    key = make_key(identity=identity, passphrase_file=passphrase_file)
    if only_check:
        found = check_backup(folder, key=key)
        console.print(f"The backup {folder} is whole: all rows and {say_size(found.files, found.size)}", soft_wrap=True)
        return
    brought = bring_back(folder, archive=archive, files=files, key=key)
    with open_archive(archive, files=files, make=False) as opened:
        place = opened.place.title
    console.print(f"Brought back all rows and {say_size(brought.files, brought.size)} to {place}", soft_wrap=True)
    console.print("Whoever was erased after the backup was made is in it again: erase them once more.")
