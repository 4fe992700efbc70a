"""What was erased is nowhere any more: shown by searching the bytes of every file, and every row of every table."""

from datetime import date
from pathlib import Path

import pytest
from filed import NAME, TODAY, file_one, make_clips, make_lesson_of
from sqlalchemy import MetaData, select, text

from putt_posture.archive import (
    SCOPES,
    LessonNotes,
    add_consent,
    add_practice_test,
    add_student,
    change_student,
    check_archive,
    correct_landmark,
    erase_lesson,
    erase_student,
    find_students,
    load_erasures,
    load_history,
    load_lesson,
    load_lessons,
    load_student,
    open_archive,
    open_lesson,
)
from putt_posture.archive.db.copying import OWNED_TABLES
from putt_posture.archive.people.erasing import erase_pictures
from putt_posture.errors import ArchiveError, NotInArchive
from putt_posture.values import PuttCount, Student

SECRET = "Zo\u00eb Quillfeather"
NOTES = LessonNotes(
    place="placexqz1",
    coach="coachxqz2",
    notes="notesxqz3",
    misses="missesxqz4",
    putter_story="storyxqz5",
    limits="limitsxqz6",
)
WRITTEN = {
    "name": SECRET,
    "name as it is searched": "quillfeather",
    "notes on the student": "studentnotexqz7",
    "guardian": "Guardian Xqz8",
    "note on the consent": "consentnotexqz9",
    "note on the practice": "practicenotexqz10",
    **{name: getattr(NOTES, name) for name in ("place", "coach", "notes", "misses", "putter_story", "limits")},
    "name of the clip": "face_on_secret.mov",
    "who put a landmark right": "correctorxqz11",
}


def add_secret(archive, name=SECRET):
    student = Student(name=name, stature_cm=163.25, handed="right", sex="female", wrist_floor_cm=80.5)
    number = add_student(
        archive, student, today=date(2020, 1, 1), born=date(2012, 2, 3), notes=WRITTEN["notes on the student"]
    )
    add_consent(
        archive, number, scopes=SCOPES, given_on=date(2020, 1, 1), given_by=WRITTEN["guardian"], relation="guardian",
        today=TODAY, note=WRITTEN["note on the consent"],
    )  # fmt: skip
    return number


@pytest.fixture
def secret(archive, lesson, stored, tmp_path):
    """A student of whom everything is known, with two lessons; and what bytes of them the archive must hold."""
    number = add_secret(archive)
    clips = make_clips(tmp_path / "secret", "secret")
    one = make_lesson_of(stored, tag="secret", clips=clips)
    numbers = [file_one(archive, number, one, clips=clips, notes=NOTES, day=date(2026, 3, 1))]
    correct_landmark(
        archive, numbers[0], view="face_on", frame=0, landmark="nose", point_px=(10.0, 12.0),
        made_by=WRITTEN["who put a landmark right"], today=TODAY,
    )  # fmt: skip
    numbers.append(file_one(archive, number, make_lesson_of(stored, tag="later", shift=2.0), notes=NOTES))
    counts = [PuttCount(distance_cm=100.0, tried=10, holed=9)]
    add_practice_test(archive, number, day=TODAY, counts=counts, today=TODAY, note=WRITTEN["note on the practice"])
    files = {
        "measures.json": one.read("measures.json"),
        "still": one.read("stills/face_on.png"),
        "report": one.read("report.html"),
        "clip down the line": clips["down_the_line"].read_bytes(),
        "clip face on": clips["face_on"].read_bytes(),
    }
    return number, numbers, {name: text.encode() for name, text in WRITTEN.items()}, files


def found_in_files(place, searched):
    """Return which of the searched bytes some file of the place holds, its database and logs among them."""
    folder = Path(place.archive) if place.kind == "sqlite" else place.files
    contents = [path.read_bytes() for path in folder.rglob("*") if path.is_file()]
    return {name for name, what in searched.items() if any(what in each for each in contents)}


def found_in_rows(archive, searched):
    """Return which of the searched texts some row of some table of the whole schema holds."""
    with archive.engine.connect() as connection:
        shape = MetaData()
        shape.reflect(connection)
        rows = [repr(tuple(row)) for table in shape.sorted_tables for row in connection.execute(select(table))]
    return {name for name, what in searched.items() if any(what.decode() in each for each in rows)}


def found(place, archive, texts, files):
    """Search everywhere: in SQLite the files are all there is."""
    there = found_in_rows(archive, texts) | found_in_files(place, files)
    return there | found_in_files(place, texts) if place.kind == "sqlite" else there


def rows_of_all(archive):
    with archive.engine.connect() as connection:
        return {table.name: connection.scalar(text(f"SELECT count(*) FROM {table.name}")) for table in OWNED_TABLES}


def test_a_student_who_was_erased_is_nowhere_while_the_archive_is_open(place, archive, secret):
    number, _, texts, files = secret
    assert found(place, archive, texts, files) == {*texts, *files}
    erased = erase_student(archive, number, today=TODAY, reason="asked")
    assert found(place, archive, texts, files) == set()
    assert (erased.students, erased.lessons) == (1, 2)
    assert check_archive(archive) == ()


def test_a_student_who_was_erased_is_nowhere_after_the_archive_was_closed(place, archive, secret):
    number, _, texts, files = secret
    erase_student(archive, number, today=TODAY, reason="asked")
    archive.close()
    assert found_in_files(place, texts | files) == set()
    with place.open() as again:
        assert found(place, again, texts, files) == set()


def test_all_rows_of_a_student_go_and_those_of_others_stay(archive, player, lesson, stored, tmp_path):
    before = rows_of_all(archive)
    history = repr(load_history(archive, player, today=TODAY))
    number = add_secret(archive)
    clips = make_clips(tmp_path / "secret", "secret")
    file_one(archive, number, make_lesson_of(stored, tag="secret", clips=clips), clips=clips)
    add_practice_test(archive, number, day=TODAY, counts=[PuttCount(distance_cm=90.0, tried=5, holed=5)], today=TODAY)
    assert all(there > before[name] for name, there in rows_of_all(archive).items() if name != "corrections")
    erase_student(archive, number, today=TODAY, reason="asked")
    assert rows_of_all(archive) == before
    assert repr(load_history(archive, player, today=TODAY)) == history
    with pytest.raises(NotInArchive):
        load_student(archive, number)
    assert find_students(archive, "quill") == ()


def test_a_clip_that_another_student_shares_stays(place, archive, stored, tmp_path):
    clips = make_clips(tmp_path / "shared", "shared")
    content = {"clip": clips["face_on"].read_bytes()}
    numbers = [add_secret(archive), add_secret(archive, name="Casey Cupp")]
    lessons = [
        file_one(archive, number, make_lesson_of(stored, tag=f"of {number}", clips=clips), clips=clips)
        for number in numbers
    ]
    erase_student(archive, numbers[0], today=TODAY, reason="asked")
    assert open_lesson(archive, lessons[1], today=TODAY).read("clips/face_on.mov") == content["clip"]
    assert check_archive(archive) == ()
    erase_student(archive, numbers[1], today=TODAY, reason="asked")
    assert found_in_files(place, content) == set()


def test_the_record_says_that_somebody_was_erased_and_not_who(archive, secret):
    number, _, texts, _ = secret
    erase_student(archive, number, today=TODAY, reason="a guardian asked")
    (record,) = load_erasures(archive)
    assert record[0] == TODAY
    assert record[1] == 2
    assert record[3] == "a guardian asked"
    assert found_in_rows(archive, texts) == set()


def test_the_number_of_who_was_erased_is_not_given_again(archive, secret):
    number, lessons, _, _ = secret
    erase_student(archive, number, today=TODAY, reason="asked")
    assert add_secret(archive) > number
    assert max(lessons) not in {each.number for each in load_lessons(archive, number + 1)}


def test_an_old_name_is_nowhere_once_its_student_is_erased(place, archive, secret):
    number, _, texts, files = secret
    change_student(archive, number, today=TODAY, name="Nobody Else")
    erase_student(archive, number, today=TODAY, reason="asked")
    assert found(place, archive, texts, files) == set()


def test_one_lesson_that_was_erased_is_nowhere_and_the_other_stays(place, archive, secret):
    number, (first, later), _, files = secret
    assert found_in_files(place, files) == {*files}
    erase_lesson(archive, first)
    assert found_in_files(place, files) == set()
    assert [each.number for each in load_lessons(archive, number)] == [later]
    assert load_student(archive, number).name == SECRET
    assert check_archive(archive) == ()


def test_pictures_that_were_erased_are_nowhere_and_the_measures_stay(place, archive, secret):
    number, (first, _), _, files = secret
    history = repr(load_history(archive, number, today=TODAY))
    erased = erase_pictures(archive, [first])
    assert found_in_files(place, files) == {"measures.json"}
    assert erased.files == len(files) - 1
    assert load_lesson(archive, first).names == ("measures.csv", "measures.json")
    assert repr(load_history(archive, number, today=TODAY)) == history
    assert check_archive(archive) == ()


def test_what_an_interrupted_erasure_left_in_the_log_goes_with_the_next_use(place, archive, secret, monkeypatch):
    """The program stops after the rows are gone: the next to open the archive does the rest."""
    number, _, texts, files = secret
    monkeypatch.setattr("putt_posture.archive.people.erasing._finish", lambda _archive: None)
    erase_student(archive, number, today=TODAY, reason="asked")
    assert found_in_files(place, files) == {*files}
    archive.close()
    monkeypatch.undo()
    with place.open() as again:
        assert found(place, again, texts, files) == set()


def test_a_reader_who_stays_long_does_not_bring_back_what_was_erased(folder_archive, stored, tmp_path, monkeypatch):
    """A reader holds the old state of the log; the erasure says so, and the next use of the archive does the rest."""
    monkeypatch.setattr("putt_posture.archive.db.vacuum._TRIES", 2)
    number = add_secret(folder_archive)
    place = folder_archive.place
    with open_archive(place.folder) as reader, reader.read() as session:
        session.execute(text("SELECT * FROM students")).all()
        with pytest.raises(ArchiveError, match=r"The data is erased.*next use of the archive tries again"):
            erase_student(folder_archive, number, today=TODAY, reason="asked")
    open_archive(place.folder).close()
    lying = b"".join(path.read_bytes() for path in place.folder.rglob("*") if path.is_file())
    assert b"quillfeather" not in lying
    assert SECRET.encode() not in lying
    assert NAME.encode() not in lying


def test_who_is_not_there_cannot_be_erased(archive, lesson, player):
    with pytest.raises(NotInArchive, match="There is no student 99"):
        erase_student(archive, 99, today=TODAY, reason="asked")
    with pytest.raises(NotInArchive, match="There is no lesson 99"):
        erase_lesson(archive, 99)
    assert load_erasures(archive) == ()
    assert check_archive(archive) == ()
