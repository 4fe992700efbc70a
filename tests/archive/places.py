"""Places for archives, in SQLite and in PostgreSQL: empty ones, and copies of what was filled once."""

import os
import shutil
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from attrs import frozen
from sqlalchemy import create_engine
from sqlalchemy.engine import URL, make_url

from putt_posture.archive import Archive, open_archive

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


class Databases:
    """The PostgreSQL databases of this run: one that its tests use in turn, and those that are copied into it.

    Parameters
    ----------
    given : URL
        Of a database in whose server they are made.
    """

    def __init__(self, given: URL) -> None:
        self.url = given.set(database=f"putt_posture_test_{os.getpid()}", drivername="postgresql")
        self._server = create_engine(given.set(drivername="postgresql+psycopg"), isolation_level="AUTOCOMMIT")
        self._kept: list[str] = []
        self.empty()

    def empty(self) -> None:
        """Take everything out of the one that tests use, its tables too."""
        self._make(str(self.url.database), like="template0")

    def keep(self) -> str:
        """Keep a copy of the one that tests use, to which nothing may be connected; return its name."""
        name = f"{self.url.database}_{len(self._kept)}"
        self._make(name, like=str(self.url.database))
        self._kept.append(name)
        return name

    def put_back(self, name: str) -> None:
        """Make the one that tests use as it was when it was kept."""
        self._make(str(self.url.database), like=name)

    def drop(self) -> None:
        for name in (self.url.database, *self._kept):
            self._say(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")
        self._server.dispose()

    def _make(self, name: str, *, like: str) -> None:
        self._say(f"DROP DATABASE IF EXISTS {name} WITH (FORCE)")
        quicker = (self._server.dialect.server_version_info or ()) >= (15,)
        self._say(f"CREATE DATABASE {name} TEMPLATE {like}{' STRATEGY FILE_COPY' if quicker else ''}")

    def _say(self, statement: str) -> None:
        with self._server.connect() as connection:
            connection.exec_driver_sql(statement)


class Beginnings:
    """Archives with something in them: each is filled once in a run, in either database, and copied for each test.

    Parameters
    ----------
    folder : Path
        For the files of those that are kept.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        self._kept: dict[tuple[str, str], tuple[Path, str]] = {}

    def put(
        self, place: Somewhere, title: str, fill: Callable[[Archive], object], *, databases: Databases | None
    ) -> None:
        """Put an archive in a place of this run, as `fill` leaves an empty one; what was there is gone.

        The same title must stand for the same content.
        """
        folder = place.files if place.kind == "postgresql" else Path(place.archive)
        shutil.rmtree(folder, ignore_errors=True)
        if (place.kind, title) not in self._kept:
            if databases is not None:
                databases.empty()
            with place.open() as archive:
                fill(archive)
            kept = self._folder / f"{len(self._kept)}"
            if folder.exists():
                shutil.copytree(folder, kept)
            self._kept[place.kind, title] = (kept, databases.keep() if databases is not None else "")
            return
        kept, name = self._kept[place.kind, title]
        if databases is not None:
            databases.put_back(name)
        if kept.exists():
            shutil.copytree(kept, folder)


def copy_folder(made: Path, folder: Path) -> Somewhere:
    """Return an archive in SQLite that is a copy of another that is closed."""
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(made, folder)
    return in_folder(folder)


@contextmanager
def own_databases() -> Iterator[Databases | None]:
    """Yield the PostgreSQL databases of this run; None where there is no server."""
    given = os.environ.get(VARIABLE)
    if not given:
        yield None
        return
    databases = Databases(make_url(given))
    try:
        yield databases
    finally:
        databases.drop()


def server_of(request: pytest.FixtureRequest) -> Databases:
    """Return the PostgreSQL databases of this run for a test that is marked as one; skip it where there is no server.

    One that is not marked would be skipped in the first step of `.ci/run` and left out of the second, which alone has
    a server.
    """
    assert request.node.get_closest_marker("postgresql"), "a test that needs PostgreSQL is not marked so"
    databases: Databases | None = request.getfixturevalue("databases")
    if databases is None:
        pytest.skip(UNSET)
    return databases


def on_server(databases: Databases, files: Path) -> Somewhere:
    """Return the place of an archive in the database that tests use."""
    archive = databases.url.render_as_string(hide_password=False)
    return Somewhere(kind="postgresql", archive=archive, files=files)
