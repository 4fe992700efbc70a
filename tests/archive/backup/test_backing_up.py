"""An archive copied and brought back, from either database to either."""

import json
import shutil
import sqlite3
from contextlib import closing
from datetime import date
from pathlib import Path

import pytest
from altered import alter, forge
from filed import NAME, TODAY, add_player, file_one, make_clips, make_lesson_of, still_of
from places import Somewhere, copy_folder, in_folder, on_server, server_of
from sqlalchemy import MetaData, select

from putt_posture.archive import (
    LessonNotes,
    add_practice_test,
    back_up,
    check_archive,
    check_backup,
    correct_landmark,
    erase_student,
    find_students,
    open_archive,
    open_lesson,
    restore,
    withdraw_consent,
)
from putt_posture.archive.backup import back_up as backing_up
from putt_posture.archive.db.row_digests import OWN_PARTS
from putt_posture.archive.files import file_store
from putt_posture.archive.place import DATABASE_FILE
from putt_posture.disk.marks import BACKUP_KIND
from putt_posture.errors import ArchiveError, UsageError
from putt_posture.values import PuttCount


@pytest.fixture(scope="module")
def filling(add_first_lesson, stored):
    """What puts something in every table, an erasure and odd letters among them."""

    def fill(archive):
        add_first_lesson(archive)
        about = LessonNotes(notes='said "longer";\nλ 🏌', limits="stiff back")
        file_one(archive, 1, make_lesson_of(stored, tag="later", shift=3.25), moment="after", notes=about)
        correct_landmark(
            archive, 1, view="face_on", frame=1, landmark="left_hip", point_px=(0.1 + 0.2, 900.7),
            made_by="Coach", today=TODAY,
        )  # fmt: skip
        counts = [PuttCount(distance_cm=91.44, tried=20, holed=19)]
        add_practice_test(archive, 1, day=date(2026, 1, 1), counts=counts, today=TODAY)
        withdraw_consent(archive, 1, scopes=["faces"], on=TODAY)
        erase_student(archive, add_player(archive, name="Somebody Gone"), today=TODAY, reason="asked")

    return fill


@pytest.fixture
def filled(archive):
    """An archive that is filled so."""
    return archive


@pytest.fixture
def backup(filled, tmp_path):
    """A backup of it."""
    back_up(filled, tmp_path / "backup", today=TODAY)
    return tmp_path / "backup"


@pytest.fixture(scope="module")
def spare_backup(made, stored, tmp_path_factory):
    """A backup of an archive in SQLite with one lesson, to be copied."""
    folder = tmp_path_factory.mktemp("spare")
    with copy_folder(made, folder / "archive").open() as archive:
        file_one(archive, add_player(archive), make_lesson_of(stored, tag="spare"))
        back_up(archive, folder / "backup", today=TODAY)
    return folder / "backup"


@pytest.fixture
def damaged(spare_backup, tmp_path):
    """A copy of it, to be damaged."""
    return Path(shutil.copytree(spare_backup, tmp_path / "damaged"))


@pytest.fixture
def other_kind(place, tmp_path, request):
    """Where nothing is yet, in the other of the two databases."""
    if place.kind == "postgresql":
        return in_folder(tmp_path / "elsewhere")
    databases = server_of(request)
    databases.empty()
    return on_server(databases, tmp_path / "elsewhere")


def all_rows(archive):
    """Every row of every table, in the order of its keys; the tables are those that the database has.

    Left out is what a database says of itself alone.
    """
    with archive.engine.connect() as connection:
        shape = MetaData()
        shape.reflect(connection)
        rows = {
            table.name: sorted(
                (tuple(as_plain(value) for value in row) for row in connection.execute(select(table))), key=repr
            )
            for table in shape.sorted_tables
        }
    return rows | {"digests": [row for row in rows["digests"] if row[0] not in OWN_PARTS]}


def as_plain(value):
    if isinstance(value, memoryview | bytes):
        return bytes(value)
    return int(value) if isinstance(value, bool) else value


def files_of(folder):
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_a_backup_comes_back_in_the_same_kind_of_database(filled, backup, place, databases, tmp_path):
    before, files = all_rows(filled), files_of(filled.files.folder)
    if place.kind == "postgresql":
        filled.close()
        databases.empty()
        again = Somewhere(kind="postgresql", archive=place.archive, files=tmp_path / "elsewhere")
    else:
        again = in_folder(tmp_path / "elsewhere")
    restore(backup, **again.where)
    with again.open() as archive:
        assert all_rows(archive) == before
        assert files_of(archive.files.folder) == files
        assert check_archive(archive) == ()


def test_a_backup_comes_back_in_the_other_kind_of_database_and_from_there_in_the_first(
    filled, backup, other_kind, tmp_path
):
    before, files = all_rows(filled), files_of(filled.files.folder)
    restore(backup, **other_kind.where)
    with other_kind.open() as archive:
        assert all_rows(archive) == before
        assert files_of(archive.files.folder) == files
        assert check_archive(archive) == ()
        back_up(archive, tmp_path / "second", today=TODAY)
    third = in_folder(tmp_path / "third")
    restore(tmp_path / "second", **third.where)
    with third.open() as archive:
        assert all_rows(archive) == before
        assert files_of(archive.files.folder) == files


def test_numbers_go_on_where_they_were(filled, backup, player, other_kind, stored):
    """The student with the highest number was erased before the backup: that number is not given again."""
    restore(backup, **other_kind.where)
    with other_kind.open() as archive:
        assert add_player(archive, name="Newcomer") == player + 2
        assert file_one(archive, player, make_lesson_of(stored, tag="new")) == 3
        counts = [PuttCount(distance_cm=91.44, tried=20, holed=19)]
        assert add_practice_test(archive, player, day=TODAY, counts=counts, today=TODAY) == 2
        assert check_archive(archive) == ()


def test_the_manifest_names_every_file_with_its_digest(filled, backup):
    manifest = json.loads((backup / "manifest.json").read_text())
    assert manifest["made_on"] == TODAY.isoformat()
    there = files_of(backup)
    assert there.keys() == {"archive.sqlite", "manifest.json"} | {
        f"files/{digest[:2]}/{digest}" for digest in manifest["files"]
    }
    for digest, size in manifest["files"].items():
        path = backup / "files" / digest[:2] / digest
        with path.open("rb") as stream:
            assert file_store.digest_of(stream) == digest
        assert path.stat().st_size == size
    with (backup / "archive.sqlite").open("rb") as stream:
        assert file_store.digest_of(stream) == manifest["database"]["sha256"]


@pytest.mark.parametrize("name", ["archive.sqlite", "a file", "manifest.json"])
@pytest.mark.parametrize("damage", ["altered", "missing", "cut"])
def test_a_damaged_backup_is_refused_and_nothing_is_made(damaged, nowhere_else, name, damage):
    path = next((damaged / "files").glob("*/*")) if name == "a file" else damaged / name
    content = path.read_bytes()
    if damage == "missing":
        path.unlink()
    elif damage == "cut":
        path.write_bytes(content[: len(content) // 2])
    else:
        path.write_bytes(content[:-20] + bytes([content[-20] ^ 1]) + content[-19:])
    for act in (check_backup, lambda folder: restore(folder, **nowhere_else.where)):
        with pytest.raises((ArchiveError, UsageError), match=r"missing or altered|damaged|holds no|was altered"):
            act(damaged)
    assert not Path(nowhere_else.archive).exists()


def test_a_whole_backup_is_found_whole_and_stays_as_it_was(backup):
    before = files_of(backup)
    manifest = json.loads((backup / "manifest.json").read_text())
    found = check_backup(backup)
    assert (found.files, found.size) == (len(manifest["files"]), sum(manifest["files"].values()))
    assert found.schema == manifest["schema"]
    assert files_of(backup) == before


def test_a_manifest_too_large_to_be_one_is_not_read(tmp_path):
    with (tmp_path / "manifest.json").open("wb") as stream:
        stream.truncate(300 << 20)  # takes no room on the disk
    with pytest.raises(UsageError, match="has 314,572,800 bytes, and at most"):
        check_backup(tmp_path)


def test_a_manifest_that_leaves_a_file_out_is_refused(damaged, nowhere_else):
    manifest = json.loads((damaged / "manifest.json").read_text())
    manifest["files"].popitem()
    (damaged / "manifest.json").write_text(json.dumps(manifest))
    with pytest.raises(ArchiveError, match="was altered"):
        restore(damaged, **nowhere_else.where)
    assert not Path(nowhere_else.archive).exists()


@pytest.mark.parametrize("content", ["{}", "[]", "7", '{"kind": "a recipe"}', "", "\x00"])
def test_a_manifest_of_something_else_is_refused(damaged, nowhere_else, content):
    (damaged / "manifest.json").write_text(content)
    with pytest.raises(ArchiveError, match="is damaged or from another program"):
        restore(damaged, **nowhere_else.where)


def test_an_archive_that_is_used_is_not_written_over(filled, backup, place, nowhere_else):
    before = all_rows(filled)
    filled.close()
    with pytest.raises(UsageError, match=r"There is something in the archive .* already"):
        restore(backup, **place.where)
    with place.open() as archive:
        assert all_rows(archive) == before
        assert check_archive(archive) == ()


def test_a_folder_with_something_else_is_not_taken(damaged, tmp_path):
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "letter.txt").write_text("dear")
    with pytest.raises(UsageError, match="holds something other than an archive"):
        restore(damaged, archive=tmp_path / "mine")
    with pytest.raises(UsageError, match="is a file"):
        restore(damaged, archive=tmp_path / "mine" / "letter.txt")
    assert files_of(tmp_path / "mine") == {"letter.txt": b"dear"}


def test_a_backup_goes_into_a_new_folder_only(filled, backup, tmp_path):
    before = files_of(backup)
    with pytest.raises(UsageError, match="There is something in"):
        back_up(filled, backup, today=TODAY)
    assert files_of(backup) == before


def test_an_archive_with_a_damaged_file_is_not_backed_up_and_no_half_backup_stays(filled, lesson, tmp_path):
    path = next(Path(filled.files.folder).glob("??/*"))
    content = path.read_bytes()
    path.write_bytes(content[:-1])
    goal = tmp_path / "goals" / "backup"
    goal.parent.mkdir()
    with pytest.raises(ArchiveError):
        back_up(filled, goal, today=TODAY)
    path.unlink()
    with pytest.raises(ArchiveError, match="cannot be read from"):
        back_up(filled, goal, today=TODAY)
    assert list(goal.parent.iterdir()) == []


def test_a_file_that_is_erased_while_the_backup_is_made_is_not_in_it(archive, stored, player, tmp_path, monkeypatch):
    """Between the list of files and the copy of the first of them, somebody else erases a student."""
    clips = make_clips(tmp_path / "gone", "gone")
    gone = add_player(archive, name="Somebody Gone")
    file_one(archive, gone, make_lesson_of(stored, tag="gone", clips=clips), clips=clips)
    kept = file_one(archive, player, make_lesson_of(stored, tag="kept"))

    def listed(archive, _listed=backing_up._listed):
        found = _listed(archive)
        if find_students(archive, "gone"):
            erase_student(archive, gone, today=TODAY, reason="asked")
        return found

    monkeypatch.setattr(backing_up, "_listed", listed)
    back_up(archive, tmp_path / "backup", today=TODAY)
    content = b"".join(files_of(tmp_path / "backup").values())
    assert b"Somebody Gone" not in content
    assert clips["face_on"].read_bytes() not in content
    restore(tmp_path / "backup", archive=tmp_path / "again")
    with open_archive(tmp_path / "again") as again:
        assert check_archive(again) == ()
        assert find_students(again, NAME)
        assert open_lesson(again, kept, today=TODAY).read("stills/face_on.png") == still_of("kept")


def test_a_restored_backup_stays_as_it_was_and_can_be_restored_again(damaged, tmp_path):
    before = files_of(damaged)
    for each in ("one", "two"):
        restore(damaged, archive=tmp_path / each)
    assert files_of(damaged) == before
    shutil.rmtree(tmp_path / "one")
    with open_archive(tmp_path / "two") as archive:
        assert check_archive(archive) == ()


FORGED = [
    ("CREATE TABLE moods (id INTEGER)", "It holds the table 'moods'"),
    ("CREATE VIEW endless AS WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT i FROM n",
     "It holds the view 'endless'"),
    ("CREATE TRIGGER spy AFTER INSERT ON students BEGIN DELETE FROM consents; END", "It holds the trigger 'spy'"),
    ("DROP INDEX ix_lessons_day", "It lacks the index 'ix_lessons_day'"),
    ("ALTER TABLE students ADD COLUMN mood TEXT", "Its table 'students' is not as this program makes it"),
    ("UPDATE sqlite_master SET sql = replace(sql, 'tried INTEGER', 'tried TEXT') WHERE name = 'putts'",
     "Its table 'putts' is not as this program makes it"),
    ("UPDATE students SET born = '2014-02-31'", "What is kept of student 1 cannot be read"),
    ("UPDATE students SET since = 'yesterday'", "What is kept of student 1 cannot be read"),
    ("UPDATE lessons SET warnings = '{'", "What was written down of lesson 1 cannot be read"),
    ("UPDATE lessons SET notes = 'a' || char(0) || 'b'", "notes is 'a\\x00b', which is impossible"),
    ("UPDATE lessons SET moment = '../../x'", "moment is '../../x'"),
    ("UPDATE clips SET width = 1 << 40", "width is 1099511627776"),
    ("UPDATE fits SET length_cm = 9e999", "length_cm is inf"),
    ("UPDATE lesson_files SET name = '../../../../x' WHERE name = 'report.html'", "name is '../../../../x'"),
    ("UPDATE consents SET student_id = 99 WHERE scope = 'faces'", "A row of consents belongs to nothing in students"),
    ("DELETE FROM measures WHERE name = 'balance'", "Lesson 1 has no row for balance"),
    ("UPDATE measures SET value = value + 1 WHERE name = 'spine_tilt'", "spine_tilt"),
    ("UPDATE standings SET lessons = 7", "The overview of student 1 does not agree with the lessons"),
]  # fmt: skip


@pytest.mark.parametrize(("statement", "says"), FORGED)
def test_a_backup_that_cannot_be_brought_back_is_refused_and_nothing_is_made(damaged, nowhere_else, statement, says):
    """Whoever wrote it made its digests agree."""
    believed = not statement.startswith(("CREATE", "DROP", "ALTER")) and "sqlite_master" not in statement
    try:
        forge(damaged, statement, believed=believed)
    except (ValueError, TypeError):
        forge(damaged, "PRAGMA user_version=1", believed=False)  # they cannot be made to agree with what no day is
    before = files_of(damaged)
    for act in (check_backup, lambda folder: restore(folder, **nowhere_else.where)):
        with pytest.raises(ArchiveError) as refused:
            act(damaged)
        assert says in str(refused.value)
        assert str(refused.value).endswith("Give another backup.")
        assert "\n" not in str(refused.value)
    assert not Path(nowhere_else.archive).exists()
    assert files_of(damaged) == before


def test_a_backup_whose_rows_were_altered_is_refused(damaged, nowhere_else):
    forge(damaged, "UPDATE students SET born = '2014-01-01'", believed=False)
    for act in (check_backup, lambda folder: restore(folder, **nowhere_else.where)):
        with pytest.raises(ArchiveError, match="What is kept of student 1 is not as it was filed"):
            act(damaged)


def test_a_forged_backup_of_an_older_schema_is_refused_too(tmp_path, nowhere_else):
    backup = tmp_path / "older"
    backup.mkdir()
    with closing(sqlite3.connect(backup / DATABASE_FILE)) as connection:
        dump = Path(__file__).parents[1] / "db" / "released" / "0001.sql"
        connection.executescript(dump.read_text(encoding="utf-8"))
        files = dict(connection.execute("SELECT digest, size FROM files"))
    manifest = {"kind": BACKUP_KIND, "schema": "0001", "database": {"sha256": ""}, "files": files}
    (backup / "manifest.json").write_text(json.dumps(manifest))
    forge(backup, "DELETE FROM lesson_files", "DELETE FROM files", believed=False)
    manifest = json.loads((backup / "manifest.json").read_text()) | {"files": {}}
    (backup / "manifest.json").write_text(json.dumps(manifest))
    for statement, says in (
        ("UPDATE lessons SET moment = 'befora' WHERE id = 1", "moment is 'befora'"),
        ("UPDATE lessons SET day = 'soon' WHERE id = 1", "has data that cannot be restored"),
        ("CREATE VIEW endless AS SELECT 1", "It holds the view 'endless'"),
    ):
        forge(backup, statement, believed=False)
        with pytest.raises(ArchiveError) as refused:
            restore(backup, **nowhere_else.where)
        assert says in str(refused.value)
        assert "\n" not in str(refused.value)
    assert not Path(nowhere_else.archive).exists()


@pytest.mark.parametrize("where", ["archive/backup", "archive/files/backup", "link/backup", "archive"])
def test_a_backup_does_not_go_into_the_archive(folder_archive, tmp_path, where):
    (tmp_path / "link").symlink_to(folder_archive.place.folder)
    before = sorted(folder_archive.place.folder.rglob("*"))
    with pytest.raises(UsageError, match="is inside the archive"):
        back_up(folder_archive, tmp_path / where, today=TODAY)
    assert sorted(folder_archive.place.folder.rglob("*")) == before


def test_a_backup_does_not_go_into_the_folder_of_an_archives_files_nor_around_it(archive, tmp_path):
    with pytest.raises(UsageError, match="is inside the archive"):
        back_up(archive, Path(archive.files.folder) / "backup", today=TODAY)
    Path(archive.files.folder).mkdir(exist_ok=True)
    with pytest.raises(UsageError, match=r"There is something in|is inside the archive"):
        back_up(archive, Path(archive.files.folder).parent, today=TODAY)


def test_an_archive_is_not_brought_back_into_its_backup(damaged):
    before = files_of(damaged)
    for where in (damaged, damaged / "archive", damaged / "files" / "archive"):
        with pytest.raises(UsageError, match="is in the backup itself, which does not change"):
            restore(damaged, archive=where)
    assert files_of(damaged) == before


@pytest.mark.parametrize(
    "statement",
    ["UPDATE students SET born = '1980-01-01'", "UPDATE lessons SET moment = 'befora'"],
)
def test_an_archive_whose_rows_were_altered_is_not_backed_up_and_no_half_backup_stays(filled, tmp_path, statement):
    alter(filled, statement)
    goal = tmp_path / "goals" / "backup"
    goal.parent.mkdir()
    with pytest.raises(ArchiveError, match=r"is not as it was filed, so no backup was made: .* earlier backup\.$"):
        back_up(filled, goal, today=TODAY)
    assert list(goal.parent.iterdir()) == []


def test_an_archive_with_a_day_that_cannot_be_is_not_backed_up_and_says_so_in_one_sentence(
    folder_archive, stored, tmp_path
):
    file_one(folder_archive, add_player(folder_archive), make_lesson_of(stored, tag="one"))
    alter(folder_archive, "UPDATE lessons SET day = '2026-02-31'")
    with pytest.raises(ArchiveError, match="so no backup was made: A row cannot be read"):
        back_up(folder_archive, tmp_path / "backup", today=TODAY)
    assert not (tmp_path / "backup").exists()
