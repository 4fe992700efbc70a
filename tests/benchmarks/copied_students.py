"""Copy the students of a made archive within its database, with all their rows, until there are many times as many.

Each copy has a name of its own, and numbers and digests that no other has. Rows are copied by the database itself,
table by table, which takes a tenth of the time of drawing them.
"""

from collections.abc import Callable

import numpy as np
from invented_names import Names
from sqlalchemy import Column, Connection, Table, func, insert, literal, select
from sqlalchemy.sql.elements import ColumnElement

from putt_posture.archive import Archive
from putt_posture.archive.db.tables import Base
from putt_posture.archive.db.texts import name_key, name_words

__all__ = ["DRAWN", "copy_students"]

DRAWN = "00"
"""How every digest of a drawn row begins; those of a copy begin with its number."""
_NUMBERED = {
    "students": "student_id", "lessons": "lesson_id", "clips": "clip_id", "practice_tests": "test_id",
}  # fmt: skip
_DIGESTS = ("digest", "document", "sha256")
_NAMED = ("students", "name_words")
_LEFT_OUT = ("digests", "settings", "arrivals", "departures", "erasures")


def copy_students(
    archive: Archive, *, times: int, seed: int, progress: Callable[[str, float], None] = lambda what, share: None
) -> None:
    """Copy all students so often that there are `times` as many as were drawn, at most 256."""
    names = Names(np.random.default_rng([seed, 1]))
    with archive.read() as session:
        connection = session.connection()
        most = {
            key: connection.scalar(select(func.max(Base.metadata.tables[table].c.id))) or 0
            for table, key in _NUMBERED.items()
        }
    for copy in range(1, times):
        with archive.write(keep=False) as session:
            connection = session.connection()
            if connection.dialect.name == "sqlite":
                connection.exec_driver_sql("PRAGMA cache_size = -500000")
            for table in Base.metadata.sorted_tables:
                if table.name == "students":
                    _copy_named(connection, most["student_id"], copy, names)
                elif table.name not in (*_NAMED, *_LEFT_OUT):
                    _copy_rows(connection, table, most, copy)
        progress("copies", (copy + 1) / times)


def _copy_named(connection: Connection, students: int, copy: int, names: Names) -> None:
    table, words = (Base.metadata.tables[name] for name in _NAMED)
    rows = connection.execute(select(table).where(table.c.id <= students)).mappings()
    made = [{**row, "id": row["id"] + copy * students, "name": names.draw()} for row in rows]
    connection.execute(insert(table), [{**row, "name_key": name_key(row["name"])} for row in made])
    found = [{"word": word, "student_id": row["id"]} for row in made for word in sorted(name_words(row["name"]))]
    connection.execute(insert(words), found)


def _copy_rows(connection: Connection, table: Table, most: dict[str, int], copy: int) -> None:
    own = _NUMBERED.get(table.name)
    columns = [each for each in table.columns if each.name != "id" or own is not None]

    def moved(column: Column) -> ColumnElement:
        key = own if column.name == "id" else column.name
        if key in most:
            return column + literal(copy * most[key])
        if column.name in _DIGESTS:
            return literal(f"{copy:02x}").concat(func.substr(column, len(DRAWN) + 1))
        return column

    which = next((each for each in columns if each.name in most or each.name == "id"), None)
    key = own if which is not None and which.name == "id" else which is not None and which.name
    drawn = table.c.digest < "01" if which is None else which <= most[key]
    connection.execute(insert(table).from_select(columns, select(*map(moved, columns)).where(drawn)))
