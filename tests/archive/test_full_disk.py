"""A disk that is full is one sentence, and everything stays as it was."""

import errno
import os
import shutil
import subprocess
import sys
from contextlib import suppress

import pytest
from filed import NAME, TODAY, add_player, file_one, make_clips, make_lesson_of
from places import copy_folder
from sqlalchemy import event

from putt_posture.archive import (
    LessonNotes,
    add_practice_test,
    add_student,
    back_up,
    check_archive,
    erase_student,
    find_students,
    load_lessons,
    load_student,
    open_archive,
    restore,
)
from putt_posture.archive.files.file_store import FolderStore
from putt_posture.archive.files.reserve import RESERVE_FILE, keep_reserve
from putt_posture.errors import ArchiveError
from putt_posture.values import PuttCount, Student

ROOM_LEFT = 1
"""Pages of the database that are still to be had."""


@pytest.fixture
def full_store(monkeypatch):
    """After how many files the disk is full; to be called with a number, or None where there is room again."""

    def fill(after):
        left = after

        def copy(self, source, part, digest, _copy=FolderStore._copy):
            nonlocal left
            if left == 0:
                part.write_bytes(b"half")
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
            left -= 1
            return _copy(self, source, part, digest)

        monkeypatch.undo()
        if after is not None:
            monkeypatch.setattr(FolderStore, "_copy", copy)

    return fill


def limit_database(archive, pages):
    """Let the database grow by so many pages and no more; None for as many as it likes."""
    with archive.engine.connect() as connection:
        there = connection.exec_driver_sql("PRAGMA page_count").scalar()
    most = 2**30 if pages is None else there + pages
    event.listen(archive.engine, "checkout", lambda raw, _record, _proxy: raw.execute(f"PRAGMA max_page_count={most}"))


def dump(archive):
    with archive.engine.connect() as connection:
        return list(connection.connection.driver_connection.iterdump())


def files_of(archive):
    return sorted(path.name for path in archive.files.folder.rglob("*") if path.is_file())


@pytest.mark.parametrize("after", [0, 1, 3])
def test_a_store_without_room_files_nothing_and_says_so(archive, player, lesson, stored, tmp_path, full_store, after):
    before = files_of(archive)
    clips = make_clips(tmp_path / "more", "second")
    another = make_lesson_of(stored, tag="second", clips=clips)
    full_store(after)
    with pytest.raises(
        ArchiveError, match=r"cannot be written to .* \(no space left on device\)\. Nothing was changed"
    ) as said:
        file_one(archive, player, another, clips=clips)
    assert "Nothing was changed. Make room on the disk and try again." in str(said.value)
    assert "\n" not in str(said.value)
    assert len(load_lessons(archive, player)) == 1
    assert files_of(archive) == before
    assert check_archive(archive) == ()
    full_store(None)
    file_one(archive, player, another, clips=clips)
    assert len(load_lessons(archive, player)) == 2
    assert check_archive(archive) == ()


def test_a_database_without_room_files_nothing_and_says_so(folder_archive, stored, tmp_path):
    number = add_player(folder_archive)
    another = make_lesson_of(stored, tag="only", clips=None)
    before, files = dump(folder_archive), files_of(folder_archive)
    limit_database(folder_archive, ROOM_LEFT)
    with pytest.raises(ArchiveError, match=r"\(database or disk is full\)\. Nothing was changed\. Make room"):
        file_one(folder_archive, number, another, notes=LessonNotes(notes="long " * 9000))
    assert dump(folder_archive) == before
    assert files_of(folder_archive) == files
    assert check_archive(folder_archive) == ()
    limit_database(folder_archive, None)
    file_one(folder_archive, number, another)
    assert check_archive(folder_archive) == ()


@pytest.mark.parametrize(
    "act",
    [
        lambda archive, number: add_student(
            archive,
            Student(name="Casey Cupp", stature_cm=180, handed="left"),
            today=TODAY,
            adult=True,
            notes="x" * 90000,
        ),
        lambda archive, number: add_practice_test(
            archive,
            number,
            day=TODAY,
            counts=[PuttCount(distance_cm=each, tried=9, holed=1) for each in range(1, 3000)],
            today=TODAY,
        ),
    ],
    ids=["student", "practice test"],
)
def test_a_database_without_room_adds_nothing_and_says_so(folder_archive, act):
    number = add_player(folder_archive)
    before = dump(folder_archive)
    limit_database(folder_archive, ROOM_LEFT)
    with pytest.raises(ArchiveError, match="database or disk is full"):
        act(folder_archive, number)
    assert dump(folder_archive) == before
    assert check_archive(folder_archive) == ()


def test_a_student_is_erased_where_the_database_may_not_grow(folder_archive, stored):
    number = add_player(folder_archive)
    file_one(folder_archive, number, make_lesson_of(stored, tag="only"))
    limit_database(folder_archive, 0)
    erase_student(folder_archive, number, today=TODAY, reason="asked")
    assert find_students(folder_archive, NAME) == ()
    assert files_of(folder_archive) == []
    assert check_archive(folder_archive) == ()


def test_a_backup_without_room_leaves_nothing_behind(archive, lesson, tmp_path, full_store):
    goal = tmp_path / "backups" / "backup"
    goal.parent.mkdir()
    full_store(2)
    with pytest.raises(ArchiveError, match="no space left on device"):
        back_up(archive, goal, today=TODAY)
    assert list(goal.parent.iterdir()) == []
    full_store(None)
    back_up(archive, goal, today=TODAY)


@pytest.mark.whole
def test_a_restore_without_room_leaves_an_archive_in_which_nothing_is(
    archive, lesson, player, tmp_path, full_store, nowhere_else
):
    back_up(archive, tmp_path / "backup", today=TODAY)
    full_store(2)
    with pytest.raises(ArchiveError, match="no space left on device"):
        restore(tmp_path / "backup", **nowhere_else.where)
    with nowhere_else.open() as again:
        assert files_of(again) == []
        assert find_students(again, NAME) == ()
    full_store(None)
    restore(tmp_path / "backup", **nowhere_else.where)
    with nowhere_else.open() as again:
        assert load_student(again, player).name == NAME
        assert check_archive(again) == ()


@pytest.fixture
def small_disk(tmp_path):
    """A disk of 24 MB of its own, for what only a disk that is really full shows."""
    disk = tmp_path / "disk"
    disk.mkdir()
    if (
        sys.platform != "linux"
        or subprocess.run(
            ["mount", "-t", "tmpfs", "-o", "size=24m", "tmpfs", disk], capture_output=True, check=False
        ).returncode
    ):
        pytest.skip("nothing can be mounted here; as root on Linux it can")
    yield disk
    subprocess.run(["umount", "--lazy", disk], check=True)


def fill_up(disk):
    with open(disk / "of_others", "ab", buffering=0) as stream, suppress(OSError):
        while True:
            stream.write(bytes(4096))
    assert shutil.disk_usage(disk).free == 0


def traces(folder):
    """Return where the words of the erased student still stand, in whatever file."""
    words = (b"Parker", b"parker", b"puttwell", b"of hers alone", b"lesson hers")
    every = [path for path in folder.rglob("*") if path.is_file()]
    return [(path.name, word) for path in every for word in words if word in path.read_bytes()]


HERS = 1
"""The number of the first student of `filled`."""


@pytest.fixture(scope="module")
def filled(made, stored, tmp_path_factory):
    """The folder of an archive with lessons of two students, with notes that make its database 6 MB large."""
    place = copy_folder(made, tmp_path_factory.mktemp("filled") / "archive")
    with place.open() as archive:
        hers, other = add_player(archive), add_player(archive, name="Casey Cupp")
        assert hers == HERS
        for each in range(32):
            whose, number = ("hers", hers) if each % 2 else ("other", other)
            notes = " ".join(
                f"{each} {line} of {'hers alone' if whose == 'hers' else 'somebody'}" for line in range(4400)
            )
            said = LessonNotes(notes=notes, putter_story=notes)
            file_one(archive, number, make_lesson_of(stored, tag=f"{whose} {each}"), notes=said)
    return place.archive


@pytest.fixture
def folder(small_disk, filled):
    """A copy of it on the small disk."""
    return shutil.copytree(filled, small_disk / "archive")


def test_a_student_is_erased_to_the_last_byte_on_a_disk_that_is_full(small_disk, folder):
    assert traces(folder)
    assert (folder / "archive.sqlite").stat().st_size > 6_000_000
    fill_up(small_disk)
    with open_archive(folder) as archive:
        assert [each.number for each in find_students(archive, "park")] == [HERS]
        fill_up(small_disk)
        erase_student(archive, HERS, today=TODAY, reason="asked")
        assert traces(folder) == []
        assert find_students(archive, NAME) == ()
        assert check_archive(archive) == ()
    assert traces(folder) == []
    assert (folder / RESERVE_FILE).stat().st_size > (folder / "archive.sqlite").stat().st_size


@pytest.mark.whole
def test_the_command_erases_on_a_disk_that_is_full(small_disk, folder):
    fill_up(small_disk)
    words = ["archive", "erase", HERS, "--reason", "asked", "--yes", "--archive", folder]
    done = subprocess.run(
        [sys.executable, "-m", "putt_posture", *map(str, words)], capture_output=True, text=True, check=False
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert traces(folder) == []


@pytest.mark.whole
def test_where_there_is_no_room_at_all_it_is_said_what_is_left_and_done_when_there_is(small_disk, folder):

    def fill_up_before(statement):
        if statement == "VACUUM":
            fill_up(small_disk)  # others took what the reserve had been

    with open_archive(folder) as archive:
        event.listen(archive.engine, "before_cursor_execute", lambda *about: fill_up_before(about[2]))
        with pytest.raises(
            ArchiveError, match=r"is erased, but .* as the disk is full: .* Make \d+ MB of room"
        ) as said:
            erase_student(archive, HERS, today=TODAY, reason="asked")
        assert "\n" not in str(said.value)
        assert find_students(archive, NAME) == ()
    (small_disk / "of_others").unlink()
    open_archive(folder).close()
    assert traces(folder) == []


def test_the_reserve_is_as_large_as_the_database_and_goes_for_an_erasure(folder_archive):
    path = folder_archive.place.folder / RESERVE_FILE
    size = path.stat().st_size
    assert (folder_archive.place.folder / "archive.sqlite").stat().st_size < size
    assert path.read_bytes() == bytes(size)
    number = add_player(folder_archive)
    there = []
    event.listen(folder_archive.engine, "commit", lambda _connection: there.append(path.exists()))
    erase_student(folder_archive, number, today=TODAY, reason="asked")
    assert there[0] is False
    assert path.exists()


def test_the_reserve_does_not_fill_a_disk(folder_archive, monkeypatch):
    path = folder_archive.place.folder / RESERVE_FILE
    size = path.stat().st_size
    usage = shutil.disk_usage(path)
    for free, had, wanted in ((size, 0, None), (size, size, size), (size // 2, size, size // 2), (2 * size, 0, size)):
        path.unlink(missing_ok=True)
        monkeypatch.setattr(shutil, "disk_usage", lambda _place, free=free: usage._replace(free=free))
        keep_reserve(folder_archive.place, had=had)
        assert (path.stat().st_size if path.exists() else None) == wanted
