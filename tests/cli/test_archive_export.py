"""The commands that give out: ``archive export`` and ``archive export-all``."""

import csv
import json
import zipfile

import pandas as pd
import pytest
from academy import PLAYER, contents_of

from putt_posture.cli import main

CLIPS = [f"lessons/2026-01-10_1_before/clips/{view}.mov" for view in ("down_the_line", "face_on")]


def test_student_is_given_out_as_a_zip(academy, archive, results, tmp_path) -> None:
    out = tmp_path / "new" / "robin.zip"
    held = contents_of(academy)
    said = archive("export", 1, "--out", out)
    assert f"Student 1: {PLAYER}\nWritten to {out}: " in said
    assert "Left out" not in said
    assert contents_of(academy) == held
    with zipfile.ZipFile(out) as given:
        assert given.testzip() is None
        names = set(given.namelist())
        assert {"README.txt", "student.json", "measures.csv", "practice.csv", *CLIPS} <= names
        assert given.read(CLIPS[1]) == (results / "face_on.mov").read_bytes()
        rows = json.loads(given.read("student.json"))["tables"]
    assert [row["name"] for row in rows["students"]] == [PLAYER]
    assert [row["landmark"] for row in rows["corrections"]] == ["left_hip"]


@pytest.mark.parametrize(
    ("option", "why"),
    [("--without-clips", "Clips were not wanted."), ("--hide-faces", "The faces in it cannot be hidden.")],
)
def test_clips_are_left_out_and_it_is_said(option, why, academy, archive, tmp_path) -> None:
    for lesson in (2, 3):
        archive("erase-lesson", lesson, "--yes")  # hiding takes seconds for each
    said = " ".join(archive("export", 1, "--out", tmp_path / "a.zip", option).split())
    with zipfile.ZipFile(tmp_path / "a.zip") as given:
        assert not set(CLIPS) & set(given.namelist())
        hidden = json.loads(given.read("student.json"))["faces_hidden"]
    assert hidden is (option == "--hide-faces")
    for clip in CLIPS:
        assert f"{clip}: {why}" in said


def test_file_that_is_there_stays_and_is_replaced_where_asked(academy, archive, refused, tmp_path) -> None:
    out = tmp_path / "a.zip"
    out.write_text("mine")
    assert "add --replace" in refused("archive", "export", 1, "--out", out, code=2)
    assert out.read_text() == "mine"
    assert "is no export that this program wrote" in refused("archive", "export", 1, "--out", out, "--replace", code=2)
    assert out.read_text() == "mine"
    out.unlink()
    archive("export", 1, "--out", out, "--without-clips")
    small = out.stat().st_size
    archive("export", 1, "--out", out, "--replace")
    assert out.stat().st_size > small


def test_zip_needs_a_place_of_its_own(academy, refused, tmp_path) -> None:
    assert "is a folder, and a file was needed" in refused("archive", "export", 1, "--out", tmp_path, code=2)
    said = refused("archive", "export", 1, "--replace", "--out", academy / "archive.sqlite", code=2)
    assert "is inside the archive" in said
    assert "Missing option '--out'" in refused("archive", "export", 1, code=2)


def test_altered_file_is_named_and_nothing_is_written(academy, capsys, tmp_path) -> None:
    for path in (academy / "files").rglob("*"):
        if path.is_file():
            path.chmod(0o600)
            path.write_bytes(b"altered")
    assert main(["archive", "export", "1", "--out", str(tmp_path / "a.zip")]) == 1
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert "was altered since it was filed" in said
    assert not (tmp_path / "a.zip").exists()


def test_tables_are_given_out_without_names_unless_asked(academy, archive, tmp_path) -> None:
    said = archive("export-all", "--out", tmp_path / "tables")
    assert f"Written to {tmp_path / 'tables'}" in said
    written = b"".join(path.read_bytes() for path in (tmp_path / "tables").rglob("*") if path.is_file())
    assert b"Robin" not in written
    assert b"Charlie" not in written
    assert "It holds names" in archive("export-all", "--out", tmp_path / "named", "--names", "--landmarks")
    with (tmp_path / "named" / "csv" / "students.csv").open(encoding="utf-8", newline="") as stream:
        assert {row["name"] for row in csv.DictReader(stream)} == {PLAYER, "Charlie Young"}
    measures = pd.read_parquet(tmp_path / "named" / "parquet" / "measures")
    assert sorted(measures["lesson"].unique()) == [1, 2, 3]
    assert (tmp_path / "named" / "parquet" / "landmarks").exists()
    assert not (tmp_path / "tables" / "parquet" / "landmarks").exists()


def test_folder_of_tables_stays_and_is_replaced_where_asked(academy, archive, refused, tmp_path) -> None:
    (tmp_path / "tables").mkdir()
    (tmp_path / "tables" / "mine.txt").write_text("mine")
    assert "already holds something" in refused("archive", "export-all", "--out", tmp_path / "tables", code=2)
    said = refused("archive", "export-all", "--out", tmp_path / "tables", "--replace", code=2)
    assert "holds mine.txt, which this program did not write" in said
    (tmp_path / "tables" / "mine.txt").unlink()
    archive("export-all", "--out", tmp_path / "tables")
    (tmp_path / "tables" / "README.md").write_text("changed")
    archive("export-all", "--out", tmp_path / "tables", "--replace")
    assert (tmp_path / "tables" / "README.md").read_text() != "changed"


def test_tables_are_not_written_into_the_archive(academy, refused) -> None:
    for place in (academy, academy / "tables", academy / "files"):
        said = refused("archive", "export-all", "--replace", "--out", place, code=2)
        assert "is inside the archive" in said
    assert "contains the archive" in refused("archive", "export-all", "--replace", "--out", academy.parent, code=2)


def test_only_parquet_is_written_where_asked(academy, archive, tmp_path) -> None:
    said = archive("export-all", "--out", tmp_path / "tables", "--only-parquet")
    assert not (tmp_path / "tables" / "csv").exists()
    lessons = pd.read_parquet(tmp_path / "tables" / "parquet" / "lessons", filters=[("year", "=", 2026)])
    assert sorted(lessons["lesson"]) == [1, 2, 3]
    assert any(line.split() == ["lessons", "3"] for line in said.splitlines())
