"""Every row that belongs to a student, as plain JSON values, by table.

Which tables those are is read off their keys: whatever points to a student, or to what points to one. So a table that
is added is given out without being named here.
"""

import math
from datetime import date
from typing import Any, Final

from sqlalchemy import ColumnElement, Table, or_, select
from sqlalchemy.orm import Session

from putt_posture.archive.rows import unpack_points
from putt_posture.archive.tables import Base, StudentRow

__all__ = ["OWNED_TABLES", "Rows", "rows_of_student"]

Rows = dict[str, list[dict[str, Any]]]

_STUDENTS: Final[Table] = Base.metadata.tables[StudentRow.__tablename__]


def _find_owned() -> tuple[Table, ...]:
    found = [_STUDENTS]
    for table in Base.metadata.sorted_tables:  # what is pointed to comes before what points
        if table not in found and any(key.column.table in found for key in table.foreign_keys):
            found.append(table)
    return tuple(found)


OWNED_TABLES: Final = _find_owned()
"""The tables whose rows belong to students."""


def rows_of_student(session: Session, number: int) -> Rows:
    """Return the rows of a student by table, each sorted by its primary key, in a transaction that is open.

    Days are texts like ``2026-05-17``; landmarks are lists of 33 × u, v, visibility, with null where unseen.
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
