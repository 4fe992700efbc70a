"""The version of an archive's tables: made, checked, upgraded, and refused if this program is older.

The versions are Alembic's revisions in ``migrations/versions``.
"""

from collections.abc import Collection, Iterator
from functools import cache
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Connection, Engine, inspect, text

from putt_posture.archive.db import schema
from putt_posture.archive.db.engine import connect, make_engine_in_memory
from putt_posture.archive.db.row_digests import settle_own
from putt_posture.archive.db.tables import DigestRow
from putt_posture.archive.lessons.histories import update_summaries
from putt_posture.errors import ArchiveError

__all__ = ["HEAD", "REVISIONS", "check_version", "find_schema_faults", "read_version", "upgrade"]

_Shape = dict[tuple[str, str], Any]
_SHAPES: Final = {
    "table": (
        ("table_xinfo", 'p.name, upper(p.type), p."notnull", p.dflt_value, p.pk, p.hidden'),
        ("foreign_key_list", 'p."table", p."from", p."to", p.on_update, p.on_delete'),
        ("index_list", 'p.name, p."unique", p.origin, p.partial'),
    ),
    "index": (("index_xinfo", 'p.seqno, p.name, p."desc", p.coll, p."key"'),),
}
"""By kind: the pragmas that describe it, and their columns; the first three of them put the rows in order."""
REVISIONS: Final = ("0001", "0002", "0003", "0004", "0005")
"""Every schema that was ever released, the oldest first."""
HEAD: Final = REVISIONS[-1]
_SUMMARIES_STAY: Final = frozenset({"0005"})
"""Steps after which every summary is as before, so they are not recalculated, which takes long in a large archive."""
_MIGRATIONS: Final = Path(__file__).parent / "migrations"


def find_schema_faults(connection: Connection, version: str) -> Iterator[str]:
    """Go through the differences from the tables of a version, one sentence each; rows are not read.

    So nothing that another program put into a database is run: no view, no trigger, no special table.

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
    shapes = _shapes_of(connection, found & wanted.keys())
    for kind, name in sorted(found - wanted.keys()):
        yield f"It holds the {kind} {name!r}, which archives of this program do not have."
    for kind, name in sorted(wanted.keys() - found):
        yield f"It lacks the {kind} {name!r}."
    for kind, name in sorted(found & wanted.keys()):
        if shapes[kind, name] != wanted[kind, name]:
            yield f"Its {kind} {name!r} is not as this program makes it."


def read_version(connection: Connection) -> str | None:
    """Return the revision of the tables; None if there are none.

    Parameters
    ----------
    connection : Connection
        Open connection to the database.
    """
    if "alembic_version" not in inspect(connection).get_table_names():
        return None
    found: str | None = connection.execute(text("SELECT version_num FROM alembic_version")).scalar()
    return found


def check_version(version: str, *, title: str) -> None:
    """Refuse an archive that this program cannot use.

    Parameters
    ----------
    version : str
        Revision of the schema.
    title : str
        What the archive is called in the message.

    Raises
    ------
    ArchiveError
        If it is newer, or older.
    """
    if version not in REVISIONS:
        raise ArchiveError(
            f"The archive {title} has schema {version}, and this program knows schemas up to {HEAD}: a newer "
            "version wrote it. Install that version; nothing was changed."
        )
    if version != HEAD:
        raise ArchiveError(
            f"The archive {title} has schema {version}, and this program works with {HEAD}. "
            "Make a backup with archive backup, then run archive upgrade."
        )


def upgrade(engine: Engine, *, to: str = HEAD) -> None:
    """Make or upgrade the tables, with the rows that are calculated from others, in one transaction.

    Parameters
    ----------
    engine : Engine
    to : str
        Revision of the schema that the tables then have.
    """
    from alembic import command

    with connect(engine, to="write") as connection, connection.begin():
        was = read_version(connection)
        command.upgrade(_settings(connection), to)
        if was is not None and to == HEAD and not _SUMMARIES_STAY.issuperset(_steps_after(was)):
            update_summaries(connection)
        if DigestRow.__tablename__ in inspect(connection).get_table_names():
            settle_own(connection)


def _steps_after(version: str) -> tuple[str, ...]:
    return REVISIONS[REVISIONS.index(version) + 1 :] if version in REVISIONS else REVISIONS


@cache
def _made_by_program(version: str, _migrations: str) -> _Shape:
    engine = make_engine_in_memory()
    try:
        schema.upgrade(engine, to=version)
        with connect(engine, to="read") as connection:
            return _shapes_of(connection, _names_in(connection))
    finally:
        engine.dispose()


def _names_in(connection: Connection) -> set[tuple[str, str]]:
    rows = connection.execute(text("SELECT type, name FROM sqlite_master")).all()
    return {(str(row[0]), str(row[1])) for row in rows}


def _shapes_of(connection: Connection, things: Collection[tuple[str, str]]) -> _Shape:
    """Return what SQLite says of some tables and indexes: one query for each of the pragmas, whatever their number."""
    shapes: _Shape = {each: [] for each in things}
    for kind, pragmas in _SHAPES.items():
        names = [name for of, name in things if of == kind]
        if not names:
            continue
        asked = ", ".join(f"(:n{at})" for at in range(len(names)))
        for pragma, columns in pragmas:
            query = text(
                f"WITH asked(name) AS (VALUES {asked}) "
                f"SELECT asked.name, {columns} FROM asked, pragma_{pragma}(asked.name) AS p ORDER BY 1, 2, 3, 4"
            )
            for name, *row in connection.execute(query, {f"n{at}": name for at, name in enumerate(names)}):
                shapes[kind, name].append((pragma, *row))
    return shapes


def _settings(connection: Connection) -> Any:
    from alembic.config import Config

    settings = Config()
    settings.set_main_option("script_location", str(_MIGRATIONS).replace("%", "%%"))
    settings.attributes["connection"] = connection
    return settings
