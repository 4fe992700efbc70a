"""Nothing of what was erased stays in the database's own file.

SQLite overwrites what is deleted (``secure_delete``); after an erasure the database is written anew without free pages,
and its log is emptied. PostgreSQL's tables are written anew too; its write-ahead log and the server's backups are with
whoever runs the server. An erasure leaves a note in its own transaction that this is still to be done, so that whoever
opens the archive next does it where a program was stopped in between.
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

__all__ = ["is_wiping_due", "want_wiping", "wipe"]

_NOTE: Final = "wiping_due"
_TRIES: Final = 20
_PAUSE_S: Final = 0.25
_WAIT_MS: Final = 250
"""How long one try waits for others."""
_EMPTY_LOG: Final = "PRAGMA wal_checkpoint(TRUNCATE)"
_SIZE: Final = {
    "sqlite": "SELECT page_count * page_size FROM pragma_page_count, pragma_page_size",
    "postgresql": "SELECT pg_database_size(current_database())",
}


def want_wiping(session: Session) -> None:
    """Leave the note, in the transaction that erases; each erasure writes one of its own.

    Parameters
    ----------
    session : Session
        Open transaction.
    """
    session.merge(Setting(name=_NOTE, value=new_token()))


def is_wiping_due(archive: Archive) -> bool:
    """Tell whether the database is still to be written anew.

    Parameters
    ----------
    archive : Archive
    """
    return _read_note(archive) is not None


def wipe(archive: Archive, *, patient: bool = True) -> bool:
    """Write the database anew where that is still to be done, and tell whether nothing is left to do.

    Parameters
    ----------
    archive : Archive
    patient : bool
        Whether to wait for others, and to say so where they do not finish.

    Raises
    ------
    ArchiveError
        If somebody else uses the archive for long. The erasure itself stands.
    """
    note = _read_note(archive)
    if note is None:
        return True
    hindrance = _rewrite(archive, tries=_TRIES if patient else 1)
    if hindrance is not None:
        if not patient:
            return False
        raise ArchiveError(f"What was to be erased is erased, but the database could not be rewritten, {hindrance}")
    with archive.write() as session:  # an erasure that came meanwhile has left another note, which stays
        session.execute(delete(Setting).where(Setting.name == _NOTE, Setting.value == note))
    return True


def _read_note(archive: Archive) -> str | None:
    with archive.read() as session:
        return session.scalar(select(Setting.value).where(Setting.name == _NOTE))


def _rewrite(archive: Archive, *, tries: int) -> str | None:
    """Write the database anew and return None, or say what hinders that and what to do."""
    with connect(archive.engine, to="maintain") as connection:
        for left in reversed(range(tries)):
            hindrance = _rewrite_once(connection)
            if hindrance is None:
                return None
            if "full" in hindrance:
                size = connection.exec_driver_sql(_SIZE[connection.dialect.name]).scalar() or 0
                return (
                    f"as the disk is full: bits of it may still stand in its free pages. Make {size / 1e6 + 1:.0f} MB "
                    "of room and run archive check, which does it."
                )
            if left:
                time.sleep(_PAUSE_S)
    return "as another program is using it. The next use of the archive tries again."


def _rewrite_once(connection: Connection) -> str | None:
    """Try once and return what the database said against it, or None."""
    try:
        if connection.dialect.name == "sqlite":
            connection.exec_driver_sql(f"PRAGMA busy_timeout={_WAIT_MS}")
            connection.exec_driver_sql("PRAGMA temp_store=MEMORY")  # else the rows would lie in the temporary folder
            connection.exec_driver_sql(_EMPTY_LOG)  # its room is needed, and what is in it is not
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
