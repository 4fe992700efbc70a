"""Empty places for archives, in SQLite and in PostgreSQL."""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from attrs import frozen
from sqlalchemy import Engine, create_engine, text
from sqlalchemy.engine import URL, make_url

from putt_posture.archive import Archive, open_archive
from putt_posture.archive.db.tables import Base

VARIABLE = "PUTT_POSTURE_TEST_POSTGRESQL"
"""Environment variable with the URL of a PostgreSQL database in which databases may be made."""
UNSET = f"{VARIABLE} is not set; .ci/run starts a PostgreSQL and sets it"


@frozen(kw_only=True)
class Somewhere:
    """Where an archive is or will be: what `open_archive` takes, and the folder of its files."""

    kind: str
    archive: str
    files: Path

    @property
    def where(self) -> dict[str, Any]:
        """The arguments by which it is opened."""
        return {"archive": self.archive} if self.kind == "sqlite" else {"archive": self.archive, "files": self.files}

    def open(self) -> Archive:
        return open_archive(**self.where)


def in_folder(folder: Path) -> Somewhere:
    return Somewhere(kind="sqlite", archive=str(folder), files=folder / "files")


def copy_folder(made: Path, folder: Path) -> Somewhere:
    """Return an archive in SQLite that is a copy of another that is closed."""
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(made, folder)
    return in_folder(folder)


@contextmanager
def own_database() -> Iterator[URL | None]:
    """Yield a PostgreSQL database of this run's own; None where there is no server."""
    given = os.environ.get(VARIABLE)
    if not given:
        yield None
        return
    name = f"putt_posture_test_{os.getpid()}"
    server = create_engine(make_url(given).set(drivername="postgresql+psycopg"), isolation_level="AUTOCOMMIT")
    _say(server, f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")
    _say(server, f"CREATE DATABASE {name}")
    try:
        yield make_url(given).set(database=name, drivername="postgresql")
    finally:
        _say(server, f"DROP DATABASE {name} WITH (FORCE)")
        server.dispose()


def server_of(request: pytest.FixtureRequest) -> URL:
    """Return the PostgreSQL database of this run for a test that is marked as one; skip it where there is no server.

    One that is not marked would be skipped in the first step of `.ci/run` and left out of the second, which alone has
    a server.
    """
    assert request.node.get_closest_marker("postgresql"), "a test that needs PostgreSQL is not marked so"
    url: URL | None = request.getfixturevalue("database")
    if url is None:
        pytest.skip(UNSET)
    return url


def empty_database(url: URL | str, *, tables: bool) -> None:
    """Take everything out of a PostgreSQL database; its tables too, unless they stay for the next archive."""
    engine = create_engine(make_url(url).set(drivername="postgresql+psycopg"))
    try:
        with engine.begin() as connection:
            there = set(connection.scalars(text("SELECT tablename FROM pg_tables WHERE schemaname = 'public'")))
            if tables and there == {*Base.metadata.tables, "alembic_version"}:
                names = ", ".join(Base.metadata.tables)
                connection.exec_driver_sql(f"TRUNCATE {names} RESTART IDENTITY")
            else:
                connection.exec_driver_sql("DROP SCHEMA public CASCADE")
                connection.exec_driver_sql("CREATE SCHEMA public")
    finally:
        engine.dispose()


def as_text(url: URL) -> str:
    return url.render_as_string(hide_password=False)


def _say(engine: Engine, statement: str) -> None:
    with engine.connect() as connection:
        connection.exec_driver_sql(statement)
