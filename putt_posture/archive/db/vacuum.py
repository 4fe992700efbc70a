"""The database is rewritten after an erasure, so that its file holds nothing of what was erased.

SQLite overwrites deleted rows (``secure_delete``). After an erasure the database is also rewritten without free pages,
and its log is emptied. PostgreSQL's tables are rewritten too; its write-ahead log and the server's backups are up to
the person who runs the server. An erasure writes a note in its own transaction that the vacuum is still to be done. If
the program is stopped before it is done, the next one that opens the archive does it.
"""

import time
from contextlib import suppress
from typing import Final

from sqlalchemy import delete, select
from sqlalchemy.engine import Connection
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.db.engine import WAIT_S, connect
from putt_posture.archive.db.tables import Base, Setting
from putt_posture.archive.files.file_store import new_token
from putt_posture.errors import ArchiveError

__all__ = ["is_vacuum_due", "request_vacuum", "vacuum"]

_NOTE: Final = "wiping_due"
"""The name of the setting as archives already have it."""
_TRIES: Final = 20
_PAUSE_S: Final = 0.25
_WAIT_MS: Final = 250
"""How long one try waits for others."""
_EMPTY_LOG: Final = "PRAGMA wal_checkpoint(TRUNCATE)"
_SIZE: Final = {
    "sqlite": "SELECT page_count * page_size FROM pragma_page_count, pragma_page_size",
    "postgresql": "SELECT pg_database_size(current_database())",
}


def request_vacuum(session: Session) -> None:
    """Write the note that a vacuum is due, in the transaction that erases; each erasure writes its own.

    Parameters
    ----------
    session : Session
        Open transaction.
    """
    session.merge(Setting(name=_NOTE, value=new_token()))


def is_vacuum_due(archive: Archive) -> bool:
    """Tell whether the database still has to be rewritten.

    Parameters
    ----------
    archive : Archive
    """
    return _read_note(archive) is not None


def vacuum(archive: Archive, *, patient: bool = True) -> bool:
    """Rewrite the database if that is due, and return whether it is done.

    Parameters
    ----------
    archive : Archive
    patient : bool
        Whether to wait for other programs, and to raise an error if they do not finish.

    Raises
    ------
    ArchiveError
        If another program uses the archive for too long. The erasure itself is done.
    """
    note = _read_note(archive)
    if note is None:
        return True
    hindrance = _rewrite(archive, tries=_TRIES if patient else 1)
    if hindrance is not None:
        if not patient:
            return False
        raise ArchiveError(f"The data is erased, but the database could not be rewritten, {hindrance}")
    with archive.write() as session:  # an erasure that came in between wrote another note, which stays
        session.execute(delete(Setting).where(Setting.name == _NOTE, Setting.value == note))
    return True


def _read_note(archive: Archive) -> str | None:
    with archive.read() as session:
        return session.scalar(select(Setting.value).where(Setting.name == _NOTE))


def _rewrite(archive: Archive, *, tries: int) -> str | None:
    """Rewrite the database and return None, or say why that is not possible and what to do."""
    with connect(archive.engine, to="maintain") as connection:
        for left in reversed(range(tries)):
            hindrance = _rewrite_once(connection)
            if hindrance is None:
                return None
            if "full" in hindrance:
                size = connection.exec_driver_sql(_SIZE[connection.dialect.name]).scalar() or 0
                return (
                    f"as the disk is full: parts of the data may still be in its free pages. Make {size / 1e6 + 1:.0f} "
                    "MB of room and run archive check, which does it."
                )
            if left:
                time.sleep(_PAUSE_S)
    return "as another program is using it. The next use of the archive tries again."


def _rewrite_once(connection: Connection) -> str | None:
    """Try once and return the error of the database, or None."""
    try:
        if connection.dialect.name == "sqlite":
            connection.exec_driver_sql(f"PRAGMA busy_timeout={_WAIT_MS}")
            connection.exec_driver_sql("PRAGMA temp_store=MEMORY")  # else the rows would be in the temporary folder
            connection.exec_driver_sql(_EMPTY_LOG)  # frees disk space; its content is not needed
            connection.exec_driver_sql("VACUUM")
            busy, _, _ = connection.exec_driver_sql(_EMPTY_LOG).one()
            return "busy" if busy else None
        connection.exec_driver_sql(f"SET lock_timeout = {_WAIT_MS}")
        for table in Base.metadata.sorted_tables:
            connection.exec_driver_sql(f"VACUUM FULL {table.name}")
    except DBAPIError as error:
        return str(error.orig)
    finally:
        with suppress(DBAPIError):
            connection.exec_driver_sql(
                f"PRAGMA busy_timeout={WAIT_S * 1000}" if connection.dialect.name == "sqlite" else "RESET lock_timeout"
            )
    return None
