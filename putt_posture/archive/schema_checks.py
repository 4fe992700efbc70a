"""Whether a SQLite database has the tables that this program makes, and nothing else in it."""

from collections.abc import Iterator
from functools import cache
from typing import Any, Final

from sqlalchemy import Connection, text

from putt_posture.archive import schema
from putt_posture.archive.engine import connect, make_engine_in_memory

__all__ = ["find_schema_faults"]

_Shape = dict[tuple[str, str], Any]
_TABLE: Final = (
    'SELECT name, upper(type), "notnull", dflt_value, pk, hidden FROM pragma_table_xinfo(:name) ORDER BY name',
    'SELECT "table", "from", "to", on_update, on_delete FROM pragma_foreign_key_list(:name) ORDER BY 1, 2, 3',
    'SELECT name, "unique", origin, partial FROM pragma_index_list(:name) ORDER BY name',
)
_INDEX: Final = ('SELECT seqno, name, "desc", coll, "key" FROM pragma_index_xinfo(:name) ORDER BY seqno',)


def find_schema_faults(connection: Connection, version: str) -> Iterator[str]:
    """Go through what differs from the tables of a version, one sentence each; nothing is read from the rows.

    So nothing that somebody else put into a database is run: no view, no trigger, no table of another kind.

    Parameters
    ----------
    connection : Connection
        To SQLite; a PostgreSQL server guards its own tables.
    version : str
        One of `schema.REVISIONS`.
    """
    if connection.dialect.name != "sqlite":
        return
    wanted, found = _made_by_program(version, str(schema._MIGRATIONS)), _names_in(connection)
    for kind, name in sorted(found - wanted.keys()):
        yield f"It holds the {kind} {name!r}, which no archive of this program has."
    for kind, name in sorted(wanted.keys() - found):
        yield f"It lacks the {kind} {name!r}."
    for kind, name in sorted(found & wanted.keys()):
        if _shape_of(connection, kind, name) != wanted[kind, name]:
            yield f"Its {kind} {name!r} is not as this program makes it."


@cache
def _made_by_program(version: str, _migrations: str) -> _Shape:
    engine = make_engine_in_memory()
    try:
        schema.upgrade(engine, to=version)
        with connect(engine, to="read") as connection:
            return {(kind, name): _shape_of(connection, kind, name) for kind, name in _names_in(connection)}
    finally:
        engine.dispose()


def _names_in(connection: Connection) -> set[tuple[str, str]]:
    rows = connection.execute(text("SELECT type, name FROM sqlite_master")).all()
    return {(str(row[0]), str(row[1])) for row in rows}


def _shape_of(connection: Connection, kind: str, name: str) -> object:
    queries = {"table": _TABLE, "index": _INDEX}.get(kind, ())
    return [[tuple(row) for row in connection.execute(text(query), {"name": name})] for query in queries]
