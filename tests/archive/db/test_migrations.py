"""Tables of every schema that was released come forward with what is in them, all of it or nothing."""

import hashlib
import shutil
import sqlite3
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.config import Config
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from dying import die_at_each_write
from filed import TODAY, file_one, make_lesson_of
from places import in_folder
from sqlalchemy import text

from putt_posture.archive import (
    check_archive,
    find_students,
    load_consents,
    load_erasures,
    load_history,
    load_lessons,
    load_overview,
    load_student,
    open_archive,
    opening,
    read_settings,
    restore,
    upgrade_archive,
)
from putt_posture.archive.backup import back_up as backing_up
from putt_posture.archive.backup import check_backup as backup_folder
from putt_posture.archive.db import schema
from putt_posture.archive.db.copying import copy_rows
from putt_posture.archive.db.engine import connect, make_engine, make_engine_of_copy
from putt_posture.archive.db.schema import HEAD, REVISIONS, upgrade
from putt_posture.archive.db.tables import Base
from putt_posture.archive.place import DATABASE_FILE, find_place
from putt_posture.changes import find_changes
from putt_posture.errors import ArchiveError, UsageError
from putt_posture.history import find_courses

RELEASED = Path(__file__).parent / "released"
MIGRATIONS = Path(schema.__file__).parent / "migrations"
INVENTED = '''"""An invented step."""

import sqlalchemy as sa
from alembic import op

revision = "9999"
down_revision = "{head}"


def upgrade() -> None:
    with op.batch_alter_table("students") as students:
        students.add_column(sa.Column("nickname", sa.String(), nullable=False, server_default="none yet"))
    op.create_table("moods", sa.Column("id", sa.Integer(), primary_key=True), sa.Column("says", sa.String()))
    op.execute("INSERT INTO moods (id, says) SELECT id, name FROM students")
'''


def make_released(revision, folder):
    """Make the database of an archive as that revision left it."""
    folder.mkdir(parents=True)
    with closing(sqlite3.connect(folder / DATABASE_FILE)) as connection:
        connection.executescript((RELEASED / f"{revision}.sql").read_text(encoding="utf-8"))
    return folder


@pytest.fixture
def next_schema(tmp_path, monkeypatch):
    """A program that knows one schema more."""
    folder = tmp_path / "migrations"
    shutil.copytree(MIGRATIONS, folder, ignore=shutil.ignore_patterns("__pycache__"))
    (folder / "versions" / "9999_invented.py").write_text(INVENTED.format(head=HEAD), encoding="utf-8")
    monkeypatch.setattr(schema, "_MIGRATIONS", folder)
    monkeypatch.setitem(upgrade.__kwdefaults__, "to", "9999")
    for module in (schema, opening, backup_folder, backing_up):
        monkeypatch.setattr(module, "HEAD", "9999")
        if hasattr(module, "REVISIONS"):
            monkeypatch.setattr(module, "REVISIONS", (*REVISIONS, "9999"))
    return monkeypatch


def digest_of(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


def nickname_of(archive, number):
    with archive.read() as session:
        return session.scalar(text(f"SELECT nickname FROM students WHERE id = {number}"))


def test_the_program_works_with_the_last_of_the_migrations():
    settings = Config()
    settings.set_main_option("script_location", str(MIGRATIONS))
    script = ScriptDirectory.from_config(settings)
    assert script.get_heads() == [HEAD]
    assert tuple(each.revision for each in reversed(list(script.walk_revisions()))) == REVISIONS


def test_the_migrations_make_the_tables_that_the_program_knows(archive):
    with archive.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True, "compare_server_default": True})
        assert compare_metadata(context, Base.metadata) == []


def test_the_migrations_make_the_same_sqlite_tables_letter_by_letter_as_the_program_would(folder_archive, tmp_path):
    """What autogenerate does not compare: checks, cascades, partial indexes, WITHOUT ROWID, AUTOINCREMENT."""
    engine = make_engine(find_place(tmp_path / "directly"))
    (tmp_path / "directly").mkdir()
    Base.metadata.create_all(engine)
    query = text("SELECT name, sql FROM sqlite_master WHERE name NOT LIKE 'sqlite_%' AND name != 'alembic_version'")

    def told(any_engine):
        with any_engine.connect() as connection:
            return {name: plain(sql) for name, sql in connection.execute(query)}

    try:
        assert told(folder_archive.engine) == told(engine)
    finally:
        engine.dispose()


def plain(sql):
    """The statement without its spaces, the parts of a table in one order."""
    head, _, rest = " ".join(sql.split()).partition("(")
    body, _, tail = rest.rpartition(")")
    return head, sorted(each.strip() for each in body.split(", ")), tail


@pytest.mark.parametrize(("revision", "times"), [("0003", 1), ("0004", 0)])
def test_summaries_are_recalculated_only_where_a_step_may_change_them(tmp_path, monkeypatch, revision, times):
    make_released(revision, tmp_path / "released")
    asked = []
    monkeypatch.setattr(schema, "update_summaries", asked.append)
    engine = make_engine(find_place(tmp_path / "released"))
    upgrade(engine)
    engine.dispose()
    assert len(asked) == times


def test_every_released_schema_has_its_dump():
    assert sorted(path.stem for path in RELEASED.glob("*.sql")) == sorted(REVISIONS)


@pytest.mark.parametrize("revision", REVISIONS)
def test_a_released_archive_comes_forward_and_works(nowhere, stored, tmp_path, revision):
    """In PostgreSQL its rows are those of the same dump, in tables that the migrations made."""
    folder = make_released(revision, tmp_path / "released")
    if nowhere.kind == "sqlite":
        folder.rename(nowhere.archive)
    else:
        source = make_engine_of_copy(folder / DATABASE_FILE, in_memory=False)
        target = make_engine(find_place(nowhere.archive, files=nowhere.files))
        upgrade(target, to=revision)
        with connect(source, to="read") as rows, connect(target, to="write") as goal, goal.begin():
            copy_rows(rows, goal)
        source.dispose()
        target.dispose()
    assert upgrade_archive(**nowhere.where) == (revision, HEAD)
    with nowhere.open() as archive:
        assert {each.kind for each in check_archive(archive)} == {"missing"}  # the dump has no files
        (found,) = find_students(archive, "parker")
        assert (found.number, found.lessons, found.last_day) == (1, 3, date(2026, 5, 1))
        history = load_history(archive, 1, today=TODAY)
        assert [visit.moment for visit in history.visits] == ["before", "after", "check"]
        tilts = [visit.measured.measures["spine_tilt"].value for visit in history.visits]
        assert tilts == [34.0, 46.0, 37.0]
        assert [(each.tried, each.holed) for each in history.practice[0].counts] == [(20, 19), (20, 8)]
        assert load_lessons(archive, 1, today=TODAY)[0].notes.limits == "stiff back"
        assert load_student(archive, 2).born == date(2012, 2, 29)
        assert load_student(archive, 2).keep_until == date(2030, 1, 1)
        assert {each.scope for each in load_consents(archive, 2) if each.withdrawn_on} == {"faces"}
        assert read_settings(archive).revisit_weeks == 6
        assert len(load_erasures(archive)) == 1
        (drifted,) = load_overview(archive, today=TODAY).drifted
        assert drifted.number == 1
        courses = find_courses(history, find_changes=find_changes)
        assert drifted.drifts == tuple(name for name, each in courses.items() if each.verdict == "back")
        assert "spine_tilt" in drifted.drifts
        assert file_one(archive, 1, make_lesson_of(stored, tag="new")) > 4
        assert len(load_history(archive, 1, today=TODAY).visits) == 4


def test_an_older_archive_is_refused_in_one_sentence_until_it_is_brought_forward(place, player, archive, next_schema):
    archive.close()
    with pytest.raises(ArchiveError, match=f"has schema {HEAD}, and this program works with 9999.*archive upgrade"):
        place.open()
    assert upgrade_archive(**place.where) == (HEAD, "9999")
    assert upgrade_archive(**place.where) == ("9999", "9999")
    with place.open() as again:
        assert nickname_of(again, player) == "none yet"
        assert load_student(again, player).name
        with again.read() as session:
            assert session.scalars(text("SELECT says FROM moods")).all() == ["Parker Puttwell"]


def test_a_newer_archive_is_refused_in_one_sentence_and_stays_byte_for_byte(place, player, archive, next_schema):
    archive.close()
    upgrade_archive(**place.where)
    next_schema.undo()
    path = Path(place.archive) / DATABASE_FILE
    before = digest_of(path) if place.kind == "sqlite" else None
    for use in (place.open, lambda: upgrade_archive(**place.where)):
        with pytest.raises(ArchiveError) as said:
            use()
        assert str(said.value).count("\n") == 0
        assert "has schema 9999" in str(said.value)
        assert "a newer version wrote it. Install that version; nothing was changed." in str(said.value)
    if place.kind == "sqlite":
        assert digest_of(path) == before
        assert {each.name for each in Path(place.archive).iterdir()} <= {DATABASE_FILE, "files", ".making", "reserve"}


def test_a_newer_backup_is_refused_and_stays_byte_for_byte(folder_archive, nowhere_else, next_schema, tmp_path):
    place = folder_archive.place
    folder_archive.close()
    upgrade_archive(place.folder)
    with open_archive(place.folder) as archive:
        backing_up.back_up(archive, tmp_path / "backup", today=TODAY)
    next_schema.undo()
    before = {path.name: digest_of(path) for path in (tmp_path / "backup").iterdir() if path.is_file()}
    with pytest.raises(ArchiveError, match="has schema 9999"):
        restore(tmp_path / "backup", **nowhere_else.where)
    assert not Path(nowhere_else.archive).exists()
    assert {path.name: digest_of(path) for path in (tmp_path / "backup").iterdir() if path.is_file()} == before


def test_an_older_backup_comes_back_brought_forward(archive, player, lesson, nowhere_else, next_schema, tmp_path):
    backing_up.back_up(archive, tmp_path / "backup", today=TODAY)
    before = digest_of(tmp_path / "backup" / DATABASE_FILE)
    assert restore(tmp_path / "backup", **nowhere_else.where).schema == HEAD
    with nowhere_else.open() as again:
        assert nickname_of(again, player) == "none yet"
        assert len(load_lessons(again, player)) == 1
        assert check_archive(again) == ()
    assert digest_of(tmp_path / "backup" / DATABASE_FILE) == before


def test_bringing_an_archive_forward_is_all_or_nothing(tmp_path, next_schema):
    released = make_released(HEAD, tmp_path / "released")
    place = in_folder(tmp_path / "archive")

    def prepare():
        shutil.rmtree(place.archive, ignore_errors=True)
        shutil.copytree(released, place.archive)
        return lambda: upgrade_archive(**place.where)

    for _ in die_at_each_write(prepare, writes=6):
        assert upgrade_archive(**place.where) == (HEAD, "9999")  # nothing is written after the transaction ended
        with place.open() as archive:
            assert nickname_of(archive, 1) == "none yet"
            assert len(load_history(archive, 1, today=TODAY).visits) == 3


def test_a_folder_of_a_backup_is_not_taken_for_an_archive(archive, lesson, tmp_path):
    """To open its database would change it, and its digest is in the manifest."""
    backing_up.back_up(archive, tmp_path / "backup", today=TODAY)
    before = digest_of(tmp_path / "backup" / DATABASE_FILE)
    with pytest.raises(UsageError, match="is a backup, which does not change"):
        open_archive(tmp_path / "backup")
    assert digest_of(tmp_path / "backup" / DATABASE_FILE) == before


def test_an_older_archive_with_a_day_that_cannot_be_stays_as_it_is_and_says_so_in_one_sentence(tmp_path):
    folder = make_released("0001", tmp_path / "released")
    with closing(sqlite3.connect(folder / DATABASE_FILE)) as connection, connection:
        connection.execute("UPDATE lessons SET day = '2026-02-31' WHERE id = 1")
    before = digest_of_rows(folder)
    with pytest.raises(ArchiveError, match=r"cannot be brought forward: a row cannot be read .* Nothing was changed"):
        upgrade_archive(folder)
    assert digest_of_rows(folder) == before


def digest_of_rows(folder):
    with closing(sqlite3.connect(folder / DATABASE_FILE)) as connection:
        return hashlib.sha256("\n".join(connection.iterdump()).encode()).hexdigest()
