"""What became of each lesson of a batch, so that a run that was stopped goes on where it stood.

A small SQLite database in the work folder, written by the one process that leads the run. A lesson has a key: the
digest of who it is of, what was given, the clips and the version of the method. What was measured lies under its key
in the work folder until it is filed, whole or not at all.
"""

import hashlib
import json
import os
import sqlite3
import zipfile
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from types import TracebackType
from typing import Any, Final, Literal, Self

from attrs import frozen
from platformdirs import user_state_path

from putt_posture.archive.place import Place
from putt_posture.disk.reading import FILE_RIGHTS, make_private_folder
from putt_posture.errors import OutputError

__all__ = ["Ledger", "LedgerEntry", "LessonState", "find_work_folder", "key_of"]

LessonState = Literal["filed", "already filed", "laid aside"]
_DATABASE: Final = "batch.sqlite"
_MEASURED: Final = "measured"
_CHUNK: Final = 1 << 20
_TABLES: Final = """
create table if not exists lessons (
    key text primary key, state text not null, lesson integer, says text not null, tries integer not null
) without rowid;
create table if not exists digests (
    path text primary key, size integer not null, changed integer not null, digest text not null
) without rowid;
"""


@frozen(kw_only=True)
class LedgerEntry:
    """What became of one lesson.

    Attributes
    ----------
    state : {"filed", "already filed", "laid aside"}
    lesson : int or None
        Its number in the archive.
    says : str
        Why it lies aside; empty otherwise.
    tries : int
    """

    state: LessonState
    lesson: int | None = None
    says: str = ""
    tries: int = 1


class Ledger:
    """The work folder of one archive's batches.

    Parameters
    ----------
    folder : Path
        Made where it is not there, for the owner only.

    Raises
    ------
    OutputError
        If it cannot be used.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        try:
            make_private_folder(folder / _MEASURED)
            path = folder / _DATABASE
            self._database = sqlite3.connect(path, timeout=5.0)
            os.chmod(path, FILE_RIGHTS)
            self._database.executescript("pragma journal_mode = wal; pragma synchronous = full;" + _TABLES)
        except (OSError, sqlite3.Error) as error:
            raise OutputError(
                f"The work folder {folder} cannot be used ({error}). Give another folder with --work."
            ) from error

    def find(self, key: str) -> LedgerEntry | None:
        """Return what became of a lesson; None where it is still to do.

        Parameters
        ----------
        key : str
        """
        row = self._database.execute("select state, lesson, says, tries from lessons where key = ?", (key,)).fetchone()
        return None if row is None else LedgerEntry(state=row[0], lesson=row[1], says=row[2], tries=row[3])

    def write(self, key: str, entry: LedgerEntry) -> None:
        """Note what became of a lesson; what was measured of it is removed.

        Parameters
        ----------
        key : str
        entry : LedgerEntry
        """
        with self._database:
            self._database.execute(
                "insert or replace into lessons values (?, ?, ?, ?, ?)",
                (key, entry.state, entry.lesson, entry.says, entry.tries),
            )
        with suppress(FileNotFoundError):
            self._place(key).unlink()

    def forget_laid_aside(self) -> int:
        """Forget what lies aside, so that it is tried again; return how many lessons that are."""
        with self._database:
            return self._database.execute("delete from lessons where state = 'laid aside'").rowcount

    def keep_measured(self, key: str, files: Mapping[str, bytes]) -> None:
        """Keep the files of a measured lesson until it is filed.

        Parameters
        ----------
        key : str
        files : mapping of str to bytes
        """
        place = self._place(key)
        part = place.with_suffix(".part")
        with open(part, "wb", opener=lambda path, flags: os.open(path, flags, FILE_RIGHTS)) as stream:
            with zipfile.ZipFile(stream, "w", zipfile.ZIP_STORED) as packed:
                for name, content in files.items():
                    packed.writestr(name, content)
            stream.flush()
            os.fsync(stream.fileno())
        part.replace(place)

    def load_measured(self, key: str) -> Mapping[str, bytes] | None:
        """Return the files of a lesson that was measured and not filed; None where there are none.

        Parameters
        ----------
        key : str
        """
        try:
            with zipfile.ZipFile(self._place(key)) as packed:
                return {name: packed.read(name) for name in packed.namelist()}
        except (FileNotFoundError, zipfile.BadZipFile):  # a damaged one is measured again
            return None

    def digest_of(self, path: Path) -> str:
        """Return the SHA-256 of a clip, read again only where its size or its time changed.

        Parameters
        ----------
        path : Path

        Raises
        ------
        OSError
            If it cannot be read.
        """
        status = path.stat()
        known = self._database.execute(
            "select digest from digests where path = ? and size = ? and changed = ?",
            (os.fspath(path.absolute()), status.st_size, status.st_mtime_ns),
        ).fetchone()
        if known is not None:
            return str(known[0])
        found = hashlib.sha256()
        with path.open("rb") as stream:
            while chunk := stream.read(_CHUNK):
                found.update(chunk)
        with self._database:
            self._database.execute(
                "insert or replace into digests values (?, ?, ?, ?)",
                (os.fspath(path.absolute()), status.st_size, status.st_mtime_ns, found.hexdigest()),
            )
        return found.hexdigest()

    def close(self) -> None:
        """Close the database."""
        self._database.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.close()

    def _place(self, key: str) -> Path:
        return self.folder / _MEASURED / f"{key}.lesson"


def find_work_folder(place: Place) -> Path:
    """Return the work folder of an archive: beside its folder, or among the user's data for one by URL.

    Parameters
    ----------
    place : Place
    """
    if place.folder is not None:
        return place.folder.with_name(f"{place.folder.name} batches")
    name = hashlib.sha256(place.title.encode()).hexdigest()[:16]
    return user_state_path("putt_posture", appauthor=False) / "batches" / name


def key_of(parts: Mapping[str, Any]) -> str:
    """Return the digest of what makes a lesson what it is, 64 hexadecimal digits.

    Parameters
    ----------
    parts : mapping of str to object
        Texts, numbers and values whose ``repr`` is the same for the same thing; their order does not matter.

    Examples
    --------
    >>> key_of({"a": 1, "b": "x"}) == key_of({"b": "x", "a": 1}) != key_of({"a": 2, "b": "x"})
    True
    """
    text = json.dumps(parts, sort_keys=True, default=repr, ensure_ascii=False)
    return hashlib.sha256(text.encode()).hexdigest()
