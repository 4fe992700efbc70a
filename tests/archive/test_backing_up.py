"""An archive copied and brought back, from either database to either."""

import json
import shutil
from datetime import date
from pathlib import Path

import pytest
from filed import NAME, TODAY, add_player, file_one, make_clips, make_lesson_of, still_of
from places import Somewhere, as_text, copy_folder, empty_database, in_folder
from sqlalchemy import MetaData, select

from putt_posture.archive import (
    Told,
    add_practice_test,
    back_up,
    backing_up,
    check_archive,
    check_backup,
    correct_landmark,
    erase_student,
    file_store,
    find_students,
    open_archive,
    open_lesson,
    restore,
    withdraw_consent,
)
from putt_posture.errors import ArchiveError, UsageError
from putt_posture.values import PuttCount


@pytest.fixture
def filled(archive, player, lesson, stored, tmp_path):
    """An archive with something in every table, an erasure and odd letters among them."""
    about = Told(notes='said "longer";\nλ 🏌', limits="stiff back")
    file_one(archive, player, make_lesson_of(stored, tag="later", shift=3.25), moment="after", told=about)
    correct_landmark(
        archive, lesson, view="face_on", frame=1, landmark="left_hip", point_px=(0.1 + 0.2, 900.7), made_by="Coach",
        today=TODAY,
    )  # fmt: skip
    counts = [PuttCount(distance_cm=91.44, tried=20, holed=19)]
    add_practice_test(archive, player, day=date(2026, 1, 1), counts=counts, today=TODAY)
    withdraw_consent(archive, player, scopes=["faces"], on=TODAY)
    erase_student(archive, add_player(archive, name="Somebody Gone"), today=TODAY, reason="asked")
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
    url = request.getfixturevalue("database")
    if url is None:
        pytest.skip("there is no PostgreSQL")
    empty_database(url, tables=False)
    return Somewhere(kind="postgresql", archive=as_text(url), files=tmp_path / "elsewhere")


def all_rows(archive):
    """Every row of every table, in the order of its keys; the tables are those that the database has."""
    with archive.engine.connect() as connection:
        shape = MetaData()
        shape.reflect(connection)
        return {
            table.name: sorted(
                (tuple(as_plain(value) for value in row) for row in connection.execute(select(table))), key=repr
            )
            for table in shape.sorted_tables
        }


def as_plain(value):
    if isinstance(value, memoryview | bytes):
        return bytes(value)
    return int(value) if isinstance(value, bool) else value


def files_of(folder):
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_a_backup_comes_back_in_the_same_kind_of_database(filled, backup, place, tmp_path):
    before, files = all_rows(filled), files_of(filled.files.folder)
    if place.kind == "postgresql":
        filled.close()
        empty_database(place.archive, tables=False)
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
    with pytest.raises(ArchiveError, match="is damaged or of another program"):
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
    with pytest.raises(UsageError, match="holds something else than an archive"):
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
        assert open_lesson(again, kept).read("stills/face_on.png") == still_of("kept")


def test_a_restored_backup_stays_as_it_was_and_can_be_restored_again(damaged, tmp_path):
    before = files_of(damaged)
    for each in ("one", "two"):
        restore(damaged, archive=tmp_path / each)
    assert files_of(damaged) == before
    shutil.rmtree(tmp_path / "one")
    with open_archive(tmp_path / "two") as archive:
        assert check_archive(archive) == ()
