"""All rows of one database copied into another, whichever kinds they are."""

from typing import Final

from sqlalchemy import Connection, MetaData, func, insert, select, text

from putt_posture.archive.tables import Base

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
        In a transaction that is alone in writing; it has the same tables, all empty.
    """
    shape, goal = _shape(source), _shape(target)
    for table in shape.sorted_tables:
        if table.name in _LEFT_OUT:
            continue
        rows = source.execution_options(yield_per=_BATCH).execute(select(table))
        for batch in rows.partitions():
            target.execute(insert(goal.tables[table.name]), [dict(row._mapping) for row in batch])
    if target.dialect.name == "postgresql":
        _advance_numbers(target, goal)


def holds_rows(connection: Connection) -> bool:
    """Tell whether a database with the tables of this program holds anything that `copy_rows` would copy."""
    return any(
        connection.execute(select(table).limit(1)).first() is not None
        for table in Base.metadata.sorted_tables
        if table.name not in _LEFT_OUT
    )


def _shape(connection: Connection) -> MetaData:
    shape = MetaData()
    shape.reflect(connection)
    return shape


def _advance_numbers(connection: Connection, goal: MetaData) -> None:
    """Let PostgreSQL go on numbering after the rows that brought their own numbers."""
    for table in goal.sorted_tables:
        if "id" not in table.columns:
            continue
        highest = connection.scalar(select(func.max(table.c.id)))
        if highest is not None:
            connection.execute(
                text("SELECT setval(pg_get_serial_sequence(:name, 'id'), :highest)"),
                {"name": table.name, "highest": highest},
            )
