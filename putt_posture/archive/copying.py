"""All rows of one database copied into another, whichever kinds they are."""

from typing import Final

from sqlalchemy import Connection, Engine, MetaData, func, insert, select, text

from putt_posture.archive.engine import connect

__all__ = ["copy_rows"]

_BATCH: Final = 2000
_LEFT_OUT: Final = frozenset({"alembic_version", "arrivals", "departures"})
"""The version is the target's own; files on their way belong to the place they are in."""


def copy_rows(source: Connection, target: Engine) -> None:
    """Copy all rows in one transaction; the target has the same tables, all empty.

    Parameters
    ----------
    source : Connection
        In a transaction, so that all rows are of one moment.
    target : Engine
    """
    shape = MetaData()
    shape.reflect(source)
    with connect(target, to="write") as connection, connection.begin():
        goal = MetaData()
        goal.reflect(connection)
        for table in shape.sorted_tables:
            if table.name in _LEFT_OUT:
                continue
            rows = source.execution_options(yield_per=_BATCH).execute(select(table))
            for batch in rows.partitions():
                connection.execute(insert(goal.tables[table.name]), [dict(row._mapping) for row in batch])
        if connection.dialect.name == "postgresql":
            _advance_numbers(connection, goal)


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
