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
from putt_posture.archive.engine import WAIT_S, connect
from putt_posture.archive.file_store import new_token
from putt_posture.archive.tables import Base, Setting
from putt_posture.errors import ArchiveError

__all__ = ["want_wiping", "wipe"]

_NOTE: Final = "wiping_due"
_TRIES: Final = 20
_PAUSE_S: Final = 0.25
_WAIT_MS: Final = 250
"""How long one try waits for others."""


def want_wiping(session: Session) -> None:
    """Leave the note, in the transaction that erases; each erasure writes one of its own."""
    session.merge(Setting(name=_NOTE, value=new_token()))


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
    with archive.read() as session:
        note = session.scalar(select(Setting.value).where(Setting.name == _NOTE))
    if note is None:
        return True
    if not _rewrite(archive, tries=_TRIES if patient else 1):
        if not patient:
            return False
        raise ArchiveError(
            "What was to be erased is erased, but the database could not be written anew, as somebody else is "
            "using it or the disk is full. The next use of the archive tries again."
        )
    with archive.write() as session:  # an erasure that came meanwhile has left another note, which stays
        session.execute(delete(Setting).where(Setting.name == _NOTE, Setting.value == note))
    return True


def _rewrite(archive: Archive, *, tries: int) -> bool:
    with connect(archive.engine, to="maintain") as connection:
        for left in reversed(range(tries)):
            if _rewrite_once(connection):
                return True
            if left:
                time.sleep(_PAUSE_S)
    return False


def _rewrite_once(connection: Connection) -> bool:
    try:
        if connection.dialect.name == "sqlite":
            connection.exec_driver_sql(f"PRAGMA busy_timeout={_WAIT_MS}")
            connection.exec_driver_sql("VACUUM")
            busy, _, _ = connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)").one()
            return not busy
        connection.exec_driver_sql(f"SET lock_timeout = {_WAIT_MS}")
        for table in Base.metadata.sorted_tables:
            connection.exec_driver_sql(f"VACUUM FULL {table.name}")
    except DBAPIError:
        return False
    finally:
        with suppress(DBAPIError):
            connection.exec_driver_sql(
                f"PRAGMA busy_timeout={WAIT_S * 1000}" if connection.dialect.name == "sqlite" else "RESET lock_timeout"
            )
    return True
