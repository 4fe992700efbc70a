"""Rows that were altered, cannot be, or cannot be read are named, and none of them ends the check."""

from datetime import date

import pytest
from altered import alter
from filed import TODAY, add_player, file_one, make_lesson_of
from places import copy_folder
from sqlalchemy import delete, func, insert, select, text, update

from putt_posture.archive import (
    add_practice_test,
    change_settings,
    change_student,
    check_archive,
    correct_landmark,
    erase_lesson,
    erase_student,
    remove_correction,
    remove_practice_test,
    withdraw_consent,
)
from putt_posture.archive.db.row_digests import settle_all
from putt_posture.archive.db.tables import ConsentRow, DigestRow, LessonRow, MeasureRow
from putt_posture.values import PuttCount

pytestmark = pytest.mark.usefixtures("no_others")

COUNTS = [PuttCount(distance_cm=91.44, tried=20, holed=19)]
ALTERED = [
    ("UPDATE measures SET value = value + 0.001 WHERE name = 'spine_tilt'",
     "The measures of lesson 1 are not as they were filed: spine_tilt."),
    ("UPDATE measures SET standard_uncertainty = 0.1 WHERE name IN ('spine_tilt', 'balance')",
     "The measures of lesson 1 are not as they were filed: spine_tilt, balance."),
    ("UPDATE measures SET method = 'guessed' WHERE name = 'balance'",
     "The measures of lesson 1 are not as they were filed."),
    ("UPDATE measures SET budget = '{\"joints\": 9.0}' WHERE name = 'spine_tilt'",
     "The measures of lesson 1 are not as they were filed."),
    ("UPDATE students SET born = '2014-01-01'", "What is kept of student 1 is not as it was filed."),
    ("UPDATE students SET adult = NOT adult", "What is kept of student 1 is not as it was filed."),
    ("UPDATE consents SET relation = 'guardian' WHERE scope = 'faces'",
     "The consents of student 1 are not as they were filed."),
    ("UPDATE consents SET given_on = '2019-12-31' WHERE scope = 'faces'",
     "The consents of student 1 are not as they were filed."),
    ("DELETE FROM consents WHERE scope = 'faces'", "The consents of student 1 are not as they were filed."),
    ("DELETE FROM consents", "The consents of student 1 are gone."),
    ("INSERT INTO consents (id, student_id, scope, given_on, given_by, relation, note) "
     "SELECT 99, student_id, scope, given_on, given_by, relation, note FROM consents WHERE scope = 'faces'",
     "The consents of student 1 are not as they were filed."),
    ("UPDATE name_words SET word = 'puttwall' WHERE word = 'puttwell'",
     "The words to find student 1 are not as they were filed."),
    ("UPDATE lessons SET notes = 'short'", "What was written down of lesson 1 is not as it was filed."),
    ("UPDATE fits SET length_cm = length_cm + 1", "The suggestion of lesson 1 is not as it was filed."),
    ("UPDATE clips SET px_per_cm = 9 WHERE view = 'face_on'", "The clips of lesson 1 are not as they were filed."),
    ("UPDATE setups SET moment_s = moment_s + 1 WHERE clip_id = 1",
     "The setups of lesson 1, down the line are not as they were filed."),
    ("UPDATE landmarks SET time_s = time_s + 1 WHERE clip_id = 2",
     "The landmarks of lesson 1, face on are not as they were filed."),
    ("DELETE FROM landmarks WHERE clip_id = 2", "The landmarks of lesson 1, face on are gone."),
    ("UPDATE corrections SET u_px = 1", "The corrections of lesson 1, face on are not as they were filed."),
    ("UPDATE practice_tests SET note = 'calm'", "What was written down of practice test 1 is not as it was filed."),
    ("UPDATE putts SET holed = 20", "The putts of practice test 1 are not as they were filed."),
    ("UPDATE erasures SET reason = 'none'", "What was written down of erasure 1 is not as it was filed."),
    ("UPDATE settings SET value = '700'", "The settings of the archive are not as they were filed."),
    ("UPDATE digests SET digest = upper(digest) WHERE part = 'clips'",
     "The clips of lesson 1 are not as they were filed."),
    ("DELETE FROM digests WHERE part = 'clips'", "The clips of lesson 1 were not filed by this program."),
]  # fmt: skip
IMPOSSIBLE = [
    ("UPDATE lessons SET moment = 'befora'", "moment is 'befora', and known are before, after, check"),
    ("UPDATE lessons SET handed = 'both'", "handed is 'both', and known are right, left"),
    ("UPDATE students SET sex = 'f'", "sex is 'f', and known are female, male"),
    ("UPDATE students SET stature_cm = -178", "stature_cm is -178.0, which is impossible"),
    ("UPDATE students SET since = '0202-01-01'", "since is datetime.date(202, 1, 1), which is impossible"),
    ("UPDATE consents SET relation = 'friend' WHERE scope = 'faces'", "relation is 'friend', and known are"),
    ("UPDATE consents SET scope = 'everything' WHERE scope = 'faces'", "scope is 'everything', and known are"),
    ("UPDATE consents SET withdrawn_on = '2019-01-01' WHERE scope = 'faces'", "withdrawn_on is before given_on"),
    ("UPDATE clips SET view = 'above' WHERE view = 'face_on'", "view is 'above', and known are"),
    ("UPDATE clips SET kind = 'film' WHERE view = 'face_on'", "kind is 'film', and known are video, still"),
    ("UPDATE clips SET sha256 = 'none' WHERE view = 'face_on'", "sha256 is 'none', which is no digest"),
    ("UPDATE corrections SET landmark = 'left_hop'", "landmark is 'left_hop', and known are"),
    ("UPDATE measures SET name = 'spine_tilf' WHERE name = 'spine_tilt'", "name is 'spine_tilf', and known are"),
    ("UPDATE measures SET unit = 'cm' WHERE name = 'spine_tilt'", "unit is another's"),
    ("UPDATE measures SET value = NULL WHERE name = 'spine_tilt'", "value and absent contradict each other"),
    ("UPDATE measures SET repeats = '{\"a\": 1}' WHERE name = 'spine_tilt'", "repeats is {'a': 1}, which is"),
    ("UPDATE lesson_files SET name = '../../../../x' WHERE name = 'report.html'", "name is '../../../../x'"),
    ("UPDATE lesson_files SET shows_student = NOT shows_student WHERE name = 'report.html'",
     "shows_student is not what its name says"),
]  # fmt: skip
UNREADABLE = [
    ("UPDATE measures SET budget = '{' WHERE name = 'spine_tilt'", "The measures of lesson 1 cannot be read"),
    ("UPDATE students SET born = '2014-02-31'", "What is kept of student 1 cannot be read"),
    ("UPDATE students SET born = 7", "What is kept of student 1 cannot be read"),
    ("UPDATE students SET name = CAST(x'ff00fe' AS TEXT)", "What is kept of student 1 cannot be read"),
    ("UPDATE students SET name = x'00'", "name is b'\\x00', which is impossible"),
    ("UPDATE students SET stature_cm = 9e999", "stature_cm is inf, which is impossible"),
    ("UPDATE students SET stature_cm = 'tall'", "stature_cm is 'tall', which is impossible"),
    ("UPDATE students SET adult = 5", "A row of students: adult is neither yes nor no."),
    ("UPDATE clips SET width = 1 << 40 WHERE view = 'face_on'", "width is 1099511627776, which is impossible"),
    ("UPDATE landmarks SET points = zeroblob(12) WHERE clip_id = 2 AND frame = 1", "points is b'"),
    ("UPDATE landmarks SET points = zeroblob(396) WHERE clip_id = 2", "The landmarks of lesson 1, face on are not as"),
    ("UPDATE lessons SET versions = replace(hex(zeroblob(50000)), '00', '[')",
     "What was written down of lesson 1 cannot be read"),
    ("UPDATE lessons SET warnings = '[1e400]'", "warnings is [inf], which is impossible"),
    ("UPDATE digests SET part = 'moods' WHERE part = 'clips'", "The table digests has an entry for 'moods'"),
    ("UPDATE sqlite_sequence SET seq = 0 WHERE name = 'students'", "The numbers given by the database are not as"),
]  # fmt: skip


@pytest.fixture(scope="module")
def filling(add_first_lesson):
    """What puts one row or more in every table that has digests."""

    def fill(archive):
        add_first_lesson(archive)
        correct_landmark(
            archive, 1, view="face_on", frame=1, landmark="left_hip", point_px=(500.25, 900.75),
            made_by="Coach", today=TODAY,
        )  # fmt: skip
        add_practice_test(archive, 1, day=date(2026, 5, 2), counts=COUNTS, today=TODAY, note="windy")
        change_settings(archive, revisit_weeks=6)
        erase_student(archive, add_player(archive, name="Somebody Gone"), today=TODAY, reason="asked")

    return fill


@pytest.fixture
def filled(archive):
    """An archive that is filled so."""
    return archive


@pytest.fixture(scope="module")
def lesson_folder(made, tmp_path_factory, stored):
    """The folder of an archive in SQLite with one lesson, to be copied."""
    folder = tmp_path_factory.mktemp("one") / "archive"
    with copy_folder(made, folder).open() as archive:
        file_one(archive, add_player(archive), make_lesson_of(stored, tag="first"))
    return folder


@pytest.fixture
def filled_folder(lesson_folder, tmp_path):
    """A copy of it."""
    with copy_folder(lesson_folder, tmp_path / "archive").open() as archive:
        yield archive


def said(archive, **how):
    return [each.says for each in check_archive(archive, **how)]


@pytest.mark.parametrize(("statement", "says"), ALTERED)
def test_what_is_altered_behind_the_programs_back_is_named(filled, statement, says):
    assert said(filled) == []
    alter(filled, statement)
    assert says in said(filled)
    assert says in said(filled, read_files=False)


@pytest.mark.parametrize(("statement", "says"), IMPOSSIBLE)
def test_what_cannot_be_is_named_even_where_digests_agree(filled, statement, says):
    alter(filled, statement)
    with filled.engine.begin() as connection:
        settle_all(connection)
    assert [each for each in said(filled) if says in each]


@pytest.mark.parametrize(("statement", "says"), UNREADABLE)
def test_what_cannot_be_read_is_named_and_does_not_end_the_check(filled_folder, statement, says):
    alter(filled_folder, statement)
    found = said(filled_folder)
    assert [each for each in found if says in each], found
    assert all("\n" not in each for each in found)


def test_measures_whose_digest_agrees_are_held_against_their_document(filled, lesson):
    alter(filled, "UPDATE measures SET value = value + 1 WHERE name = 'spine_tilt'")
    with filled.engine.begin() as connection:
        settle_all(connection)
    assert f"The measures of lesson {lesson} are not what its measures.json says: spine_tilt." in said(filled)


@pytest.mark.parametrize(
    ("statement", "says"),
    [
        ("CREATE TABLE moods (id INTEGER)", "It holds the table 'moods', which archives of this program do not have."),
        ("CREATE VIEW faces AS SELECT 1", "It holds the view 'faces', which archives of this program do not have."),
        ("CREATE TRIGGER spy AFTER INSERT ON students BEGIN SELECT 1; END", "It holds the trigger 'spy'"),
        ("DROP INDEX ix_lessons_day", "It lacks the index 'ix_lessons_day'."),
        ("ALTER TABLE students ADD COLUMN mood TEXT", "Its table 'students' is not as this program makes it."),
    ],
)
def test_tables_that_are_not_the_programs_are_named(filled_folder, statement, says):
    with filled_folder.engine.begin() as connection:
        connection.exec_driver_sql(statement)
    assert [each for each in said(filled_folder) if says in each]


def test_every_writer_leaves_the_digests_in_step(filled, player, lesson, stored):
    archive = filled
    other = add_player(archive, name="Casey Cupp")
    second = file_one(archive, player, make_lesson_of(stored, tag="second", shift=3.0))
    test = add_practice_test(archive, other, day=date(2026, 5, 3), counts=COUNTS, today=TODAY)
    change_student(archive, player, today=TODAY, name="Robin Longname", notes="λ")
    withdraw_consent(archive, player, scopes=["faces"], on=TODAY)
    assert said(archive) == []
    with archive.write() as session:  # a row that goes to another owner, and statements for many rows
        session.scalars(select(ConsentRow).where(ConsentRow.student_id == other)).first().student_id = player
        session.execute(update(ConsentRow).where(ConsentRow.student_id == player).values(note="by post"))
        session.execute(delete(ConsentRow).where(ConsentRow.student_id == other, ConsentRow.scope == "faces"))
    assert said(archive) == []
    remove_correction(archive, 1)
    remove_practice_test(archive, test)
    erase_lesson(archive, second)
    assert said(archive) == []
    erase_student(archive, player, today=TODAY, reason="asked")
    assert said(archive) == []
    with archive.read() as session:
        left = dict(session.execute(select(DigestRow.part, func.count()).group_by(DigestRow.part)).all())
    assert not left.keys() & {"lessons", "measures", "landmarks", "corrections", "lesson_files", "clips", "fits"}
    assert left["students"] == 1


def test_a_student_deleted_by_a_statement_takes_the_digests_of_all_that_goes_along(filled, player):
    with filled.write() as session:
        session.execute(delete(LessonRow).where(LessonRow.student_id == player))
    with filled.read() as session:
        parts = set(session.scalars(select(DigestRow.part)))
    assert not parts & {"lessons", "measures", "landmarks", "corrections", "lesson_files", "clips", "fits", "setups"}


@pytest.mark.parametrize("statement", [insert(MeasureRow).values(name="x"), text("  delete from measures")])
def test_rows_are_not_changed_past_their_digests(archive, statement):
    with pytest.raises(TypeError, match="so that their digests follow"), archive.write() as session:
        session.execute(statement)
