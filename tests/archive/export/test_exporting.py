"""All that is kept of a student, and nothing of anybody else, goes into the zip."""

import csv
import errno
import hashlib
import io
import json
import os
import sqlite3
import struct
import zipfile
from contextlib import closing
from pathlib import Path

import jsonschema
import pytest
from export_lessons import CLIPS, DAY, NAME, NOTES, TODAY, fill, store_invented
from hypothesis import given
from hypothesis import strategies as st

from putt_posture.archive import export_student, load_history, open_archive
from putt_posture.archive.db.copying import OWNED_TABLES
from putt_posture.archive.export.student_tables import ZipWriter, practice_as_csv
from putt_posture.archive.place import DATABASE_FILE
from putt_posture.disk.marks import MARK
from putt_posture.errors import ArchiveError, OutputError
from putt_posture.measures import MEASURES
from putt_posture.pages.to_send import TO_SEND

LESSON = f"lessons/{DAY}_1_before"
OTHER = "Casey Cupp"


@pytest.fixture(scope="module")
def folder(made_once):
    return made_once("invented_with_clips", store_invented) / "result"


@pytest.fixture(scope="module")
def archive(folder, tmp_path_factory):
    """Two students, each with a lesson, a correction and a practice test."""
    with open_archive(tmp_path_factory.mktemp("exported") / "archive") as opened:
        fill(opened, folder, notes="Comes on Tuesdays.")
        fill(opened, folder, name=OTHER, born=None, notes="Never on Tuesdays.")
        yield opened


@pytest.fixture(scope="module")
def given_out(archive, tmp_path_factory):
    """What was said of the export of the first student, and the zip."""
    exported = export_student(archive, 1, tmp_path_factory.mktemp("zip") / "robin.zip", today=TODAY)
    with zipfile.ZipFile(exported.path) as zipped:
        yield exported, zipped


@pytest.fixture(scope="module")
def document(given_out):
    return json.loads(given_out[1].read("student.json"))


def as_given(name, value):
    """What a cell of the database is in the document, worked out without the program."""
    if isinstance(value, bytes):
        numbers = [each if each == each else None for (each,) in struct.iter_unpack("<f", value)]
        return [numbers[at : at + 3] for at in range(0, len(numbers), 3)]
    if name in ("budget", "repeats", "spec", "versions", "warnings", "drifts") and value is not None:
        return json.loads(value)
    return bool(value) if name in ("adult", "shows_student", "faces_hidden") else value


def test_every_row_of_the_student_is_in_it_and_none_of_others(archive, document):
    """Held against the database as Python's own SQLite reads it; student 1 has the first row of every table."""
    owners = {"lessons": "student_id", "practice_tests": "student_id", "consents": "student_id", "students": "id"}
    with closing(sqlite3.connect(archive.place.folder / DATABASE_FILE)) as database:
        database.row_factory = sqlite3.Row
        for table in OWNED_TABLES:
            rows = [dict(row) for row in database.execute(f"SELECT * FROM {table.name}")]
            owner = owners.get(table.name) or next(
                key for key in ("lesson_id", "test_id", "clip_id", "student_id") if key in rows[0]
            )
            first = {"clip_id": {1, 2}}.get(owner, {1})
            wanted = [{name: as_given(name, cell) for name, cell in row.items()} for row in rows if row[owner] in first]
            found = document["tables"][table.name]
            assert sorted(map(repr, found)) == sorted(map(repr, wanted)), table.name
            assert 0 < len(wanted) < len(rows), table.name
    assert OTHER not in json.dumps(document)


def test_the_document_keeps_to_the_schema_that_lies_beside_it(given_out, document):
    schema = json.loads(given_out[1].read("schemas/student.schema.json"))
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(document)
    measures = json.loads(given_out[1].read("schemas/measures.schema.json"))
    jsonschema.Draft202012Validator(measures).validate(json.loads(given_out[1].read(f"{LESSON}/measures.json")))


def test_every_file_is_in_it_byte_for_byte_with_its_digest(given_out, document, folder):
    exported, zipped = given_out
    assert zipped.testzip() is None
    kept = {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    del kept[MARK], kept[TO_SEND]
    kept |= {f"clips/{view}.mov": content for view, content in CLIPS.items()}
    listed = {each["place"]: each for each in document["files"]}
    assert set(listed) == {f"{LESSON}/{name}" for name in kept}
    for name, content in kept.items():
        place = f"{LESSON}/{name}"
        assert zipped.read(place) == content
        assert listed[place]["sha256"] == hashlib.sha256(content).hexdigest()
        assert listed[place]["bytes"] == len(content)
        assert zipped.getinfo(place).date_time[:3] == (DAY.year, DAY.month, DAY.day)
    assert exported.files == len(kept)
    assert exported.left_out == ()


def test_the_same_archive_gives_the_same_bytes(archive, given_out, tmp_path):
    again = export_student(archive, 1, tmp_path / "again.zip", today=TODAY)
    assert again.path.read_bytes() == given_out[0].path.read_bytes()


def test_the_page_says_whose_it_is_and_where_the_lessons_are(given_out):
    page = given_out[1].read("README.txt").decode("utf-8")
    assert page.startswith(f"What is kept of {NAME}")
    assert LESSON in page
    assert "none is a medical finding" in page.replace("\n", " ")
    assert max(map(len, page.splitlines())) <= 80


def read_csv(zipped, name):
    return list(csv.DictReader(io.StringIO(zipped.read(name).decode("utf-8-sig"))))


def test_the_measures_are_a_table_with_every_number(archive, given_out):
    lines = read_csv(given_out[1], "measures.csv")
    (visit,) = load_history(archive, 1, today=TODAY).visits
    assert [line["measure"] for line in lines] == list(MEASURES)
    for line in lines:
        estimate = visit.measured.measures[line["measure"]]
        assert (line["day"], line["lesson"], line["unit"]) == (DAY.isoformat(), "1", estimate.unit)
        if not estimate:
            assert (line["value"], line["absent"]) == ("", estimate.absent)
            continue
        numbers = [float(line[name]) for name in ("value", "standard_uncertainty", "low", "high")]
        assert numbers == [estimate.value, estimate.standard_uncertainty, estimate.low, estimate.high]


def test_the_putts_are_a_table(given_out):
    lines = read_csv(given_out[1], "practice.csv")
    assert [(float(line["distance_cm"]), line["tried"], line["holed"]) for line in lines] == [
        (91.44, "20", "19"), (304.8, "20", "8"),
    ]  # fmt: skip
    assert {line["note"] for line in lines} == {"'@home, windy"}


def test_what_was_typed_is_in_the_document_as_it_was_typed(document):
    (lesson,) = document["tables"]["lessons"]
    assert (lesson["putter_story"], lesson["notes"]) == (NOTES.putter_story, NOTES.notes)
    assert document["tables"]["practice_tests"][0]["note"] == "@home, windy"


@given(note=st.text(st.characters(exclude_categories=["Cs", "Cc"], include_characters="\n\t"), max_size=30))
def test_no_text_in_a_table_is_a_formula(note):
    """Signs by which a spreadsheet takes a cell for a formula: OWASP, CSV Injection (from memory)."""
    rows = {
        "practice_tests": [{"id": 1, "day": "2026-05-17", "note": note}],
        "putts": [{"test_id": 1, "distance_cm": 91.44, "tried": 3, "holed": 2}],
    }
    text = practice_as_csv(rows).removeprefix("\ufeff")
    (line,) = csv.DictReader(io.StringIO(text, newline=""))
    assert not line["note"].startswith(("=", "+", "-", "@", "\t", "\r", "\n"))
    assert line["note"].removeprefix("'") == note.removeprefix("'")


def test_the_tables_have_the_text_as_it_was_typed_where_asked(archive, tmp_path):
    export_student(archive, 1, tmp_path / "raw.zip", today=TODAY, raw_text=True, clips=False)
    with zipfile.ZipFile(tmp_path / "raw.zip") as out:
        assert "@home, windy" in {line["note"] for line in read_csv(out, "practice.csv")}
        assert "every text is as it was typed" in " ".join(out.read("README.txt").decode().split())


@pytest.mark.parametrize("at", ["lessons", "student.json", "README.txt"])
def test_a_full_disk_leaves_no_zip_and_the_old_one_stays(archive, tmp_path, monkeypatch, at):
    def write(self, path, *rest, _write=ZipWriter.write, **about):
        if path.startswith(at):
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        return _write(self, path, *rest, **about)

    export_student(archive, 1, tmp_path / "old.zip", today=TODAY)
    old = (tmp_path / "old.zip").read_bytes()
    monkeypatch.setattr(ZipWriter, "write", write)
    for name in ("old.zip", "new.zip"):
        with pytest.raises(OutputError, match=r"[Nn]o space left"):
            export_student(archive, 1, tmp_path / name, today=TODAY, replace=True)
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"old.zip": old}


def test_a_missing_file_is_named_and_no_zip_is_left(folder, tmp_path):
    with open_archive(tmp_path / "archive") as archive:
        fill(archive, folder)
        Path(archive.files.path_of(hashlib.sha256(CLIPS["face_on"]).hexdigest())).unlink()
        with pytest.raises(ArchiveError, match="file") as said:
            export_student(archive, 1, tmp_path / "new.zip", today=TODAY)
    assert "\n" not in str(said.value)
    assert not (tmp_path / "new.zip").exists()
