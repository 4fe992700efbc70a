"""All rows of one database copied into another, whichever kinds they are."""

from typing import Final

from sqlalchemy import Connection, MetaData, func, insert, select, text

from putt_posture.archive.row_digests import OWN_PARTS, settle_own
from putt_posture.archive.tables import Base, DigestRow

__all__ = ["copy_rows", "holds_rows"]

_BATCH: Final = 2000
_LEFT_OUT: Final = frozenset({"alembic_version", "arrivals", "departures"})
"""The version is the target's own; files on their way belong to the place they are in."""


def copy_rows(source: Connection, target: Connection) -> None:
    """Copy all rows.

    Parameters
    ----------
    source : Connection
        In a transaction, so that all rows are of one moment.
    target : Connection
        In a transaction that is alone in writing; it has the same tables, all empty but for what it says of itself.
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
    """Tell whether a database with the tables of this program holds anything that `copy_rows` would copy."""
    return any(
        connection.execute(select(table).limit(1)).first() is not None
        for table in Base.metadata.sorted_tables
        if table.name not in _LEFT_OUT | {DigestRow.__tablename__}
    )


def _shape(connection: Connection) -> MetaData:
    shape = MetaData()
    shape.reflect(connection)
    return shape


def _numbers_given(connection: Connection, shape: MetaData) -> dict[str, int]:
    """Return the highest number that each table ever gave to a row, which may be gone since."""
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
    """Let the target go on numbering where the source had come to, so that no number is given to another."""
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
