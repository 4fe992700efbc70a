"""The connection to the database: SQLite by default, PostgreSQL by URL.

There is one writer at a time: SQLite uses ``BEGIN IMMEDIATE``, PostgreSQL an advisory lock for the transaction. So
what a transaction has read is still true when it writes. A reader sees one moment: SQLite by its write-ahead log,
PostgreSQL by repeatable reads. (A writer in PostgreSQL reads what is committed: its first statement waits for the lock,
and a snapshot taken before it would be out of date.)
"""

import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Any, Final, Literal, cast

from sqlalchemy import Engine, create_engine, event
from sqlalchemy.engine import Connection
from sqlalchemy.pool import QueuePool, StaticPool

from putt_posture.archive.place import Place
from putt_posture.disk.reading import make_private_file

__all__ = [
    "WAIT_S",
    "bytes_of",
    "connect",
    "make_engine",
    "make_engine_in_memory",
    "make_engine_of_bytes",
    "make_engine_of_copy",
]

Use = Literal["read", "write", "maintain"]
"""Maintenance is done outside transactions: rewriting the database, changing its journal."""
_USE: Final = "archive_use"
"""Execution option of a connection for its use."""
WAIT_S: Final = 60
"""How long a writer waits for another."""
_LOCK: Final = 0x70757474
"""Key of the advisory lock; any number that is not used by another program in the same database."""


def make_engine(place: Place, *, read_only: bool = False) -> Engine:
    """Make the engine, without connecting. A read-only one changes nothing, in SQLite not even the log.

    Parameters
    ----------
    place : Place
        Where the archive is.
    read_only : bool
        Whether nothing may be written.
    """
    if place.database.get_backend_name() == "sqlite":
        path = Path(str(place.database.database))
        if read_only:
            engine = create_engine("sqlite://", creator=lambda: _connect_to_read(path), poolclass=QueuePool)
        else:
            engine = create_engine(place.database, connect_args={"timeout": WAIT_S})
            event.listen(engine, "do_connect", lambda *_about: make_private_file(path))
            event.listen(engine, "connect", _set_up_sqlite)
        event.listen(engine, "begin", _begin_sqlite)
    else:
        engine = create_engine(place.database, isolation_level="READ COMMITTED", pool_pre_ping=True)
        event.listen(engine, "begin", _begin_postgresql)
    return engine


def make_engine_of_copy(path: Path, *, in_memory: bool) -> Engine:
    """Make the engine of a closed SQLite file that no program writes to, and that does not change.

    Parameters
    ----------
    path : Path
        Of the SQLite file.
    in_memory : bool
        Whether it is read into memory, where it can be changed. So no second copy of personal data is left on a disk
        if the program is stopped.
    """
    connection = sqlite3.connect(f"{path.absolute().as_uri()}?immutable=1", uri=True)
    if in_memory:
        memory = sqlite3.connect(":memory:")
        with closing(connection):
            connection.backup(memory)
        connection = memory
    connection.execute("PRAGMA trusted_schema=OFF")  # another program may have written to it
    return _make_engine_of(connection)


def make_engine_of_bytes(database: bytes) -> Engine:
    """Make the engine of the bytes of a closed SQLite file; it is only in memory, and may be changed there.

    Parameters
    ----------
    database : bytes
        Bytes of a SQLite database.
    """
    connection = sqlite3.connect(":memory:")
    connection.deserialize(database)
    connection.execute("PRAGMA trusted_schema=OFF")  # another program may have written to it
    return _make_engine_of(connection)


def bytes_of(engine: Engine) -> bytes:
    """Return the bytes of a database in memory.

    Parameters
    ----------
    engine : Engine
    """
    connection = engine.raw_connection()
    try:
        return cast(sqlite3.Connection, connection.driver_connection).serialize()
    finally:
        connection.close()


def make_engine_in_memory() -> Engine:
    """Make the engine of an empty database in memory, which lives as long as the engine."""
    connection = sqlite3.connect(":memory:")
    connection.execute("PRAGMA foreign_keys=ON")
    return _make_engine_of(connection)


def connect(engine: Engine, *, to: Use) -> Connection:
    """Return a connection for reading one moment, for writing alone, or for maintenance without transactions.

    Parameters
    ----------
    engine : Engine
    to : Use
        For what it is used.
    """
    connection = engine.connect().execution_options(**{_USE: to})
    if engine.dialect.name == "sqlite" or to == "write":
        return connection
    if to == "maintain":
        return connection.execution_options(isolation_level="AUTOCOMMIT")
    return connection.execution_options(isolation_level="REPEATABLE READ", postgresql_readonly=True)


def _make_engine_of(connection: sqlite3.Connection) -> Engine:
    connection.isolation_level = None
    engine = create_engine("sqlite://", creator=lambda: connection, poolclass=StaticPool)
    event.listen(engine, "begin", _begin_sqlite)
    return engine


def _connect_to_read(path: Path) -> sqlite3.Connection:
    """Connect to a file in a read-only place.

    If there is a log, SQLite reads it too, by shared memory. Without a log no program has the file open for writing,
    and it is read as it is; no file is made beside it.
    """
    uri = f"{path.absolute().as_uri()}?mode=ro"
    log = path.with_name(f"{path.name}-wal")
    if log.exists():
        try:
            return _try_to_read(uri)
        except sqlite3.OperationalError:
            if not log.is_file() or log.stat().st_size:
                raise
    return _try_to_read(f"{uri}&immutable=1")


def _try_to_read(uri: str) -> sqlite3.Connection:
    connection = sqlite3.connect(uri, uri=True, timeout=WAIT_S, check_same_thread=False)
    try:
        connection.isolation_level = None
        connection.execute("PRAGMA query_only=ON")
        connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    except BaseException:
        connection.close()
        raise
    return connection


def _set_up_sqlite(connection: Any, _record: object) -> None:
    """Protect the file against power cuts, two writers, dangling rows, and erased data left in free pages."""
    connection.isolation_level = None  # otherwise the driver begins a deferred transaction
    for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON", "secure_delete=ON"):
        try:
            connection.execute(f"PRAGMA {pragma}")
        except UnicodeDecodeError:  # a name in the error message may itself be unreadable
            raise sqlite3.DatabaseError("malformed database schema") from None


def _begin_sqlite(connection: Connection) -> None:
    use = connection.get_execution_options().get(_USE)
    if use != "maintain":
        connection.exec_driver_sql("BEGIN IMMEDIATE" if use == "write" else "BEGIN")


def _begin_postgresql(connection: Connection) -> None:
    if connection.get_execution_options().get(_USE) == "write":
        connection.exec_driver_sql(f"SELECT pg_advisory_xact_lock({_LOCK})")
