"""Whatever is done to an archive behind its back is found, and named."""

import sqlite3
from pathlib import Path

import pytest
from filed import TODAY, add_player, file_one, make_lesson_of
from sqlalchemy import delete, update

from putt_posture.archive import check_archive
from putt_posture.archive.tables import FileRow, FitRow, LessonFile, MeasureRow, Standing


def said(archive, **about):
    return [(each.kind, each.says) for each in check_archive(archive, **about)]


def path_of(archive, name):
    with archive.read() as session:
        digest = session.query(LessonFile.digest).filter(LessonFile.name == name).scalar()
    return archive.files.path_of(digest)


def test_a_whole_archive_has_nothing_to_say(archive, lesson):
    assert said(archive) == []


def test_a_missing_file_is_named_by_its_lesson(archive, lesson):
    path_of(archive, "clips/face_on.mov").unlink()
    ((kind, says),) = said(archive)
    assert kind == "missing"
    assert f"clips/face_on.mov of lesson {lesson} (student 1)" in says


def test_an_altered_file_is_found_where_files_are_read(archive, lesson):
    path = path_of(archive, "stills/face_on.png")
    path.write_bytes(path.read_bytes()[:-1] + b"!")
    ((kind, says),) = said(archive)
    assert kind == "altered"
    assert f"stills/face_on.png of lesson {lesson}" in says
    assert said(archive, read_files=False) == []


def test_a_file_that_belongs_to_nothing_is_found(archive, lesson):
    stray = archive.files.path_of("ab" * 32)
    stray.parent.mkdir(exist_ok=True)
    stray.write_bytes(b"?")
    ((kind, says),) = said(archive)
    assert kind == "orphaned"
    assert "ab" * 32 in says


def test_a_stranger_among_the_files_is_found(archive, lesson):
    (Path(archive.files.folder) / "holiday.jpg").write_bytes(b"?")
    assert any("holiday.jpg" in says for _, says in said(archive))


@pytest.mark.parametrize(
    ("damage", "kind", "says"),
    [
        (delete(FitRow), "incomplete", "Lesson 1 has no fit"),
        (delete(MeasureRow).where(MeasureRow.name == "spine_tilt"), "incomplete", "no row for spine_tilt"),
        (update(Standing).values(lessons=7), "out of step", "student 1"),
        (delete(LessonFile).where(LessonFile.name == "measures.json"), "incomplete", "no measures.json"),
    ],
)
def test_rows_that_are_not_whole_are_found(archive, lesson, damage, kind, says):
    with archive.write() as session:
        session.execute(damage)
    assert any(found == kind and says in sentence for found, sentence in said(archive))


def test_a_row_that_no_lesson_knows_is_found(archive, player, stored):
    number = file_one(archive, player, make_lesson_of(stored, tag="one"))
    with archive.write() as session:
        session.execute(delete(LessonFile).where(LessonFile.lesson_id == number, LessonFile.name == "report.html"))
        assert session.query(FileRow).count() > 0
    assert any(kind == "orphaned" and "no lesson knows it" in says for kind, says in said(archive))


def test_a_database_that_breaks_its_own_rules_is_found(folder_archive, stored):
    number = add_player(folder_archive)
    file_one(folder_archive, number, make_lesson_of(stored, tag="one"), day=TODAY)
    with sqlite3.connect(folder_archive.place.database.database) as database:
        database.execute("PRAGMA ignore_check_constraints = ON")
        database.execute("INSERT INTO practice_tests (id, student_id, day, note) VALUES (1, 77, '2026-01-01', '')")
        database.execute("INSERT INTO putts (test_id, distance_cm, tried, holed) VALUES (1, 100, 3, 9)")
    database.close()
    found = [says for kind, says in said(folder_archive) if kind == "database"]
    assert any("CHECK constraint failed in putts" in says for says in found)
    assert any("practice_tests belongs to nothing in students" in says for says in found)
