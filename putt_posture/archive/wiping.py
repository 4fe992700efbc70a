"""Nothing of what was erased stays in the database's own file.

SQLite overwrites what is deleted (``secure_delete``); after an erasure the database is written anew without free pages,
and its log is emptied. PostgreSQL's tables are written anew too; its write-ahead log and the server's backups are with
whoever runs the server. An erasure leaves a note in its own transaction that this is still to be done, so that whoever
opens the archive next does it where a program was stopped in between.
"""

import time
from typing import Final

from sqlalchemy.engine import Connection
from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from putt_posture.archive.archive import Archive
from putt_posture.archive.engine import connect
from putt_posture.archive.tables import Base, Setting
from putt_posture.errors import ArchiveError

__all__ = ["want_wiping", "wipe"]

_NOTE: Final = "wiping_due"
_TRIES: Final = 20
_PAUSE_S: Final = 0.25


def want_wiping(session: Session) -> None:
    """Leave the note, in the transaction that erases."""
    session.merge(Setting(name=_NOTE, value="1"))


def wipe(archive: Archive) -> None:
    """Write the database anew where that is still to be done.

    Raises
    ------
    ArchiveError
        If somebody else reads for long. The erasure itself stands.
    """
    with archive.read() as session:
        if session.get(Setting, _NOTE) is None:
            return
    with connect(archive.engine, to="maintain") as connection:
        for _ in range(_TRIES):
            if _rewrite(connection):
                break
            time.sleep(_PAUSE_S)
        else:
            raise ArchiveError(
                "What was to be erased is erased, but the database could not be written anew, as somebody else is "
                "using it or the disk is full. The next use of the archive tries again."
            )
    with archive.write() as session:
        session.delete(session.get_one(Setting, _NOTE))


def _rewrite(connection: Connection) -> bool:
    try:
        if connection.dialect.name == "sqlite":
            connection.exec_driver_sql("VACUUM")
            busy, _, _ = connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)").one()
            return not busy
        for table in Base.metadata.sorted_tables:
            connection.exec_driver_sql(f"VACUUM FULL {table.name}")
    except DBAPIError:
        return False
    return True
