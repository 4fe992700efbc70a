"""``putt-posture archive upgrade``: an older archive brought forward."""

from __future__ import annotations

import click

from putt_posture.cli.shared_options import archive_options

__all__ = ["upgrade"]


@click.command(short_help="Bring an archive of an older version forward.")
@archive_options
def upgrade(*, archive: str | None, files: str | None) -> None:
    """Bring an archive that an older version wrote forward to this one, all of it or nothing.

    Make a backup first. Older versions of the program do not read it then.
    """
    from putt_posture.archive import upgrade_archive

    before, after = upgrade_archive(archive, files=files)
    if before == after:
        click.echo(f"Nothing to do: the archive has schema {after}, the one of this version.")
    else:
        click.echo(f"Brought forward from schema {before} to {after}.")
