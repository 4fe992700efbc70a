"""Whatever is missing, altered, orphaned, half done or damaged is found and named."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from attrs import evolve
from filed import add_player, file_one, make_lesson_of, still_of
from sqlalchemy import delete, text, update

from putt_posture.archive import check_archive, erase_lesson, open_archive
from putt_posture.archive.db.tables import FileRow, FitRow, LessonFile, MeasureRow, SummaryRow
from putt_posture.archive.files.pending import adding_files
from putt_posture.errors import ArchiveError
from putt_posture.measures import MEASURES
from putt_posture.measures.trunk import SPINE_TILT

pytestmark = pytest.mark.usefixtures("no_others")

STILL = "stills/face_on.png"


def digest_of(archive, lesson, name=STILL):
    with archive.read() as session:
        return session.get(LessonFile, (lesson, name)).digest


def told(archive, **how):
    return [(each.kind, each.says) for each in check_archive(archive, **how)]


def change(archive, statement):
    with archive.write() as session:
        session.execute(statement)


@pytest.fixture
def other(archive, player, lesson, stored):
    """A second lesson, of which nothing may ever be said."""
    return file_one(archive, player, make_lesson_of(stored, tag="other", shift=4.0))


def test_nothing_is_found_in_an_archive_that_is_whole(archive, lesson, other):
    assert told(archive) == []


def test_a_lesson_needs_no_row_for_a_measure_that_a_later_version_added(archive, lesson, other):
    added = {"name": "lean", "title": "Lean", "order": 5, "sketches": {}}
    with MEASURES.trying(evolve(SPINE_TILT, **added, since="99.0")):
        assert told(archive) == []
    with MEASURES.trying(evolve(SPINE_TILT, **added)):
        assert told(archive) == [("incomplete", f"Lesson {each} has no row for lean.") for each in (lesson, other)]


def test_a_missing_file_is_named_with_whose_it_is(archive, player, lesson, other):
    digest = digest_of(archive, lesson)
    archive.files.path_of(digest).unlink()
    expected = [
        ("missing", f"The file {digest} is missing: {STILL} of lesson {lesson} (student {player})."),
    ]
    assert told(archive) == expected
    assert told(archive, read_files=False) == expected


def test_a_missing_file_that_two_lessons_know_is_named_with_both(archive, player, lesson, other):
    digest = digest_of(archive, lesson, "landmarks.npz")
    archive.files.path_of(digest).unlink()
    ((kind, says),) = told(archive)
    assert kind == "missing"
    assert f"landmarks.npz of lesson {lesson} (student {player}), landmarks.npz of lesson {other}" in says


@pytest.mark.parametrize("content", [b"", still_of("fiRst"), still_of("first") + b" "])
def test_an_altered_file_is_named_with_whose_it_is(archive, player, lesson, other, content):
    digest = digest_of(archive, lesson)
    path = archive.files.path_of(digest)
    assert path.read_bytes() == still_of("first")
    path.write_bytes(content)
    assert told(archive) == [
        ("altered", f"The file {digest} was altered: {STILL} of lesson {lesson} (student {player}).")
    ]
    assert told(archive, read_files=False) == []


def test_a_file_that_belongs_to_nothing_is_named(archive, lesson, other):
    digest = "ab" * 32
    path = archive.files.path_of(digest)
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(b"whose?")
    assert told(archive) == [("orphaned", f"The file {digest} belongs to nothing in the archive.")]


@pytest.mark.parametrize("name", ["holiday.jpg", "ab/notes.txt", f"ab/{'cd' * 32}", "deep/er/still"])
def test_a_file_that_is_none_of_the_archives_is_named(archive, lesson, other, name):
    path = Path(archive.files.folder) / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(b"stray")
    assert told(archive) == [("orphaned", f"The file {name} in {archive.files.title} does not belong to the archive.")]


def test_a_row_of_a_file_that_no_lesson_knows_is_named(archive, player, lesson, other):
    digest = digest_of(archive, lesson)
    change(archive, delete(LessonFile).where(LessonFile.name == STILL, LessonFile.lesson_id == lesson))
    assert told(archive) == [("orphaned", f"The file {digest} is kept, but no lesson uses it.")]


@pytest.mark.parametrize(
    ("statement", "says"),
    [
        (lambda lesson: delete(FitRow).where(FitRow.lesson_id == lesson), "has no fit."),
        (
            lambda lesson: delete(MeasureRow).where(MeasureRow.lesson_id == lesson, MeasureRow.name == "balance"),
            "has no row for balance.",
        ),
    ],
)
def test_half_a_lesson_is_named(archive, lesson, other, statement, says):
    change(archive, statement(lesson))
    assert told(archive) == [("incomplete", f"Lesson {lesson} {says}")]


def test_a_lesson_without_its_document_is_named(archive, lesson, other):
    name = LessonFile.name == "measures.json"
    change(archive, delete(LessonFile).where(LessonFile.lesson_id == lesson, name))
    assert ("incomplete", f"Lesson {lesson} has no measures.json.") in told(archive)


@pytest.mark.parametrize(
    "statement",
    [
        delete(SummaryRow),
        update(SummaryRow).values(lessons=7),
        update(SummaryRow).values(drifted=1, drifts=["balance"]),
        update(SummaryRow).values(last_day=text("'2020-01-01'")),
    ],
)
def test_an_overview_that_is_out_of_step_is_named(archive, player, lesson, other, statement):
    change(archive, statement)
    assert told(archive) == [("out of step", f"The overview of student {player} does not agree with the lessons.")]


def test_a_row_that_belongs_to_nothing_is_named(folder_archive):
    with closing(sqlite3.connect(folder_archive.place.folder / "archive.sqlite")) as connection, connection:
        connection.execute("INSERT INTO name_words (word, student_id) VALUES ('ghost', 77)")
    assert told(folder_archive) == [
        ("database", "A row of name_words belongs to nothing in students."),
        ("altered", "The words to find student 77 were not filed by this program."),
    ]


def test_a_damaged_database_is_named(folder_archive, stored):
    number = add_player(folder_archive)
    for each in range(6):
        file_one(folder_archive, number, make_lesson_of(stored, tag=f"lesson {each}"))
    folder = folder_archive.place.folder
    folder_archive.close()
    path = folder / "archive.sqlite"
    content = bytearray(path.read_bytes())
    page = 4096
    start = len(content) // 2 // page * page
    content[start : start + page // 2] = b"\xa5" * (page // 2)
    path.write_bytes(content)
    try:
        with open_archive(folder) as again:
            found = told(again)
    except ArchiveError as error:
        found = [("database", str(error))]
    assert found
    assert {kind for kind, _ in found} == {"database"}
    assert all("Restore it from a backup" in says for _, says in found)


def test_what_is_no_database_is_one_sentence(folder_archive):
    folder = folder_archive.place.folder
    folder_archive.close()
    (folder / "archive.sqlite").write_bytes(b"not a database at all, " * 400)
    with pytest.raises(
        ArchiveError, match=r"file is not a database\)\. Nothing was changed\. Restore it from a backup"
    ):
        open_archive(folder)


def test_what_is_on_its_way_is_not_called_an_orphan(archive, lesson, other):
    """Somebody is bringing a file in while the archive is checked."""
    with adding_files(archive) as pending:
        pending.add({"new": b"new file"})
        assert told(archive) == []
    assert told(archive) == []


def once(act):
    """Return a function that does it the first time alone."""
    left = [act]
    return lambda: left.pop()() if left else None


@pytest.mark.parametrize("when", ["before the files are listed", "after"])
@pytest.mark.parametrize("what", ["filing", "erasing"])
def test_what_others_file_and_erase_meanwhile_is_not_reported(archive, player, lesson, other, stored, when, what):
    def meanwhile():
        if what == "filing":
            file_one(archive, player, make_lesson_of(stored, tag="meanwhile", shift=1.0))
        else:
            erase_lesson(archive, other)

    store, act = archive.files, once(meanwhile)
    digests = store.digests

    def listed():
        if when.startswith("before"):
            act()
        found = list(digests())
        act()
        return iter(found)

    store.digests = listed
    assert told(archive) == []


def test_a_file_whose_size_is_not_what_the_archive_says_is_named(archive, lesson):
    digest = digest_of(archive, lesson)
    change(archive, update(FileRow).where(FileRow.digest == digest).values(size=7))
    size = len(still_of("first"))
    assert told(archive) == [("altered", f"The file {digest} has {size} bytes, and the archive says that it has 7.")]
