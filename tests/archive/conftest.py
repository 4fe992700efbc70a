"""An archive in each database, and the invented lesson that goes into it."""

import gc
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from filed import add_player, file_one, make_clips, make_lesson_of
from places import Beginnings, copy_folder, in_folder, on_server, server_of

from putt_posture.archive import open_archive
from putt_posture.archive.files import file_checks

PLAYER = LESSON = 1
"""Numbers of the fixtures' student and lesson, the first of their archive."""


def pytest_generate_tests(metafunc):
    """Try a test in both databases; in SQLite alone where its module says by `ONE_DATABASE` why that is enough."""
    if "place" in metafunc.fixturenames:
        kinds = ["sqlite"] if getattr(metafunc.module, "ONE_DATABASE", "") else ["sqlite", "postgresql"]
        metafunc.parametrize("place", kinds, indirect=True)


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
def stored(invented_folder):
    """The files of one result folder, by name."""
    paths = [path for path in invented_folder.rglob("*") if path.is_file()]
    return Stored({path.relative_to(invented_folder).as_posix(): path.read_bytes() for path in paths})


@pytest.fixture(scope="module")
def no_others():
    """No other program adds or erases files, so a check that misses one looks again at once. Only for speed."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(file_checks, "_PAUSE_S", 0.0)
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
def made(tmp_path_factory):
    """The folder of an empty archive in SQLite, to be copied."""
    folder = tmp_path_factory.mktemp("made") / "archive"
    open_archive(folder).close()
    return folder


@pytest.fixture(scope="session")
def beginnings(tmp_path_factory):
    """What fills an archive once in a run, and copies it for each test."""
    return Beginnings(tmp_path_factory.mktemp("beginnings"))


@pytest.fixture(scope="session")
def add_first_lesson(stored, tmp_path_factory):
    """What adds the student and the lesson of the fixtures `player` and `lesson` to an empty archive."""
    clips = make_clips(tmp_path_factory.mktemp("first") / "clips", "first")
    lesson = make_lesson_of(stored, tag="first", clips=clips)

    def add(archive):
        assert add_player(archive) == PLAYER
        assert file_one(archive, PLAYER, lesson, clips=clips) == LESSON

    return add


@pytest.fixture(scope="module")
def filling():
    """What a module with a fixture `filled` puts into an empty archive, which is then copied for its tests."""
    pytest.fail("a module with a fixture `filled` in both databases needs a fixture `filling`")


@pytest.fixture
def place(request, beginnings, add_first_lesson, tmp_path):
    """Where an archive is, in both databases in turn: a copy of one that holds what the test asks for.

    That is, by its fixtures, what its module has `filled` in, a `player` with a `lesson`, a `player`, or nothing.
    """
    asked = set(request.fixturenames)
    if "filled" in asked:
        title, fill = request.module.__name__, request.getfixturevalue("filling")
    elif "lesson" in asked:
        title, fill = "lesson", add_first_lesson
    elif "player" in asked:
        title, fill = "player", add_player
    else:
        title, fill = "nothing", lambda archive: None
    if request.param == "sqlite":
        databases, place = None, in_folder(tmp_path / "archive")
    else:
        databases = server_of(request)
        place = on_server(databases, tmp_path / "files")
    beginnings.put(place, title, fill, databases=databases)
    return place


@pytest.fixture
def archive(place):
    """An archive in both databases in turn, see `place`."""
    with place.open() as opened:
        yield opened


@pytest.fixture(params=["sqlite", "postgresql"])
def nowhere(request, tmp_path):
    """Where no archive is yet, in both databases in turn."""
    if request.param == "sqlite":
        return in_folder(tmp_path / "archive")
    databases = server_of(request)
    databases.empty()
    return on_server(databases, tmp_path / "files")


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
    return PLAYER


@pytest.fixture
def lesson(archive, player, tmp_path):
    """The number of a lesson of that student, with its clips, which lie in a folder of the test too."""
    make_clips(tmp_path / "clips", "first")
    return LESSON
