"""All rows of one database, or of one student, copied out by table.

A student's tables are found by their foreign keys: those that point to a student, or to such a table. So a new table
is included without being listed here.
"""

import math
from datetime import date
from typing import Any, Final

from sqlalchemy import ColumnElement, Connection, MetaData, Table, func, insert, or_, select, text
from sqlalchemy.orm import Session

from putt_posture.archive.db.row_digests import OWN_PARTS, settle_own
from putt_posture.archive.db.rows import unpack_points
from putt_posture.archive.db.tables import Base, DigestRow, StudentRow

__all__ = ["OWNED_TABLES", "Rows", "copy_rows", "holds_rows", "rows_of_student"]

_BATCH: Final = 2000
_LEFT_OUT: Final = frozenset({"alembic_version", "arrivals", "departures"})
"""The version belongs to the target; pending files belong to their own place."""
Rows = dict[str, list[dict[str, Any]]]
_STUDENTS: Final[Table] = Base.metadata.tables[StudentRow.__tablename__]


def _find_owned() -> tuple[Table, ...]:
    found = [_STUDENTS]
    for table in Base.metadata.sorted_tables:  # a table comes after those that it points to
        if table not in found and any(key.column.table in found for key in table.foreign_keys):
            found.append(table)
    return tuple(found)


OWNED_TABLES: Final = _find_owned()
"""The tables whose rows belong to students."""


def copy_rows(source: Connection, target: Connection) -> None:
    """Copy all rows.

    Parameters
    ----------
    source : Connection
        In a transaction, so that all rows are of one moment.
    target : Connection
        In a write transaction; it has the same tables, all empty except those about itself.
    """
    shape, goal = _shape(source), _shape(target)
    for table in shape.sorted_tables:
        if table.name in _LEFT_OUT:
            continue
        query = select(table)
        if table.name == DigestRow.__tablename__:
            query = query.where(table.c.part.not_in(OWN_PARTS))
        rows = source.execution_options(yield_per=_BATCH).execute(query)
        for batch in rows.partitions():
            target.execute(insert(goal.tables[table.name]), [dict(row._mapping) for row in batch])
    _advance_numbers(target, goal, _numbers_given(source, shape))
    if DigestRow.__tablename__ in goal.tables:
        settle_own(target)


def holds_rows(connection: Connection) -> bool:
    """Tell whether a database with this program's tables has anything that `copy_rows` would copy.

    Parameters
    ----------
    connection : Connection
        Open connection to the database.
    """
    return any(
        connection.execute(select(table).limit(1)).first() is not None
        for table in Base.metadata.sorted_tables
        if table.name not in _LEFT_OUT | {DigestRow.__tablename__}
    )


def rows_of_student(session: Session, number: int) -> Rows:
    """Return the rows of a student by table, each sorted by its primary key, in an open transaction.

    Days are texts like ``2026-05-17``; landmarks are lists of 33 × u, v, visibility, with null where unseen.

    Parameters
    ----------
    session : Session
        Open transaction.
    number : int
        Number of the student.
    """
    owned: Rows = {}
    for table in OWNED_TABLES:
        keys = [column.name for column in table.primary_key]
        rows = session.execute(select(table).where(_belongs(table, number))).mappings()
        owned[table.name] = [
            {name: _as_json(value) for name, value in row.items()}
            for row in sorted(rows, key=lambda row: [row[key] for key in keys])
        ]
    return owned


def _shape(connection: Connection) -> MetaData:
    shape = MetaData()
    shape.reflect(connection)
    return shape


def _numbers_given(connection: Connection, shape: MetaData) -> dict[str, int]:
    """Return the highest number that each table ever gave to a row, even if the row was deleted."""
    given = {}
    for table in shape.sorted_tables:
        if "id" not in table.columns:
            continue
        highest = connection.scalar(select(func.max(table.c.id)))
        given[table.name] = max(highest or 0, _last_number(connection, table.name) or 0)
    return given


def _last_number(connection: Connection, table: str) -> int | None:
    if connection.dialect.name == "sqlite":
        last = "SELECT seq FROM sqlite_sequence WHERE name = :name"
    else:
        last = "SELECT pg_sequence_last_value(pg_get_serial_sequence(:name, 'id')::regclass)"
    found: int | None = connection.scalar(text(last), {"name": table})
    return found


def _advance_numbers(connection: Connection, goal: MetaData, given: dict[str, int]) -> None:
    """Continue the numbering of the source, so that no number is used twice."""
    if connection.dialect.name == "sqlite":
        counting = connection.scalars(text("SELECT name FROM sqlite_master WHERE sql LIKE '%AUTOINCREMENT%'")).all()
        advance = "INSERT INTO sqlite_sequence (name, seq) VALUES (:name, :highest)"
    else:
        counting = list(given)
        advance = "SELECT setval(pg_get_serial_sequence(:name, 'id'), :highest)"
    for name in sorted(given.keys() & set(counting) & goal.tables.keys()):
        if connection.dialect.name == "sqlite":
            connection.execute(text("DELETE FROM sqlite_sequence WHERE name = :name"), {"name": name})
        if given[name]:
            connection.execute(text(advance), {"name": name, "highest": given[name]})


def _belongs(table: Table, number: int) -> ColumnElement[bool]:
    if table is _STUDENTS:
        return table.c.id == number
    keys = [key for key in table.foreign_keys if key.column.table in OWNED_TABLES]
    return or_(*(key.parent.in_(select(key.column).where(_belongs(key.column.table, number))) for key in keys))


def _as_json(value: Any) -> Any:
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, bytes):
        return [[_or_none(each) for each in point] for point in unpack_points(value).tolist()]
    return value


def _or_none(number: float) -> float | None:
    return number if math.isfinite(number) else None
