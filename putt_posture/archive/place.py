"""Where an archive is.

By default a folder of the user's own, made on first use; another folder; or a PostgreSQL database by URL with a folder
or a bucket for the files.
"""

import os
from pathlib import Path
from typing import Final

from attrs import frozen
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError

from putt_posture.archive_signs import ARCHIVE_VARIABLE, DATABASE_FILE, FILES_VARIABLE, MANIFEST, find_own_archive
from putt_posture.errors import UsageError

__all__ = ["ARCHIVE_VARIABLE", "DATABASE_FILE", "FILES_VARIABLE", "MANIFEST", "Place", "find_place"]

_FILES: Final = "files"
_DRIVER: Final = "postgresql+psycopg"


@frozen(kw_only=True)
class Place:
    """An archive's database and files.

    Attributes
    ----------
    database : URL
    files : str
        A folder, or the URL of a bucket (``s3://…``).
    folder : Path or None
        The archive's own folder, for SQLite.
    """

    database: URL
    files: str
    folder: Path | None

    @property
    def title(self) -> str:
        """What to call it in a sentence; never with a password."""
        return str(self.folder) if self.folder else self.database.render_as_string(hide_password=True)

    @property
    def paths(self) -> tuple[Path, ...]:
        """What of the archive lies on this disk, which nothing may replace."""
        database = [self.folder / DATABASE_FILE] if self.folder else []
        return (*database, *([] if "://" in self.files else [Path(self.files)]))


def find_place(archive: str | Path | None = None, *, files: str | Path | None = None) -> Place:
    """Find where the archive is.

    Parameters
    ----------
    archive : str or Path, optional
        A folder, or a URL ``postgresql://user@host/name``. Without it the environment variable `ARCHIVE_VARIABLE`, or
        the folder for data of this user.
    files : str or Path, optional
        Folder or bucket for the files of a database by URL; without it the environment variable `FILES_VARIABLE`.

    Raises
    ------
    UsageError
        If the URL is of no kind that is known, or it is not said where its files are.
    """
    archive = archive or find_own_archive()
    if "://" not in str(archive):
        folder = Path(os.path.abspath(archive))
        database = URL.create("sqlite", database=str(folder / DATABASE_FILE))
        return Place(database=database, files=str(files or folder / _FILES), folder=folder)
    try:
        database = make_url(str(archive))
    except ArgumentError:
        raise UsageError("The URL of the archive cannot be read. Write postgresql://user@host/name.") from None
    if database.get_backend_name() != "postgresql":
        raise UsageError(
            f"The archive was given as {database.drivername}://…, and only postgresql:// is known. "
            "Give that, or a folder."
        )
    files = files or os.environ.get(FILES_VARIABLE)
    if not files:
        raise UsageError(
            "An archive in PostgreSQL needs a place for its files. Give a folder or a bucket with --files, or "
            f"set {FILES_VARIABLE}."
        )
    return Place(database=database.set(drivername=_DRIVER), files=str(files), folder=None)
