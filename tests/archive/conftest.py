"""An archive in each database, and the invented lesson that goes into it."""

import gc
import os
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from filed import add_player, file_one, make_clips, make_lesson_of
from invented import MADE_ON, make_lesson
from places import Somewhere, as_text, copy_folder, empty_database, in_folder, own_database, server_of

from putt_posture.archive import open_archive
from putt_posture.archive.db import engine
from putt_posture.pages import store_lesson


def pytest_collection_modifyitems(items):
    """Mark what runs in PostgreSQL, by the parameter that says so or by the place that is in the other database."""
    for item in items:
        params = getattr(getattr(item, "callspec", None), "params", {})
        needs_both = "other_kind" in getattr(item, "fixturenames", ())
        if needs_both or "postgresql" in (params.get("place"), params.get("nowhere")):
            item.add_marker(pytest.mark.postgresql)


class Stored(dict[str, bytes]):
    """Files by name, which are not written out where a test fails."""

    def __repr__(self):
        return f"<{len(self)} files of a result folder>"


@pytest.fixture(scope="session")
def stored(tmp_path_factory):
    """The files of one result folder, by name."""
    folder = store_lesson(make_lesson(), tmp_path_factory.mktemp("lesson") / "report", made_on=MADE_ON)
    paths = [path for path in folder.rglob("*") if path.is_file()]
    return Stored({path.relative_to(folder).as_posix(): path.read_bytes() for path in paths})


@pytest.fixture(scope="module")
def no_power_cuts():
    """Nobody waits for the disk: a process may die, but not the machine. Only for speed."""

    def set_up(connection, record, _set_up=engine._set_up_sqlite):
        _set_up(connection, record)
        connection.execute("PRAGMA synchronous=OFF")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(engine, "_set_up_sqlite", set_up)
        patch.setattr(os, "fsync", lambda _number: None)
        yield


@pytest.fixture(scope="module")
def quick_forks():
    """Children do not go through what is there already for what is garbage, and so copy none of it. Only for speed."""
    gc.freeze()
    yield
    gc.unfreeze()
    gc.collect()
    gc.freeze()  # as `pytest_collection_finish` left it


@pytest.fixture(params=[False, pytest.param(True, marks=pytest.mark.whole)], ids=["some_writes", "every_write"])
def every_write(request):
    """Whether a process is killed at each of its writes, or at a few of them, spread over all."""
    return request.param


@pytest.fixture(scope="session")
def database():
    """A PostgreSQL database of this run's own, or None."""
    with own_database() as url:
        yield url


@pytest.fixture(scope="session")
def made(tmp_path_factory):
    """The folder of an empty archive in SQLite, to be copied."""
    folder = tmp_path_factory.mktemp("made") / "archive"
    open_archive(folder).close()
    return folder


@pytest.fixture(params=["sqlite", "postgresql"])
def place(request, made, tmp_path):
    """Where an empty archive is, in both databases in turn."""
    if request.param == "sqlite":
        return copy_folder(made, tmp_path / "archive")
    url = server_of(request)
    empty_database(url, tables=True)
    return Somewhere(kind="postgresql", archive=as_text(url), files=tmp_path / "files")


@pytest.fixture
def archive(place):
    """An empty archive, in both databases in turn."""
    with place.open() as opened:
        yield opened


@pytest.fixture(params=["sqlite", "postgresql"])
def nowhere(request, tmp_path):
    """Where no archive is yet, in both databases in turn."""
    if request.param == "sqlite":
        return in_folder(tmp_path / "archive")
    url = server_of(request)
    empty_database(url, tables=False)
    return Somewhere(kind="postgresql", archive=as_text(url), files=tmp_path / "files")


@pytest.fixture
def nowhere_else(tmp_path):
    """A folder beside the archive of the test, where none is yet."""
    return in_folder(tmp_path / "elsewhere")


@pytest.fixture
def folder_archive(made, tmp_path):
    """An empty archive in SQLite, for what is of SQLite alone."""
    with copy_folder(made, tmp_path / "archive").open() as opened:
        yield opened


@pytest.fixture
def player(archive):
    """The number of a student who consented to everything."""
    return add_player(archive)


@pytest.fixture
def lesson(archive, player, stored, tmp_path):
    """The number of a lesson of that student, with its clips."""
    clips = make_clips(tmp_path / "clips", "first")
    return file_one(archive, player, make_lesson_of(stored, tag="first", clips=clips), clips=clips)
