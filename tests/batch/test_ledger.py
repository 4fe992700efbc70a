"""The work folder: what is noted and kept in it, for whom, and for how long."""

import os
import sqlite3
import stat
import time
from datetime import date
from pathlib import Path

import pytest

from putt_posture.archive.place import find_place
from putt_posture.batch import Ledger, LedgerEntry, find_work_folder
from putt_posture.batch.ledger import key_of
from putt_posture.errors import OutputError, UsageError
from putt_posture.values import Student

FILES = {"measures.json": b"{}", "stills/face_on.png": b"\x89PNG"}
ENTRY = LedgerEntry(state="filed", lesson=7, tries=2, method="0.1.0")


@pytest.fixture
def work(tmp_path):
    return tmp_path / "work"


def test_what_is_noted_is_there_when_it_is_opened_again(work):
    with Ledger(work) as ledger:
        assert ledger.find("a") is None
        ledger.write("a", ENTRY)
    with Ledger(work) as ledger:
        assert ledger.find("a") == ENTRY


def test_what_was_measured_is_there_until_it_is_removed(work):
    with Ledger(work) as ledger:
        ledger.keep_measured("key", "name", FILES)
    with Ledger(work) as ledger:
        assert ledger.load_measured("key", "name") == FILES
        ledger.remove_measured("key")
        ledger.remove_measured("key")
        assert ledger.load_measured("key", "name") is None


def test_a_damaged_measured_lesson_is_measured_again(work):
    with Ledger(work) as ledger:
        ledger.keep_measured("key", "name", FILES)
        (path,) = (work / "measured").iterdir()
        path.write_bytes(path.read_bytes()[:-30])
        assert ledger.load_measured("key", "name") is None


@pytest.mark.skipif(os.name != "posix", reason="rights of files")
def test_everything_is_for_the_owner_alone(work):
    with Ledger(work) as ledger:
        ledger.write("a", ENTRY)
        ledger.keep_measured("key", "name", FILES)
        found = {path: stat.S_IMODE(path.stat().st_mode) for path in (work, *work.rglob("*"))}
    assert len(found) >= 4
    assert {mode & 0o077 for mode in found.values()} == {0}


def test_what_stopped_runs_left_is_removed_after_a_week(work):
    with Ledger(work) as ledger:
        ledger.keep_measured("old", "name", FILES)
        ledger.keep_measured("new", "name", FILES)
    old = work / "measured" / "old.name.lesson"
    week_ago = time.time() - 8 * 86_400
    os.utime(old, (week_ago, week_ago))
    with Ledger(work) as ledger:
        assert ledger.load_measured("old", "name") is None
        assert ledger.load_measured("new", "name") == FILES


def test_what_a_killed_run_had_half_written_is_removed_and_what_another_writes_stays(work):
    Ledger(work).close()
    gone, going_on = (work / "measured" / f"key.name.{pid}.part" for pid in (2**22 + 1, os.getpid()))
    gone.write_bytes(b"half")
    going_on.write_bytes(b"half")
    Ledger(work).close()
    assert (gone.exists(), going_on.exists()) == (False, True)


def test_a_clip_is_read_again_only_where_it_changed(work, tmp_path, monkeypatch):
    clip = tmp_path / "clip.mov"
    clip.write_bytes(b"one")
    with Ledger(work) as ledger:
        first = ledger.digest_of(clip)
        with monkeypatch.context() as patch:
            patch.setattr(Path, "open", lambda *_a, **_b: pytest.fail("it was read again"))
            assert ledger.digest_of(clip) == first
        clip.write_bytes(b"three")
        assert ledger.digest_of(clip) != first


@pytest.mark.parametrize("name", ["none.mov", "."])
def test_what_is_no_clip_is_refused_in_one_sentence(work, tmp_path, name):
    with Ledger(work) as ledger, pytest.raises(UsageError, match=r"\. (Look|Give)"):
        ledger.digest_of(tmp_path / name)


def test_a_work_folder_that_cannot_be_one_is_refused(tmp_path):
    (tmp_path / "file").write_text("")
    with pytest.raises(OutputError, match="another folder with --work"):
        Ledger(tmp_path / "file")
    folder = tmp_path / "other"
    folder.mkdir()
    (folder / "batch.sqlite").write_bytes(b"no database at all, " * 100)
    with pytest.raises(OutputError, match="cannot be used"):
        Ledger(folder)


def test_a_ledger_of_a_later_version_is_left_alone(work):
    Ledger(work).close()
    with sqlite3.connect(work / "batch.sqlite") as database:
        database.execute("pragma user_version = 99")
    with pytest.raises(OutputError, match="another version"):
        Ledger(work)


def test_the_work_folder_is_beside_the_archive_and_differs_by_url(tmp_path):
    folder = find_work_folder(find_place(tmp_path / "archive"))
    assert folder == tmp_path / "archive batches"


def test_keys_are_the_same_for_the_same_and_differ_by_every_field():
    student = Student(stature_cm=175.0, handed="right")
    parts = {"a": student, "b": (1, 2.5, None, date(2026, 1, 1)), "c": {"x": Path("p")}}
    assert key_of(parts) == key_of(dict(reversed(parts.items())))
    others = [
        {**parts, "a": Student(stature_cm=175.1, handed="right")},
        {**parts, "b": (1, 2.5, None, date(2026, 1, 2))},
        {**parts, "c": {"x": Path("q")}},
    ]
    assert len({key_of(parts), *map(key_of, others)}) == 4
    with pytest.raises(TypeError, match="has no digest"):
        key_of({"a": object()})
