"""Digests of rows, with which a check compares the rows of an archive.

The rows of one table that belong to one owner (a student, a lesson, a view of a lesson, a practice test) have one
common SHA-256. Every write transaction recalculates those that it changed, in one place: `ChangedRows` listens to the
session, so that no caller can forget it. A digest is of the values and not of their storage: columns by name, days as
``2026-05-17``, numbers in the shortest form that reads back as the same double. So it is the same in either database.
"""

import hashlib
import json
import re
from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from datetime import date
from typing import Any, Final

from sqlalchemy import (
    ColumnElement,
    Connection,
    Delete,
    Insert,
    MetaData,
    Table,
    TextClause,
    Update,
    delete,
    event,
    insert,
    inspect,
    literal,
    select,
    text,
)
from sqlalchemy.orm import ORMExecuteState, Session

from putt_posture.archive.db.tables import Base, DigestRow

__all__ = [
    "NO_OWNER",
    "OWNERS",
    "OWN_PARTS",
    "ChangedRows",
    "digest_rows",
    "digests_kept",
    "own_digest",
    "owner_of",
    "owners_kept",
    "settle_all",
    "settle_own",
]

OWNERS: Final[Mapping[str, str | None]] = {
    "students": "id",
    "name_words": "student_id",
    "consents": "student_id",
    "lessons": "id",
    "measures": "lesson_id",
    "fits": "lesson_id",
    "lesson_files": "lesson_id",
    "clips": "lesson_id",
    "setups": "clip_id",
    "landmarks": "clip_id",
    "corrections": "clip_id",
    "practice_tests": "id",
    "putts": "test_id",
    "erasures": "id",
    "settings": None,
}
"""The tables whose rows have digests, each with its owner column; None if all rows are one group.

Not among them are ``standings``, which are calculated from lessons, ``files``, whose digests are those of their
contents, and pending adds and deletes.
"""
OWN_PARTS: Final[Mapping[str, str]] = {
    "sqlite_master": "SELECT type, name, tbl_name, sql FROM sqlite_master",
    "sqlite_sequence": "SELECT name, seq FROM sqlite_sequence",
}
"""Parts of a SQLite database itself, its tables and its last numbers; their digests are not copied."""
NO_OWNER: Final = 0
"""Owner of a table that is one group."""
_BATCH: Final = 500
_AT_ONCE: Final = 20_000
"""Numbers of owners that are read at once."""


class ChangedRows:
    """The rows that a session changes, whose digests must be recalculated.

    It follows the session's objects, and statements that change or delete many rows but not their owner. Other
    statements that change rows are refused.

    Parameters
    ----------
    session : Session
        A session that was not used yet.
    """

    def __init__(self, session: Session) -> None:
        self._session = session
        self._owners: defaultdict[str, set[int]] = defaultdict(set)
        event.listen(session, "before_flush", self._before_flush)
        event.listen(session, "after_flush", self._after_flush)
        event.listen(session, "do_orm_execute", self._before_statement)

    def settle(self) -> None:
        """Store the digests of the changed rows, in the same transaction."""
        self._session.flush()
        connection = self._session.connection()
        for part, changed in self._owners.items():
            owners = sorted(changed)
            for start in range(0, len(owners), _BATCH):
                _settle(connection, Base.metadata.tables[part], owners[start : start + _BATCH])
        if any("sqlite_autoincrement" in Base.metadata.tables[part].kwargs for part in self._owners):
            settle_own(connection, ["sqlite_sequence"])
        self._owners.clear()

    def _before_flush(self, session: Session, _context: object, _instances: object) -> None:
        for each in session.deleted:
            table = each.__table__
            self._note(table, [_owner_in(each)])
            if "id" in table.columns:
                self._note_below(table, [each.id])
        for each in session.dirty:
            name = OWNERS.get(each.__tablename__)
            if name is not None:
                had = inspect(each).attrs[name].history.deleted  # the owner before, if the row gets another
                self._note(each.__table__, had or ())

    def _after_flush(self, session: Session, _context: object) -> None:
        for each in (*session.new, *session.dirty):
            self._note(each.__table__, [_owner_in(each)])

    def _before_statement(self, state: ORMExecuteState) -> None:
        statement: Any = state.statement
        if isinstance(statement, TextClause):
            if re.match(r"\s*(insert|update|delete|replace)\b", statement.text, re.IGNORECASE):
                raise TypeError("Rows are changed through the session's objects, so that their digests follow.")
            return
        if not isinstance(statement, Insert | Update | Delete):
            return
        name = getattr(statement.table, "name", "")
        if name not in OWNERS:
            return
        if not isinstance(statement, Update | Delete):
            raise TypeError("Rows are added through the session's objects, so that their digests follow.")
        table = Base.metadata.tables[name]  # the value itself, and not as the statement writes it
        self._session.flush()
        query = select(owner_of(table)).select_from(table)
        if statement.whereclause is not None:
            query = query.where(statement.whereclause)
        connection = self._session.connection()
        self._note(table, list(connection.scalars(query)))
        if isinstance(statement, Delete) and "id" in table.columns:
            self._note_below(table, list(connection.scalars(query.with_only_columns(table.c.id))))

    def _note(self, table: Any, owners: Iterable[int]) -> None:
        if table.name in OWNERS:
            self._owners[table.name].update(owners)

    def _note_below(self, table: Any, numbers: list[int]) -> None:
        """Note the rows that the database deletes together with others."""
        for below in Base.metadata.sorted_tables:
            if below.name not in OWNERS:
                continue
            for key in below.foreign_keys:
                if key.column.table is not table:
                    continue
                going = select(below).where(key.parent.in_(numbers))
                connection = self._session.connection()
                self._note(below, set(connection.scalars(going.with_only_columns(owner_of(below)))))
                if "id" in below.columns:
                    self._note_below(below, list(connection.scalars(going.with_only_columns(below.c.id))))


def owner_of(table: Table) -> ColumnElement[Any]:
    """Return the owner column of a table.

    Parameters
    ----------
    table : Table
    """
    name = OWNERS[table.name]
    return literal(NO_OWNER) if name is None else table.c[name]


def digest_rows(rows: Iterable[Mapping[str, Any]]) -> str:
    """Return the SHA-256 of rows, hexadecimal; it does not depend on their order.

    Parameters
    ----------
    rows : Iterable[Mapping[str, Any]]
        Values by column.

    Examples
    --------
    >>> digest_rows([{"a": 1.0}, {"a": 2.0}]) == digest_rows([{"a": 2.0}, {"a": 1.0}])
    True
    """
    texts = sorted(
        json.dumps({name: _plain(value) for name, value in row.items()}, sort_keys=True, separators=(",", ":"))
        for row in rows
    )
    return hashlib.sha256("\n".join(texts).encode("ascii")).hexdigest()


def digests_kept(connection: Connection, part: str, owners: Collection[int] | None = None) -> dict[int, str]:
    """Return the digests of one table, or of one of `OWN_PARTS`, by owner.

    Parameters
    ----------
    connection : Connection
        Open connection to the database.
    part : str
        Name of a table, or one of `OWN_PARTS`.
    owners : collection of int, optional
        Whose digests are read; those of all owners without it.
    """
    query = select(DigestRow.owner, DigestRow.digest).where(DigestRow.part == part)
    if owners is not None:
        query = query.where(DigestRow.owner.in_(owners))
    return {row.owner: row.digest for row in connection.execute(query)}


def owners_kept(connection: Connection, part: str) -> set[int]:
    """Return the owners of one table that have a digest.

    Parameters
    ----------
    connection : Connection
        Open connection to the database.
    part : str
        Name of a table.
    """
    query = select(DigestRow.owner).where(DigestRow.part == part).execution_options(yield_per=_AT_ONCE)
    return set(connection.scalars(query))


def own_digest(connection: Connection, part: str) -> str:
    """Calculate the digest of one of `OWN_PARTS`, in SQLite.

    Parameters
    ----------
    connection : Connection
        Open connection to the database.
    part : str
        One of `OWN_PARTS`.
    """
    return digest_rows([dict(row) for row in connection.execute(text(OWN_PARTS[part])).mappings()])


def settle_own(connection: Connection, parts: Collection[str] = tuple(OWN_PARTS)) -> None:
    """Store the digests of some of `OWN_PARTS`, in a write transaction.

    Parameters
    ----------
    connection : Connection
        Open connection to the database.
    parts : Collection[str]
        Some of `OWN_PARTS`.
    """
    if connection.dialect.name == "sqlite":
        connection.execute(delete(DigestRow).where(DigestRow.part.in_(parts)))
        rows = [{"part": part, "owner": NO_OWNER, "digest": own_digest(connection, part)} for part in parts]
        connection.execute(insert(DigestRow), rows)


def settle_all(connection: Connection) -> None:
    """Calculate and store the digests of all rows as they are, and replace the stored ones.

    Parameters
    ----------
    connection : Connection
        In a write transaction. Its tables may be older than this program's.
    """
    there = set(inspect(connection).get_table_names()) & OWNERS.keys()
    filled = [part for part in OWNERS if part in there and _has_rows(connection, part)]
    shape = MetaData()
    if filled:  # looking up what each table is like takes most of the time in which a new archive is made
        shape.reflect(connection, only=filled)
    connection.execute(delete(DigestRow))
    for part in filled:
        table = shape.tables[part]
        owners = sorted(set(connection.scalars(select(owner_of(table)).select_from(table))))
        for start in range(0, len(owners), _BATCH):
            _settle(connection, table, owners[start : start + _BATCH])
    settle_own(connection)


def _has_rows(connection: Connection, part: str) -> bool:
    return connection.scalar(select(literal(1)).select_from(text(part)).limit(1)) is not None


def _owner_in(row: Any) -> int:
    name = OWNERS.get(row.__tablename__)
    return NO_OWNER if name is None else getattr(row, name)


def _settle(connection: Connection, table: Table, owners: list[int]) -> None:
    digests = dict(_work_out(connection, table, owners))
    connection.execute(delete(DigestRow).where(DigestRow.part == table.name, DigestRow.owner.in_(owners)))
    if digests:
        rows = [{"part": table.name, "owner": owner, "digest": each} for owner, each in digests.items()]
        connection.execute(insert(DigestRow), rows)


def _work_out(connection: Connection, table: Table, owners: list[int]) -> Iterator[tuple[int, str]]:
    owner = owner_of(table)
    groups: defaultdict[int, list[dict[str, Any]]] = defaultdict(list)
    for row in connection.execute(select(table).where(owner.in_(owners))).mappings():
        name = OWNERS[table.name]
        groups[NO_OWNER if name is None else row[name]].append(dict(row))
    for number, rows in groups.items():
        yield number, digest_rows(rows)


def _plain(value: Any) -> Any:
    if isinstance(value, float):
        return value + 0.0  # SQLite does not store the sign of zero
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, bytes | memoryview):
        return {"bytes": bytes(value).hex()}
    return value
