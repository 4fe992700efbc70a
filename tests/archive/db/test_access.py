"""Everything with people in it is its owner's alone; an archive that can only be read is read, and left as it is."""

import os
import sqlite3
import stat
import subprocess
import sys
from contextlib import contextmanager

import pytest
from filed import NAME, TODAY, add_player, file_one, make_clips, make_lesson_of

from putt_posture.archive import (
    add_student,
    back_up,
    change_settings,
    check_archive,
    erase_student,
    export_archive,
    export_student,
    find_students,
    load_history,
    load_overview,
    load_student,
    open_archive,
    open_lesson,
    restore,
    store_student_history,
    upgrade_archive,
)
from putt_posture.archive.db import access
from putt_posture.errors import ArchiveError
from putt_posture.values import Student

posix = pytest.mark.skipif(os.name != "posix", reason="rights of others are a matter of POSIX")


@pytest.fixture(params=[0o000, *(pytest.param(each, marks=pytest.mark.whole) for each in (0o022, 0o077))], ids=oct)
def mask(request):
    before = os.umask(request.param)
    yield request.param
    os.umask(before)


@pytest.fixture
def filled(folder_archive, stored, tmp_path):
    """A closed archive in a folder, with one student and a lesson."""
    number = add_player(folder_archive)
    clips = make_clips(tmp_path / "clips", "first")
    file_one(folder_archive, number, make_lesson_of(stored, tag="first", clips=clips), clips=clips)
    folder_archive.close()
    return folder_archive.place.folder


def modes(*tops):
    """Return what others may do with each file and folder, where it is anything."""
    every = [each for top in tops for each in (top, *top.rglob("*"))]
    return {str(each): oct(stat.S_IMODE(each.lstat().st_mode)) for each in every if each.lstat().st_mode & 0o077}


@posix
@pytest.mark.usefixtures("mask")
def test_everything_with_people_in_it_is_its_owners_alone(nowhere, nowhere_else, stored, tmp_path):
    with nowhere.open() as archive:
        number = add_player(archive)
        clips = make_clips(tmp_path / "clips", "first")
        file_one(archive, number, make_lesson_of(stored, tag="first", clips=clips), clips=clips)
        out = tmp_path / "out"
        export_student(archive, number, out / "one.zip", today=TODAY)
        export_archive(archive, out / "tables", today=TODAY, names=True, landmarks=True)
        store_student_history(archive, number, out / "history", today=TODAY)
        back_up(archive, out / "backup", today=TODAY)
        token = "0123456789abcdef"
        with archive.files.claim(token):
            (archive.files.folder / "incoming").mkdir(exist_ok=True)
            mine = [nowhere.files] if nowhere.kind == "postgresql" else [nowhere.files.parent]
            with archive.read() as session:
                find_students(archive, NAME)
                session.connection()
                assert modes(*mine) == {}
    restore(out / "backup", **nowhere_else.where)
    written = [out / each for each in ("one.zip", "tables", "history", "backup")]
    assert modes(*written, nowhere_else.files.parent) == {}


@posix
def test_an_archive_that_let_others_in_does_no_longer_once_it_is_opened_and_checked(filled):
    for path in (filled, *filled.rglob("*")):
        path.chmod(0o755 if path.is_dir() else 0o644)
    loose = len(modes(filled))
    with open_archive(filled) as opened:
        assert opened.closed == 3  # its folder, the database, the folder of the files
        assert access.close_archive(opened.place) == loose - 3
        assert modes(filled) == {}
        assert check_archive(opened) == ()
        assert access.close_archive(opened.place) == 0


@contextmanager
def only_to_be_read(folder, monkeypatch, kind):
    """Let a folder be one in which nothing can be written, as well as it can be done here."""
    if kind == "told":  # whoever may do everything may write in spite of the rights; so it is told otherwise
        with monkeypatch.context() as patch:
            patch.setattr(access.os, "access", lambda path, mode: mode != os.W_OK)
            yield
        return
    if os.name != "posix" or os.geteuid() != 0:
        for path in (folder, *folder.rglob("*")):
            path.chmod(0o500 if path.is_dir() else 0o400)
        yield
        for path in (folder, *folder.rglob("*")):
            path.chmod(0o700 if path.is_dir() else 0o600)
        return
    if subprocess.run(["mount", "--bind", folder, folder], capture_output=True, check=False).returncode:
        pytest.skip("nothing can be mounted here")
    try:
        subprocess.run(["mount", "-o", "remount,ro,bind", folder], check=True)
        yield
    finally:
        subprocess.run(["umount", "--lazy", folder], check=True)


def contents(folder):
    return {str(path): (path.stat().st_mtime_ns, path.read_bytes()) for path in folder.rglob("*") if path.is_file()}


@pytest.mark.parametrize("kind", ["told", "mounted"])
def test_an_archive_that_can_only_be_read_is_read_and_stays_as_it_is(filled, tmp_path, monkeypatch, kind):
    before = contents(filled)
    with only_to_be_read(filled, monkeypatch, kind):
        with open_archive(filled) as opened:
            assert opened.read_only
            assert load_student(opened, 1).name == NAME
            assert [each.number for each in find_students(opened, "park")] == [1]
            assert len(load_history(opened, 1, today=TODAY).visits) == 1
            assert len(load_overview(opened, today=TODAY).seen) == 1
            assert open_lesson(opened, 1, today=TODAY).read("report.html")
            assert check_archive(opened) == ()
            export_student(opened, 1, tmp_path / "one.zip", today=TODAY)
            export_archive(opened, tmp_path / "tables", today=TODAY)
            store_student_history(opened, 1, tmp_path / "history", today=TODAY)
            back_up(opened, tmp_path / "backup", today=TODAY)
        assert contents(filled) == before
    restore(tmp_path / "backup", archive=tmp_path / "again")
    with open_archive(tmp_path / "again") as again:
        assert not again.read_only
        assert load_student(again, 1).name == NAME


@pytest.mark.parametrize("kind", ["told", "mounted"])
def test_an_archive_that_can_only_be_read_refuses_to_be_written_in_one_sentence(
    filled, stored, tmp_path, monkeypatch, kind
):
    before = contents(filled)
    acts = [
        lambda it: add_student(it, Student(name="X", stature_cm=180, handed="left"), today=TODAY, adult=True),
        lambda it: file_one(it, 1, make_lesson_of(stored, tag="two")),
        lambda it: erase_student(it, 1, today=TODAY, reason="asked"),
        lambda it: change_settings(it, revisit_weeks=3),
    ]
    with only_to_be_read(filled, monkeypatch, kind):
        for act in acts:
            with open_archive(filled) as opened, pytest.raises(ArchiveError, match="can only be read here") as said:
                act(opened)
            assert "\n" not in str(said.value)
        with pytest.raises(ArchiveError, match="can only be read here"):
            upgrade_archive(filled)
        assert contents(filled) == before


def test_a_log_that_was_left_is_read_as_well(filled, monkeypatch):
    """A program that was killed leaves the log of the database with what it wrote last."""
    script = (
        "import os, sqlite3, sys\n"
        "c = sqlite3.connect(sys.argv[1]); c.execute('PRAGMA wal_autocheckpoint=0')\n"
        "c.execute(\"UPDATE students SET name = 'Casey Cupp'\"); c.commit(); os._exit(0)\n"
    )
    subprocess.run([sys.executable, "-c", script, filled / "archive.sqlite"], check=True)
    assert (filled / "archive.sqlite-wal").stat().st_size > 0
    with only_to_be_read(filled, monkeypatch, "mounted"), open_archive(filled) as opened:
        assert load_student(opened, 1).name == "Casey Cupp"


def test_a_log_that_cannot_be_read_is_one_sentence(filled, monkeypatch):
    (filled / "archive.sqlite-wal").mkdir()
    with (
        only_to_be_read(filled, monkeypatch, "told"),
        pytest.raises(ArchiveError, match="unable to open") as said,
        open_archive(filled) as opened,
    ):
        load_student(opened, 1)
    assert "\n" not in str(said.value)


@posix
def test_an_archive_on_a_disk_that_is_mounted_to_be_read_is_seen_as_such(filled, monkeypatch):
    with only_to_be_read(filled, monkeypatch, "mounted"), open_archive(filled) as opened:
        assert opened.read_only
        with pytest.raises(sqlite3.OperationalError):
            opened.engine.raw_connection().execute("DELETE FROM students")
