"""A process that is killed at any of its writes leaves an archive that is whole."""

import hashlib
import json
import re
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from attrs import evolve
from dying import die_at_each_write
from filed import TODAY, add_player, file_one, make_clips, make_lesson_of
from places import copy_folder, in_folder, server_of
from wholeness import assert_whole

from putt_posture.archive import (
    add_practice_test,
    add_student,
    back_up,
    erase_student,
    find_faces_to_hide,
    find_students,
    hide_kept_faces,
    load_erasures,
    load_history,
    load_lesson,
    load_lessons,
    restore,
    withdraw_consent,
)
from putt_posture.archive.db.tables import StudentRow
from putt_posture.archive.people.erasing import erase_pictures
from putt_posture.archive.place import DATABASE_FILE
from putt_posture.values import PracticeTest, PuttCount, Student

pytestmark = pytest.mark.usefixtures("quick_forks")

MANY_FILES = 5
"""Writes from one kill to the next where an act writes more than a hundred, most of them one file like another."""

IN_PLACE = {"sqlite": 1, "postgresql": 3}
"""The same where an act writes less. A server's files cannot be copied, so that the act is done anew for each kill."""

COUNTS = (PuttCount(distance_cm=150.0, tried=10, holed=9), PuttCount(distance_cm=300.0, tried=10, holed=4))


@pytest.fixture(scope="module")
def lessons(stored, tmp_path_factory):
    """Two lessons, each with one clip."""
    folder = tmp_path_factory.mktemp("clips")
    made = {}
    for tag in ("first", "second"):
        clips = {"face_on": make_clips(folder, tag)["face_on"]}
        made[tag] = make_lesson_of(stored, tag=tag, clips=clips), clips
    return made


@pytest.fixture(scope="module")
def begun(made, lessons, tmp_path_factory):
    """The folder of an archive with a student and a lesson."""
    folder = tmp_path_factory.mktemp("begun") / "archive"
    with copy_folder(made, folder).open() as archive:
        file_named(archive, add_player(archive), lessons, "first")
    return folder


def file_named(archive, number, lessons, tag):
    lesson, clips = lessons[tag]
    return file_one(archive, number, lesson, clips=clips)


@pytest.fixture
def begin_anew(place, lessons, beginnings, request):
    """What puts the archive back to one or two students with a lesson each, whichever database it is in."""
    databases = server_of(request) if place.kind == "postgresql" else None

    def fill(archive, students):
        for name, tag in (("Parker Puttwell", "first"), ("Casey Cupp", "second"))[:students]:
            file_named(archive, add_player(archive, name=name), lessons, tag)

    def begin(students=1):
        title = f"to be killed, students: {students}"
        beginnings.put(place, title, lambda archive: fill(archive, students), databases=databases)

    return begin


def files_in(place, every_write):
    """All that an act writes to, where what a kill leaves may be copied from one run: of all writes, and no server."""
    return (Path(place.archive),) if every_write and place.kind == "sqlite" else ()


def test_a_copy_made_before_a_write_is_what_a_process_leaves_that_is_killed_there(begun, lessons, tmp_path):
    """So that the tests of every write may do an act once; see `dying`."""
    place = in_folder(tmp_path / "archive")

    def act():
        with place.open() as archive:
            file_named(archive, 1, lessons, "second")

    def prepare():
        copy_folder(begun, tmp_path / "archive")
        return act

    killed = {at: left_in(place) for at in die_at_each_write(prepare, writes=50, every=19)}
    copied = {
        at: left_in(place) for at in die_at_each_write(prepare, writes=50, every=19, once_in=[tmp_path / "archive"])
    }
    assert copied.keys() <= killed.keys()
    like = None
    for at, left in killed.items():
        like = copied.get(at, like)  # where nothing changed since the one before, there is no copy
        assert left == like, at
    assert len({json.dumps(each) for each in killed.values()}) > 3


def left_in(place):
    """All rows, and all files but those that belong to the database; the names of runs are made up anew by each."""
    with closing(sqlite3.connect(f"file:{place.archive}/{DATABASE_FILE}?mode=ro", uri=True)) as connection:
        rows = list(connection.iterdump())
    files = {
        path.relative_to(place.archive).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in sorted(Path(place.archive).rglob("*"))
        if path.is_file() and not path.name.startswith(DATABASE_FILE)
    }
    return json.loads(re.sub(r"\b[0-9a-f]{16}\b", "token", json.dumps([rows, files])))


def test_filing_is_all_or_nothing(place, begin_anew, lessons, every_write):
    def act():
        with place.open() as archive:
            file_named(archive, 1, lessons, "second")

    def prepare():
        begin_anew()
        return act

    seen = set()
    every = IN_PLACE[place.kind] if every_write else 13
    for at in die_at_each_write(prepare, writes=50, every=every, once_in=files_in(place, every_write)):
        with place.open() as archive:
            assert_whole(archive)
            filed = len(load_lessons(archive, 1)) - 1
            seen.add(filed)
            if not filed and (every_write or at % 2 == 1):
                file_named(archive, 1, lessons, "second")
                assert_whole(archive)
            assert {len(each.names) for each in load_lessons(archive, 1)} == {6}
    assert seen == {0, 1}


def test_erasing_a_student_is_all_or_nothing(place, begin_anew, lessons, every_write):
    def act():
        with place.open() as archive:
            erase_student(archive, 1, today=TODAY, reason="asked")

    def prepare():
        begin_anew(students=2)
        return act

    seen = set()
    every = IN_PLACE[place.kind] if every_write else 11
    for _ in die_at_each_write(prepare, writes=35, every=every, once_in=files_in(place, every_write)):
        with place.open() as archive:
            assert_whole(archive)
            there = bool(find_students(archive, "parker"))
            seen.add(there)
            if there:
                assert len(load_lessons(archive, 1)[0].names) == 6
                erase_student(archive, 1, today=TODAY, reason="asked")
                assert_whole(archive)
            assert len(load_erasures(archive)) == 1
            assert len(load_lessons(archive, 2)[0].names) == 6
    assert seen == {False, True}


def test_erasing_pictures_is_all_or_nothing(begun, tmp_path, every_write):
    place = in_folder(tmp_path / "archive")

    def act():
        with place.open() as archive:
            erase_pictures(archive, [1])

    def prepare():
        copy_folder(begun, tmp_path / "archive")
        return act

    seen = set()
    every = 1 if every_write else 9
    for _ in die_at_each_write(prepare, writes=30, every=every, once_in=files_in(place, every_write)):
        with place.open() as archive:
            assert_whole(archive)
            seen.add(len(load_lesson(archive, 1).names))
            erase_pictures(archive, [1])
            assert load_lesson(archive, 1).names == ("measures.csv", "measures.json")
            assert_whole(archive)
    assert seen == {2, 6}


def test_hiding_heads_is_all_or_nothing(begun, tmp_path, every_write):
    """Killed at any write, the lesson is as it was or hidden whole, and its old files are gone in that case."""
    place = in_folder(tmp_path / "archive")

    def hide(archive):
        hide_kept_faces(archive, find_faces_to_hide(archive, today=TODAY), today=TODAY)

    def act():
        with place.open() as archive:
            hide(archive)

    def prepare():
        copy_folder(begun, tmp_path / "archive")
        with place.open() as archive:
            withdraw_consent(archive, 1, scopes=["faces"], on=TODAY)
        return act

    seen = set()
    every = 1 if every_write else 9
    for _ in die_at_each_write(prepare, writes=30, every=every, once_in=files_in(place, every_write)):
        with place.open() as archive:
            assert_whole(archive)
            names = load_lesson(archive, 1).names
            seen.add(len(names))
            assert bool(find_faces_to_hide(archive, today=TODAY)) == ("clips/face_on.mov" in names)
            hide(archive)
            assert_whole(archive)
            names = load_lesson(archive, 1).names
            assert "clips/face_on.mov" not in names
            assert {"measures.json", "landmarks.npz"} <= set(names)
    assert len(seen) == 2


@pytest.mark.parametrize("what", ["student", "practice test"])
def test_adding_is_all_or_nothing(begun, tmp_path, what, every_write):
    place = in_folder(tmp_path / "archive")

    def add(archive):
        if what == "student":
            about = Student(name="Casey Cupp", stature_cm=180.0, handed="left")
            add_student(archive, about, today=TODAY, adult=True)
        else:
            add_practice_test(archive, 1, day=TODAY, counts=COUNTS, today=TODAY)

    def count(archive):
        if what == "student":
            found = find_students(archive, "casey")
            assert found == find_students(archive, "cupp")
            return len(found)
        tests = load_history(archive, 1, today=TODAY).practice
        assert [evolve(each, number=None) for each in tests] in ([], [PracticeTest(day=TODAY, counts=COUNTS)])
        return len(tests)

    def act():
        with place.open() as archive:
            add(archive)

    def prepare():
        copy_folder(begun, tmp_path / "archive")
        return act

    every = 1 if every_write else 4
    for _ in die_at_each_write(prepare, writes=6, every=every, once_in=files_in(place, every_write)):
        with place.open() as archive:
            assert_whole(archive)
            if count(archive) == 0:
                add(archive)
            assert count(archive) == 1


def test_making_an_archive_is_all_or_nothing(tmp_path, every_write):
    spare = tmp_path / "spare"

    def act():
        in_folder(spare).open().close()

    def prepare():
        shutil.rmtree(spare, ignore_errors=True)
        return act

    once_in = (spare,) if every_write else ()
    for _ in die_at_each_write(prepare, writes=40, every=1 if every_write else 13, once_in=once_in):
        with in_folder(spare).open() as archive:
            assert_whole(archive)


def test_a_killed_backup_leaves_the_archive_as_it_was_and_no_half_backup(begun, tmp_path, every_write):
    place, goal = copy_folder(begun, tmp_path / "archive"), tmp_path / "backups" / "backup"
    goal.parent.mkdir()

    def act():
        with place.open() as archive:
            back_up(archive, goal, today=TODAY)

    def prepare():
        shutil.rmtree(goal, ignore_errors=True)
        return act

    every, once_in = (MANY_FILES, (Path(place.archive), goal.parent)) if every_write else (75, ())
    for at in die_at_each_write(prepare, writes=120, every=every, once_in=once_in):
        with place.open() as archive:
            assert_whole(archive)
            was_there = goal.exists()
            if not was_there:
                assert not any(goal.parent.glob("[!.]*"))
                back_up(archive, goal, today=TODAY)
        if was_there or at == 1:
            again = tmp_path / f"again_{at}"
            restore(goal, archive=again)
            with in_folder(again).open() as archive:
                assert_whole(archive)
                assert len(load_lessons(archive, 1)[0].names) == 6


def test_restoring_is_all_or_nothing_and_can_be_done_again(begun, tmp_path, every_write):
    with copy_folder(begun, tmp_path / "archive").open() as archive:
        back_up(archive, tmp_path / "backup", today=TODAY)
    place = in_folder(tmp_path / "again")

    def prepare():
        shutil.rmtree(tmp_path / "again", ignore_errors=True)
        return lambda: restore(tmp_path / "backup", archive=tmp_path / "again")

    seen = set()
    every = MANY_FILES if every_write else 75
    for _ in die_at_each_write(prepare, writes=120, every=every, once_in=files_in(place, every_write)):
        with place.open() as archive:
            assert_whole(archive)
            with archive.read() as session:
                there = session.get(StudentRow, 1) is not None
        seen.add(there)
        if not there:
            restore(tmp_path / "backup", archive=tmp_path / "again")
        with place.open() as archive:
            assert_whole(archive)
            assert len(load_lessons(archive, 1)[0].names) == 6
