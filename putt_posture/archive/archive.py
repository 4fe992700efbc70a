"""An open archive: one database and one file store."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import Literal, Self

from sqlalchemy import Engine
from sqlalchemy.exc import DBAPIError, InterfaceError, OperationalError
from sqlalchemy.orm import Session

from putt_posture.archive.db.engine import connect
from putt_posture.archive.db.row_digests import ChangedRows
from putt_posture.archive.files.file_store import FileStore
from putt_posture.archive.files.reserve import keep_reserve
from putt_posture.archive.place import Place
from putt_posture.disk.unfinished import LeftOver
from putt_posture.errors import ArchiveAway, ArchiveError, UsageError

__all__ = ["Archive", "check_outside", "in_one_sentence", "is_damage", "is_within"]


class Archive:
    """An open archive; use it in a ``with`` block, or `close` it.

    Parameters
    ----------
    place : Place
    engine : Engine
    files : FileStore
    read_only : bool
        Whether it can only be read, as this process may not write to its place.
    closed : int
        How many of its folders and files other users could read when it was opened; now they cannot.

    Attributes
    ----------
    place, engine, files, read_only, closed
        As given.
    left_over : tuple of LeftOver
        What stopped runs had left when it was opened, and what was done with it.
    """

    def __init__(
        self, place: Place, *, engine: Engine, files: FileStore, read_only: bool = False, closed: int = 0
    ) -> None:
        self.place = place
        self.engine = engine
        self.files = files
        self.read_only = read_only
        self.closed = closed
        self.left_over: tuple[LeftOver, ...] = ()

    @contextmanager
    def read(self) -> Iterator[Session]:
        """Yield a session that sees one moment of the archive."""
        with self._session("read") as session:
            yield session

    @contextmanager
    def write(self, *, keep: bool = True) -> Iterator[Session]:
        """Yield the only writing session; either the whole block is stored, or nothing.

        Parameters
        ----------
        keep : bool
            Whether the reserve for erasing is then adjusted to the size of the database.

        Raises
        ------
        ArchiveError
            If the archive can only be read.
        """
        self.check_writable()
        with self._session("write") as session:
            changed = ChangedRows(session)
            yield session
            changed.settle()
            session.commit()
        if keep:
            keep_reserve(self.place)

    def check_writable(self) -> None:
        """Refuse to change an archive that can only be read. Raises ArchiveError."""
        if self.read_only:
            raise ArchiveError(
                f"The archive {self.place.title} can only be read here, as its disk or its folder does not let this "
                "user write. Nothing was changed. Give an archive in which you may write."
            )

    def close(self) -> None:
        """Close the database."""
        self.engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.close()

    @contextmanager
    def _session(self, to: Literal["read", "write"]) -> Iterator[Session]:
        with in_one_sentence(self.place), connect(self.engine, to=to) as connection:
            try:
                with Session(connection) as session:
                    yield session
            except (KeyboardInterrupt, SystemExit):
                connection.invalidate()  # it may have come during a commit, which the pool does not know about
                raise


def check_outside(archive: Archive, path: Path | str) -> None:
    """Refuse to write into the archive itself. Raises UsageError.

    Parameters
    ----------
    archive : Archive
    path : Path | str
    """
    folders = [archive.place.folder] if archive.place.folder else []
    if "://" not in archive.place.files:
        folders.append(Path(archive.place.files))
    for folder in folders:
        if is_within(path, folder):
            raise UsageError(f"{path} is inside the archive. Give a place outside of {folder}.")


def is_within(path: Path | str, folder: Path | str) -> bool:
    """Tell whether a path is a folder or in it, with links followed; neither has to exist.

    Parameters
    ----------
    path, folder : Path | str
    """
    return Path(os.path.realpath(path)).is_relative_to(os.path.realpath(folder))


def is_damage(error: DBAPIError) -> bool:
    """Tell whether the database's file is not as SQLite left it.

    Parameters
    ----------
    error : DBAPIError
    """
    return any(each in str(error.orig) for each in ("not a database", "malformed", "disk image"))


@contextmanager
def in_one_sentence(place: Place) -> Iterator[None]:
    """Turn errors of the database or the disk into one sentence; the stored data does not change.

    Parameters
    ----------
    place : Place
        Where the archive is.
    """
    try:
        yield
    except UnicodeDecodeError as error:
        raise ArchiveError(
            f"The archive {place.title} is damaged (a text in it cannot be read). Nothing was changed. "
            "Restore it from a backup with archive restore."
        ) from error
    except DBAPIError as error:
        reason = place.without_passwords(" ".join(str(error.orig).split()))
        if "full" in reason:
            advice = "Make room on the disk and try again."
        elif "locked" in reason:
            advice = "Another program has been writing for a long time. Try again in a minute."
        elif is_damage(error):
            advice = "Restore it from a backup with archive restore."
        elif "readonly" in reason or "unable to open" in reason:
            advice = "Give an archive in which you may write."
        else:
            advice = "See that it can be reached and try again."
        away = isinstance(error, (OperationalError, InterfaceError)) and not is_damage(error)
        kind = ArchiveAway if away else ArchiveError
        raise kind(f"The archive {place.title} refused ({reason}). Nothing was changed. {advice}") from error
