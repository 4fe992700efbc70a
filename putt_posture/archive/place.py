"""Where an archive is.

By default it is a folder in the user's data, made on first use. It can be another folder, or a PostgreSQL database by
URL with a folder or a bucket for the files.
"""

import os
import re
from pathlib import Path
from typing import Final
from urllib.parse import quote, quote_plus

from attrs import field, frozen
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError

from putt_posture.disk.marks import (
    ARCHIVE_VARIABLE,
    DATABASE_FILE,
    FILES_VARIABLE,
    MANIFEST,
    find_own_archive,
    find_own_files,
)
from putt_posture.errors import UsageError
from putt_posture.shown import hide_passwords

__all__ = ["ARCHIVE_VARIABLE", "DATABASE_FILE", "FILES_VARIABLE", "MANIFEST", "Place", "find_place"]

_FILES: Final = "files"
_DRIVER: Final = "postgresql+psycopg"
_PASSWORDS: Final = ("password", "sslpassword")
"""Passwords in the query of a database URL, by the names of PostgreSQL's library."""
_SHORTEST: Final = 3
"""A password of one or two characters would be found in every word."""
_ADDRESS_OF_NO_FOLDER: Final = re.compile(
    r"postgres(ql)?(\+\w+)?:|\w+\s*=.*\b(password|dbname|host)\s*=|(password|dbname|host)\s*="
)
_UNREADABLE: Final = (
    "The URL of the archive cannot be read. Write postgresql://user@host/name, and each of the signs : / ? # @ % in a "
    "password as percent and its number: @ is %40."
)


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

    database: URL = field(repr=False)
    files: str = field(repr=hide_passwords)
    folder: Path | None

    @property
    def title(self) -> str:
        """Its name in messages; never with a password."""
        if self.folder:
            return str(self.folder)
        return self.without_passwords(self.database.render_as_string(hide_password=True))

    def without_passwords(self, text: str) -> str:
        """Return a text about this place without the passwords of its URLs.

        Parameters
        ----------
        text : str
        """
        for secret in self._secrets:
            text = text.replace(secret, "***")
        return hide_passwords(text)

    @property
    def _secrets(self) -> tuple[str, ...]:
        """The passwords of the database, plain and as written in a URL; the longest first."""
        given = [self.database.password, *(self.database.query.get(name) for name in _PASSWORDS)]
        plain = {each for part in given if part for each in ([part] if isinstance(part, str) else part)}
        every = {*plain, *map(quote, plain), *map(quote_plus, plain)}
        return tuple(sorted((each for each in every if len(each) >= _SHORTEST), key=len, reverse=True))

    @property
    def paths(self) -> tuple[Path, ...]:
        """The archive's paths on this disk, which must not be replaced."""
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
        If the URL is of an unknown kind, or the place of its files is not given.
    """
    archive = archive or find_own_archive()
    if "://" not in str(archive):
        if isinstance(archive, str) and _ADDRESS_OF_NO_FOLDER.match(archive):
            raise UsageError(_UNREADABLE)
        folder = Path(os.path.abspath(archive))
        database = URL.create("sqlite", database=str(folder / DATABASE_FILE))
        return Place(database=database, files=str(files or folder / _FILES), folder=folder)
    try:
        database = make_url(str(archive))
    except (ArgumentError, ValueError):
        raise UsageError(_UNREADABLE) from None
    if database.get_backend_name() != "postgresql":
        raise UsageError(
            f"The archive was given as {database.drivername}://…, and only postgresql:// is known. "
            "Give that, or a folder."
        )
    if "@" in (database.host or ""):
        raise UsageError(_UNREADABLE)
    files = files or find_own_files()
    if not files:
        raise UsageError(
            "An archive in PostgreSQL needs a place for its files. Give a folder or a bucket with --files, or "
            f"set {FILES_VARIABLE}."
        )
    return Place(database=database.set(drivername=_DRIVER), files=str(files), folder=None)
