"""What became of each lesson of a batch, so that a run that was stopped goes on where it stood.

A small SQLite database in the work folder, written by the process that leads the run. A lesson has a key: the digest of
who it is of, what was given and its clips. What was measured has a name: the digest of clips, of all that was given to
the measuring, and of the version of the method. It lies under that name in the work folder until it is filed, whole or
not at all. Both are for the owner of the folder alone.
"""

import hashlib
import json
import os
import sqlite3
import stat
import time
import zipfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from datetime import date
from pathlib import Path
from types import TracebackType
from typing import Any, Final, Literal, Self

import attrs
import psutil
from attrs import frozen
from platformdirs import user_state_path

from putt_posture.archive.place import Place
from putt_posture.clips.files import read_digest
from putt_posture.disk.reading import FILE_RIGHTS, make_private_folder, open_privately
from putt_posture.errors import OutputError, UsageError

__all__ = ["Ledger", "LedgerEntry", "LessonState", "find_work_folder", "key_of"]

LessonState = Literal["filed", "already filed", "unchanged", "laid aside"]
_DATABASE: Final = "batch.sqlite"
_MEASURED: Final = "measured"
_PART: Final = ".part"
_VERSION: Final = 1
"""Of the tables; raised when they change."""
_KEPT_S: Final = 7 * 86_400.0
"""How long what was measured and never filed is kept, s: a run that was stopped goes on long before."""
_TABLES: Final = """
create table if not exists lessons (
    key text primary key, state text not null, lesson integer, says text not null, tries integer not null,
    method text not null
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
    state : {"filed", "already filed", "unchanged", "laid aside"}
        ``unchanged``: it was measured again, and every number is the same as before.
    lesson : int or None
        Its number in the archive.
    says : str
        Why it lies aside; empty otherwise.
    tries : int
    method : str
        Version of the method by which it was measured, or tried.
    """

    state: LessonState
    lesson: int | None = None
    says: str = ""
    tries: int = 1
    method: str = ""


class Ledger:
    """The work folder of one archive's batches.

    Parameters
    ----------
    folder : Path
        Made where it is not there, for the owner only.

    Raises
    ------
    OutputError
        If it cannot be used, or is of another version of the program.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        with self._one_sentence():
            make_private_folder(folder / _MEASURED)
            path = folder / _DATABASE
            self._database = sqlite3.connect(path, timeout=30.0)
            os.chmod(path, FILE_RIGHTS)
            version = self._database.execute("pragma user_version").fetchone()[0]
            if version not in (0, _VERSION):
                raise OutputError(
                    f"The work folder {folder} is of another version of the program. Give another folder with --work."
                )
            self._database.executescript("pragma journal_mode = wal; pragma synchronous = full;" + _TABLES)
            self._database.execute(f"pragma user_version = {_VERSION}")
            self._remove_old()

    def find(self, key: str) -> LedgerEntry | None:
        """Return what became of a lesson; None where that is not noted.

        Parameters
        ----------
        key : str
        """
        with self._one_sentence():
            row = self._database.execute(
                "select state, lesson, says, tries, method from lessons where key = ?", (key,)
            ).fetchone()
        if row is None:
            return None
        return LedgerEntry(state=row[0], lesson=row[1], says=row[2], tries=row[3], method=row[4])

    def write(self, key: str, entry: LedgerEntry) -> None:
        """Note what became of a lesson.

        Parameters
        ----------
        key : str
        entry : LedgerEntry

        Raises
        ------
        OutputError
            If the work folder cannot be written.
        """
        with self._one_sentence(), self._database:
            self._database.execute(
                "insert or replace into lessons values (?, ?, ?, ?, ?, ?)",
                (key, entry.state, entry.lesson, entry.says, entry.tries, entry.method),
            )

    def keep_measured(self, key: str, name: str, files: Mapping[str, bytes]) -> None:
        """Keep the files of a measured lesson until it is filed.

        Parameters
        ----------
        key : str
            Of the lesson.
        name : str
            Of the result.
        files : mapping of str to bytes

        Raises
        ------
        OutputError
            If the work folder cannot be written.
        """
        place = self._place(key, name)
        part = place.with_suffix(f".{os.getpid()}{_PART}")
        with self._one_sentence():
            with open(part, "wb", opener=open_privately) as stream:
                with zipfile.ZipFile(stream, "w", zipfile.ZIP_STORED) as packed:
                    for each, content in files.items():
                        packed.writestr(each, content)
                stream.flush()
                os.fsync(stream.fileno())
            part.replace(place)

    def load_measured(self, key: str, name: str) -> Mapping[str, bytes] | None:
        """Return the files of a lesson that was measured and not filed; None where there are none.

        Parameters
        ----------
        key, name : str
            As for `keep_measured`.
        """
        try:
            with zipfile.ZipFile(self._place(key, name)) as packed:
                return {each: packed.read(each) for each in packed.namelist()}
        except (OSError, zipfile.BadZipFile):  # a damaged one is measured again
            return None

    def remove_measured(self, key: str) -> None:
        """Remove all that was measured of a lesson, if anything is there.

        Parameters
        ----------
        key : str
        """
        with self._one_sentence():
            for path in (self.folder / _MEASURED).glob(f"{key}.*"):
                path.unlink(missing_ok=True)

    def digest_of(self, path: Path) -> str:
        """Return the SHA-256 of a clip, read again only where its size or its time changed.

        Parameters
        ----------
        path : Path

        Raises
        ------
        UsageError
            If it cannot be read, or is no file.
        """
        try:
            status = path.stat()
            if not stat.S_ISREG(status.st_mode):
                raise UsageError(f"{path} is no file. Give the clip itself.")
            return self._digest_of(path, status)
        except OSError as error:
            why = (error.strerror or type(error).__name__).lower()
            raise UsageError(f"{path} cannot be read ({why}). Look where it is.") from None

    def _digest_of(self, path: Path, status: os.stat_result) -> str:
        about = (os.fspath(path.absolute()), status.st_size, status.st_mtime_ns)
        with self._one_sentence():
            known = self._database.execute(
                "select digest from digests where path = ? and size = ? and changed = ?", about
            ).fetchone()
        if known is not None:
            return str(known[0])
        found = read_digest(path)
        with self._one_sentence(), self._database:
            self._database.execute("insert or replace into digests values (?, ?, ?, ?)", (*about, found))
        return found

    def close(self) -> None:
        """Close the database."""
        self._database.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.close()

    def _place(self, key: str, name: str) -> Path:
        return self.folder / _MEASURED / f"{key}.{name}.lesson"

    def _remove_old(self) -> None:
        """Remove what runs that were stopped left and none can go on with: it shows students."""
        for path in (self.folder / _MEASURED).iterdir():
            with suppress(FileNotFoundError):
                writer = path.name.removesuffix(_PART).rpartition(".")[2] if path.name.endswith(_PART) else ""
                half_written = writer.isdecimal() and not psutil.pid_exists(int(writer))
                if half_written or time.time() - path.stat().st_mtime > _KEPT_S:
                    path.unlink()

    @contextmanager
    def _one_sentence(self) -> Iterator[None]:
        try:
            yield
        except (OSError, sqlite3.Error) as error:
            reason = (error.strerror or str(error)) if isinstance(error, OSError) else str(error)
            raise OutputError(
                f"The work folder {self.folder} cannot be used ({reason}). Make room there, or give another folder "
                "with --work. What was filed is filed."
            ) from error


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


def key_of(parts: Any) -> str:
    """Return the digest of what makes a lesson what it is, 64 hexadecimal digits.

    Parameters
    ----------
    parts : object
        Texts, numbers, days, paths, value objects, and mappings and sequences of them. The order in a mapping does not
        matter.

    Examples
    --------
    >>> key_of({"a": 1, "b": "x"}) == key_of({"b": "x", "a": 1}) != key_of({"a": 2, "b": "x"})
    True
    """
    text = json.dumps(_plain(parts), sort_keys=True, ensure_ascii=False)
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def _plain(value: Any) -> Any:
    """Return a value as JSON can hold it, the same for the same in every process."""
    if value is None or isinstance(value, str | int | float | bool):
        return value
    if attrs.has(type(value)):
        inside = {each.name: _plain(getattr(value, each.name)) for each in attrs.fields(type(value)) if each.eq}
        return {"is": type(value).__name__, **inside}
    if isinstance(value, Mapping):
        return {str(name): _plain(each) for name, each in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(each) for each in value]
    if isinstance(value, set | frozenset):
        return sorted(map(repr, value))
    if isinstance(value, date | Path):
        return str(value)
    raise TypeError(f"A {type(value).__name__} has no digest.")
