"""The tables come to be by steps, and every schema that was released can be brought forward with what is in it."""

import shutil
import sqlite3
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from filed import TODAY, add_player, file_one, make_lesson_of

from putt_posture.archive import check_archive, find_students, load_history, open_archive, upgrade_archive
from putt_posture.archive.engine import connect
from putt_posture.archive.place import DATABASE_FILE
from putt_posture.archive.schema import HEAD, REVISIONS
from putt_posture.archive.tables import Base
from putt_posture.errors import ArchiveError

RELEASED = Path(__file__).parent / "released"
MIGRATIONS = Path(open_archive.__code__.co_filename).parent / "migrations"


def test_the_steps_make_the_tables_that_the_program_knows(archive):
    with connect(archive.engine, to="read") as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True, "compare_server_default": True})
        assert compare_metadata(context, Base.metadata) == []


def test_the_released_schemas_are_those_of_the_steps_in_their_order():
    steps = ScriptDirectory(str(MIGRATIONS))
    assert steps.get_heads() == [HEAD]
    assert [step.revision for step in reversed(list(steps.walk_revisions()))] == list(REVISIONS)


def test_every_released_schema_has_an_archive_to_be_brought_forward():
    assert {path.stem for path in RELEASED.glob("*.sql")} == set(REVISIONS)


@pytest.mark.parametrize("revision", REVISIONS)
def test_an_archive_of_a_released_schema_is_brought_forward_with_all_that_is_in_it(revision, tmp_path, stored):
    folder = tmp_path / "archive"
    folder.mkdir()
    with sqlite3.connect(folder / DATABASE_FILE) as database:
        database.executescript((RELEASED / f"{revision}.sql").read_text(encoding="utf-8"))
    database.close()
    before, after = upgrade_archive(folder)
    assert (before, after) == (revision, HEAD)
    with open_archive(folder) as archive:
        assert [each.name for each in find_students(archive, "parker")] == ["Parker Puttwell"]
        history = load_history(archive, 1)
        assert [visit.moment for visit in history.visits] == ["before", "after"]
        assert [test.counts[0].holed for test in history.practice] == [9]
        assert history.visits[0].measured.measures["spine_tilt"].value == pytest.approx(33.0, abs=1e-9)
        assert {each.kind for each in check_archive(archive)} <= {"missing"}  # the files were not released with it
        assert file_one(archive, 1, make_lesson_of(stored, tag="new")) == 3


def make_newer(folder):
    with sqlite3.connect(folder / DATABASE_FILE) as database:
        database.execute("UPDATE alembic_version SET version_num = '9999'")
    database.close()


@pytest.mark.parametrize("use", [open_archive, upgrade_archive])
def test_an_older_program_refuses_a_newer_archive_and_changes_nothing(use, made, tmp_path):
    folder = Path(shutil.copytree(made, tmp_path / "archive"))
    make_newer(folder)
    before = (folder / DATABASE_FILE).read_bytes()
    with pytest.raises(ArchiveError, match=rf"has schema 9999, and this program knows schemas up to {HEAD}"):
        use(folder)
    assert (folder / DATABASE_FILE).read_bytes() == before


def test_an_archive_of_today_is_left_as_it_is(made, tmp_path):
    folder = Path(shutil.copytree(made, tmp_path / "archive"))
    with open_archive(folder) as archive:
        add_player(archive)
    assert upgrade_archive(folder) == (HEAD, HEAD)
    with open_archive(folder) as archive:
        assert find_students(archive, "parker")[0].last_day is None
        assert TODAY  # the archive opens and answers
