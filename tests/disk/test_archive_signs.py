"""An archive is known wherever it lies, and nothing else is taken for one."""

import sqlite3
from contextlib import closing

import pytest

from putt_posture.archive import back_up, open_archive
from putt_posture.disk.marks import refuse_archive
from putt_posture.errors import OutputError


@pytest.fixture(autouse=True)
def elsewhere(tmp_path, monkeypatch):
    monkeypatch.setenv("PUTT_POSTURE_ARCHIVE", str(tmp_path / "nowhere"))
    monkeypatch.delenv("PUTT_POSTURE_ARCHIVE_FILES", raising=False)


@pytest.fixture
def archive(tmp_path):
    open_archive(tmp_path / "kept" / "archive").close()
    return tmp_path / "kept" / "archive"


def test_an_archive_and_what_lies_in_it_is_refused(archive):
    for place in (archive, archive / "files", archive / "files" / "ab" / "report"):
        with pytest.raises(OutputError, match=r"an archive or a backup.*\. Give .*folder,? outside of it\."):
            refuse_archive(place)
    refuse_archive(archive.parent / "report")


def test_a_backup_is_refused_without_its_database_too(archive, tmp_path):
    from datetime import date

    with open_archive(archive) as opened:
        back_up(opened, tmp_path / "backup", today=date(2026, 11, 25))
    for _ in range(2):
        with pytest.raises(OutputError, match="is in an archive or a backup"):
            refuse_archive(tmp_path / "backup" / "report")
        (tmp_path / "backup" / "archive.sqlite").unlink(missing_ok=True)


def test_the_users_own_archive_and_its_files_are_kept_from_above_and_below(tmp_path, monkeypatch):
    monkeypatch.setenv("PUTT_POSTURE_ARCHIVE", "postgresql://nobody@localhost/academy")
    monkeypatch.setenv("PUTT_POSTURE_ARCHIVE_FILES", str(tmp_path / "kept" / "files"))
    (tmp_path / "kept" / "files").mkdir(parents=True)
    with pytest.raises(OutputError, match="is in the archive"):
        refuse_archive(tmp_path / "kept" / "files" / "report")
    with pytest.raises(OutputError, match="contains the archive"):
        refuse_archive(tmp_path / "kept")


def test_a_database_of_another_program_bars_nothing(tmp_path):
    with closing(sqlite3.connect(tmp_path / "archive.sqlite")) as connection:
        connection.execute("CREATE TABLE letters (text)")
    (tmp_path / "manifest.json").write_text('{"name": "An app"}')
    refuse_archive(tmp_path / "report")


def test_a_damaged_database_is_taken_for_an_archive(tmp_path):
    (tmp_path / "archive.sqlite").write_bytes(b"SQLite format 3\0" + bytes(4000))
    with pytest.raises(OutputError, match="is in an archive"):
        refuse_archive(tmp_path / "report")
