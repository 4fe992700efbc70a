"""By what an archive or a backup is known on this disk, and that no result goes into one or takes its place."""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Final

from platformdirs import user_data_path

from putt_posture.errors import OutputError

__all__ = [
    "ARCHIVE_VARIABLE",
    "BACKUP_KIND",
    "DATABASE_FILE",
    "FILES_VARIABLE",
    "MANIFEST",
    "find_own_archive",
    "refuse_archive",
]

ARCHIVE_VARIABLE: Final = "PUTT_POSTURE_ARCHIVE"
"""Environment variable with a folder or a database URL."""
FILES_VARIABLE: Final = "PUTT_POSTURE_ARCHIVE_FILES"
"""Environment variable with the folder or the bucket URL of the files, for a database by URL."""
DATABASE_FILE: Final = "archive.sqlite"
MANIFEST: Final = "manifest.json"
"""In the folder of a backup, beside the database."""
BACKUP_KIND: Final = "putt_posture archive backup"
"""What the manifest of a backup says it is of."""

_TABLE: Final = "lesson_files"
_MANIFEST_START: Final = 4096
"""Bytes of a manifest in which its kind is said."""


def find_own_archive() -> str:
    """Return the folder or URL of this user's archive: what the environment says, else the folder for their data."""
    return os.environ.get(ARCHIVE_VARIABLE) or str(user_data_path("putt_posture", appauthor=False) / "archive")


def refuse_archive(target: Path) -> None:
    """Refuse a place for a result that is an archive or a backup, lies in one, or holds the user's own.

    Parameters
    ----------
    target : Path
        Absolute, with links followed. It need not exist yet.

    Raises
    ------
    OutputError
    """
    for folder in (target, *target.parents):
        if _is_archive(folder):
            if folder == target:
                raise OutputError(f"{target} is an archive or a backup. Give another folder, outside of it.")
            raise OutputError(f"{target} lies in an archive or a backup, {folder}. Give a folder outside of it.")
    for folder in _own_folders():
        if folder.is_dir() and target.is_relative_to(folder):
            raise OutputError(f"{target} lies in the archive {folder}. Give a folder outside of it.")
        if folder.is_dir() and folder.is_relative_to(target):
            raise OutputError(f"{target} holds the archive {folder}. Give a folder of its own.")


def _own_folders() -> Iterator[Path]:
    """Go through the folders on this disk in which the user's own archive lies."""
    for place in (find_own_archive(), os.environ.get(FILES_VARIABLE)):
        if place and "://" not in place:
            yield Path(os.path.realpath(place))


def _is_archive(folder: Path) -> bool:
    return _holds_rows(folder / DATABASE_FILE) or _says_backup(folder / MANIFEST)


def _says_backup(manifest: Path) -> bool:
    try:
        with manifest.open("rb") as stream:
            return BACKUP_KIND.encode() in stream.read(_MANIFEST_START)
    except OSError:
        return False


def _holds_rows(database: Path) -> bool:
    """Tell whether a file is an archive's database; one that cannot be read is taken for it."""
    if not database.is_file():
        return False
    if database.with_name(f"{database.name}-wal").exists() or database.stat().st_size == 0:
        return True
    try:
        with closing(sqlite3.connect(f"{database.as_uri()}?mode=ro&immutable=1", uri=True)) as connection:
            found = connection.execute("SELECT 1 FROM sqlite_master WHERE name = ?", (_TABLE,)).fetchone()
    except sqlite3.Error:
        return True
    return found is not None
