"""A backup holds all of an archive, and brings it back into either kind of database."""

import json
import shutil

import pytest
from filed import TODAY, add_player, file_one, make_clips, make_lesson_of
from places import copy_folder, in_folder
from sqlalchemy import select

from putt_posture.archive import back_up, check_archive, load_overview, open_archive, restore
from putt_posture.archive.tables import Base
from putt_posture.errors import ArchiveError, OutputError, UsageError


def rows_of(archive):
    """Return every row of every table, as plain values."""
    with archive.read() as session:
        return {
            table.name: sorted(repr(tuple(row)) for row in session.execute(select(table)))
            for table in Base.metadata.sorted_tables
        }


@pytest.fixture
def backup(archive, player, lesson, tmp_path):
    back_up(archive, tmp_path / "backup", today=TODAY)
    return tmp_path / "backup"


def test_every_row_and_every_file_comes_back(archive, backup, tmp_path):
    summary = restore(backup, archive=tmp_path / "again")
    with open_archive(tmp_path / "again") as again:
        assert rows_of(again) == rows_of(archive)
        assert list(again.files.digests()) == list(archive.files.digests())
        assert check_archive(again) == ()
    assert summary.files == len(list(archive.files.digests()))


def test_a_backup_of_a_folder_comes_back_into_the_other_database(made, nowhere, stored, tmp_path):
    clips = make_clips(tmp_path / "clips", "first")
    with copy_folder(made, tmp_path / "first").open() as first:
        number = add_player(first)
        file_one(first, number, make_lesson_of(stored, tag="first", clips=clips), clips=clips)
        back_up(first, tmp_path / "backup", today=TODAY)
        kept = rows_of(first)
    restore(tmp_path / "backup", **nowhere.where)
    with nowhere.open() as again:
        assert rows_of(again) == kept
        assert check_archive(again) == ()
        assert add_player(again, name="Casey Cupp") == number + 1
        assert file_one(again, number, make_lesson_of(stored, tag="second")) == 2


def test_a_backup_is_a_whole_archive_by_itself(backup, tmp_path):
    shutil.copytree(backup, tmp_path / "copy")
    with in_folder(tmp_path / "copy").open() as copy:
        assert check_archive(copy) == ()
        assert load_overview(copy, today=TODAY).seen[0].name == "Parker Puttwell"


def lose_a_file(folder):
    next((folder / "files").glob("??/*")).unlink()


def alter_a_file(folder):
    next((folder / "files").glob("??/*")).write_bytes(b"!")


def alter_the_database(folder):
    (folder / "archive.sqlite").write_bytes((folder / "archive.sqlite").read_bytes() + b"!")


def alter_the_list(folder):
    manifest = json.loads((folder / "manifest.json").read_text())
    manifest["files"].popitem()
    (folder / "manifest.json").write_text(json.dumps(manifest))


def spoil_the_list(folder):
    (folder / "manifest.json").write_text("{")


@pytest.mark.parametrize("damage", [lose_a_file, alter_a_file, alter_the_database, alter_the_list, spoil_the_list])
def test_a_damaged_backup_is_refused_and_nothing_is_left(backup, tmp_path, damage):
    damage(backup)
    with pytest.raises(ArchiveError, match="Give another backup"):
        restore(backup, archive=tmp_path / "again")
    if (tmp_path / "again").exists():
        with open_archive(tmp_path / "again") as again:
            assert not any(rows_of(again)[name] for name in ("students", "lessons", "files"))


def test_a_newer_backup_is_refused(backup, tmp_path):
    manifest = json.loads((backup / "manifest.json").read_text())
    (backup / "manifest.json").write_text(json.dumps(manifest | {"schema": "9999"}))
    with pytest.raises(ArchiveError, match="a newer version wrote it"):
        restore(backup, archive=tmp_path / "again")


def test_an_archive_with_somebody_in_it_is_not_restored_over(backup, place, archive):
    before = rows_of(archive)
    with pytest.raises(UsageError, match="something in"):
        restore(backup, **place.where)
    assert rows_of(archive) == before


def test_a_used_folder_is_not_backed_up_into(archive, tmp_path):
    (tmp_path / "used").mkdir()
    (tmp_path / "used" / "mine.txt").write_text("mine")
    with pytest.raises((UsageError, OutputError), match="already"):
        back_up(archive, tmp_path / "used", today=TODAY)
    assert [path.name for path in (tmp_path / "used").iterdir()] == ["mine.txt"]


def test_an_archive_that_lacks_a_file_is_not_backed_up_and_the_file_is_named(archive, lesson, tmp_path):
    digest = next(iter(archive.files.digests()))
    archive.files.path_of(digest).unlink()
    with pytest.raises(ArchiveError, match=digest[:12]):
        back_up(archive, tmp_path / "backup", today=TODAY)
    assert not (tmp_path / "backup").exists()


def test_no_backup_is_made_of_a_folder_that_is_none(tmp_path):
    with pytest.raises(UsageError, match=r"holds no manifest\.json"):
        restore(tmp_path, archive=tmp_path / "again")
