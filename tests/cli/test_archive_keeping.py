"""The commands that keep the archive safe: ``archive backup``, ``restore``, ``check`` and ``upgrade``."""

import json
import shutil
import sqlite3
from contextlib import closing

import pytest
from academy import PLAYER, contents_of

from putt_posture.cli import main


def files_of(academy):
    return sorted(path for path in (academy / "files").rglob("*") if path.is_file())


@pytest.fixture
def backup(academy, archive, tmp_path):
    said = archive("backup", tmp_path / "backup")
    assert f"in {tmp_path / 'backup'}\n" in said
    assert "keep it as safe as the archive" in said
    return tmp_path / "backup"


def test_archive_is_brought_back_from_a_backup(academy, archive, backup) -> None:
    held = [path.name for path in files_of(academy)]
    shutil.rmtree(academy)
    said = archive("restore", backup)
    assert f"to {academy}\n" in said
    assert "erase them once more" in " ".join(said.split())
    assert PLAYER in archive("show", 1)
    assert "is whole" in archive("check")
    assert [path.name for path in files_of(academy)] == held


def test_backup_is_looked_through_and_nothing_is_brought_back(academy, archive, backup, refused) -> None:
    before = contents_of(academy), sorted(backup.rglob("*"))
    assert f"The backup {backup} is complete: all rows and " in archive("restore", backup, "--only-check")
    assert (contents_of(academy), sorted(backup.rglob("*"))) == before
    files_of(backup)[0].unlink()
    assert "are missing or altered" in refused("archive", "restore", backup, "--only-check", code=1)


def test_backup_is_not_brought_back_over_an_archive(academy, backup, refused) -> None:
    assert "There is something in the archive" in refused("archive", "restore", backup, code=2)


def test_altered_backup_is_refused_and_nothing_is_made(academy, backup, refused) -> None:
    shutil.rmtree(academy)
    path = files_of(backup)[0]
    path.chmod(0o600)
    path.write_bytes(b"altered")
    assert "are missing or altered" in refused("archive", "restore", backup, code=1)
    assert not academy.exists() or contents_of(academy).count("INSERT INTO students") == 0


def test_folder_that_is_no_backup_is_refused(academy, refused, tmp_path) -> None:
    (tmp_path / "photos").mkdir()
    assert "Give a folder that archive backup made." in refused("archive", "restore", tmp_path / "photos", code=2)
    assert "Give a folder that archive backup made." in refused("archive", "restore", tmp_path / "nowhere", code=2)


def test_backup_does_not_go_into_a_folder_in_use(academy, refused, tmp_path) -> None:
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "holiday.jpg").write_bytes(b"sea")
    assert "There is something in" in refused("archive", "backup", tmp_path / "photos", code=2)
    assert [path.name for path in (tmp_path / "photos").iterdir()] == ["holiday.jpg"]


def test_whole_archive_is_whole(academy, archive) -> None:
    said = "is whole: every row and every file is what it was when it was filed."
    assert said in " ".join(archive("check").split())
    assert "is whole: every row is what it was when it was filed." in " ".join(archive("check", "--quick").split())
    nothing = {"findings": [], "left_over": [], "closed_to_others": 0}
    assert json.loads(archive("check", "--json")) == {"archive": str(academy), **nothing}


def test_check_names_what_is_missing_and_altered(academy, capsys, monkeypatch) -> None:
    monkeypatch.setenv("COLUMNS", "400")
    missing, altered, *_ = files_of(academy)
    missing.unlink()
    altered.chmod(0o600)
    altered.write_bytes(b"altered")
    assert main(["archive", "check"]) == 1
    said = capsys.readouterr()
    assert "missing: " in said.out
    assert missing.name[:8] in said.out
    assert "altered: " in said.out
    assert said.err.startswith("putt-posture: 2 things in the archive are not as they should be.")
    assert main(["archive", "check", "--json"]) == 1
    found = json.loads(capsys.readouterr().out)
    assert sorted(each["kind"] for each in found["findings"]) == ["altered", "missing"]


def test_database_that_is_none_is_one_sentence(academy, capsys) -> None:
    (academy / "archive.sqlite").write_bytes(b"no database" * 1000)
    for words in (["check"], ["show", "1"], ["overview"]):
        assert main(["archive", *words]) == 1
        said = capsys.readouterr()
        assert said.out == ""
        assert said.err.count("\n") == 1
        assert "backup" in said.err


def test_archive_of_this_version_needs_no_upgrade(academy, archive) -> None:
    assert archive("upgrade").startswith("Nothing to do: the archive has schema ")


def test_check_names_a_measure_that_was_altered(academy, capsys, monkeypatch) -> None:
    monkeypatch.setenv("COLUMNS", "400")
    with closing(sqlite3.connect(academy / "archive.sqlite")) as connection, connection:
        connection.execute("UPDATE measures SET value = value + 1 WHERE name = 'spine_tilt' AND lesson_id = 1")
    for words in (["check"], ["check", "--quick"]):
        assert main(["archive", *words]) == 1
        said = capsys.readouterr()
        assert "altered: The measures of lesson 1 are not as they were filed: spine_tilt." in said.out
        assert "1 thing in the archive is not as it should be" in said.err


def test_backup_into_the_archive_is_refused(academy, refused) -> None:
    assert "is inside the archive" in refused("archive", "backup", academy / "backup", code=2)
    assert not (academy / "backup").exists()
