"""A report appears whole or not at all, and an older one is never lost."""

import errno
import os
import stat
import sys
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from attrs import evolve

from putt_posture.disk import folders as folder_module
from putt_posture.disk.folders import check_folder
from putt_posture.disk.marks import MARK, write_mark
from putt_posture.documents import validate
from putt_posture.drawing.stills import draw_stills
from putt_posture.errors import OutputError
from putt_posture.pages import lesson_files as store_module
from putt_posture.pages import store_lesson

FILES = {MARK, "report.html", "report.pdf", "measures.json", "measures.csv", "landmarks.npz", "stills", "to_send.jpg"}


@pytest.fixture(scope="module")
def small_stills(one_view_lesson):
    return tuple(
        evolve(still, plain=still.plain[::8, ::8].copy(), annotated=still.annotated[::8, ::8].copy())
        for still in draw_stills(one_view_lesson)
    )


@pytest.fixture
def quick(small_stills, monkeypatch):
    """Draw the stills once for all failures, and small."""
    drawn = small_stills
    monkeypatch.setattr(store_module, "draw_stills", lambda _lesson: drawn)


OLD = ["report", f"report/{MARK}", "report/measures.json"]
"""What is in the folder of the test while the old report is."""


def everything_in(place):
    return sorted(str(path.relative_to(place)) for path in place.rglob("*"))


def old_report(place):
    place.mkdir()
    (place / "measures.json").write_text("old")
    write_mark(place, "report")
    return place


def test_the_folder_holds_everything_and_nothing_else(folder):
    assert {path.name for path in folder.iterdir()} == FILES
    assert {path.name for path in (folder / "stills").iterdir()} == {
        "down_the_line.png", "down_the_line_plain.jpg", "face_on.png", "face_on_plain.jpg",
    }  # fmt: skip
    assert [path.name for path in folder.parent.iterdir()] == [folder.name]


def test_the_stored_json_keeps_the_schema(folder):
    import json

    document = json.loads((folder / "measures.json").read_text(encoding="utf-8"))
    validate(document)
    assert document["made_on"] == "2026-05-17"


def test_the_stored_landmarks_load_without_pickle(folder):
    with np.load(folder / "landmarks.npz", allow_pickle=False) as stored:
        assert stored["down_the_line.points_px"].shape == (3, 33, 2)


def test_parents_are_made(one_view_lesson, quick, tmp_path):
    store_lesson(one_view_lesson, tmp_path / "a" / "b" / "report")
    assert (tmp_path / "a" / "b" / "report" / "report.html").is_file()


def test_an_empty_folder_is_filled(one_view_lesson, quick, tmp_path):
    (tmp_path / "report").mkdir()
    store_lesson(one_view_lesson, tmp_path / "report")
    assert {path.name for path in (tmp_path / "report").iterdir()} == FILES


def test_a_folder_that_holds_something_is_left_alone(one_view_lesson, quick, tmp_path):
    place = old_report(tmp_path / "report")
    for call in (lambda: check_folder(place), lambda: store_lesson(one_view_lesson, place)):
        with pytest.raises(OutputError, match="already holds something"):
            call()
    assert everything_in(tmp_path) == OLD


def test_replace_puts_the_new_report_in_the_place_of_the_old(one_view_lesson, quick, tmp_path):
    place = old_report(tmp_path / "report")
    store_lesson(one_view_lesson, place, replace=True)
    assert {path.name for path in place.iterdir()} == FILES
    assert [path.name for path in tmp_path.iterdir()] == ["report"]


def test_a_file_in_the_place_of_the_folder_is_kept(one_view_lesson, tmp_path):
    (tmp_path / "report").write_text("mine")
    for replace in (False, True):
        with pytest.raises(OutputError, match="is a file"):
            check_folder(tmp_path / "report", replace=replace)
        with pytest.raises(OutputError, match="is a file"):
            store_lesson(one_view_lesson, tmp_path / "report", replace=replace)
    assert (tmp_path / "report").read_text() == "mine"


def test_a_folder_below_a_file_is_refused(tmp_path):
    (tmp_path / "notes").write_text("mine")
    with pytest.raises(OutputError, match="could not be written"):
        check_folder(tmp_path / "notes" / "report")


@pytest.mark.parametrize("name", ["a\0b", "x" * 400])
def test_an_impossible_name_is_refused_in_one_sentence(tmp_path, name):
    with pytest.raises(OutputError):
        check_folder(tmp_path / name)


def test_the_folder_with_the_clips_is_never_replaced(tmp_path):
    place = old_report(tmp_path / "lesson")
    clip = place / "side.mov"
    clip.write_bytes(b"film")
    with pytest.raises(OutputError, match="would be replaced"):
        check_folder(place, replace=True, keep=[clip])
    assert clip.read_bytes() == b"film"


def test_the_working_folder_and_the_home_folder_are_never_replaced(tmp_path, monkeypatch):
    home = tmp_path / "home"
    work = home / "work"
    work.mkdir(parents=True)
    (work / "notes.txt").write_text("mine")
    monkeypatch.chdir(work)
    monkeypatch.setenv("HOME", str(home))
    monkeypatch.setenv("USERPROFILE", str(home))
    for place in (work, home, tmp_path):
        with pytest.raises(OutputError, match="will not be replaced"):
            check_folder(place, replace=True)


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights on Windows")
def test_a_link_to_a_folder_stays_a_link(one_view_lesson, quick, tmp_path):
    old_report(tmp_path / "real")
    (tmp_path / "link").symlink_to(tmp_path / "real", target_is_directory=True)
    store_lesson(one_view_lesson, tmp_path / "link", replace=True)
    assert (tmp_path / "link").is_symlink()
    assert {path.name for path in (tmp_path / "real").iterdir()} == FILES


@pytest.mark.skipif(sys.platform == "win32" or os.geteuid() == 0, reason="the superuser may write anywhere")
def test_an_unwritable_folder_is_refused(tmp_path):
    locked = tmp_path / "locked"
    locked.mkdir(mode=stat.S_IRUSR | stat.S_IXUSR)
    with pytest.raises(OutputError, match="in which you may write"):
        check_folder(locked / "report")


def test_a_refused_trial_is_told_in_one_sentence(tmp_path, monkeypatch):
    def refuse(self, *_arguments, **_more):
        raise PermissionError(errno.EACCES, "Permission denied", str(self))

    monkeypatch.setattr(Path, "mkdir", refuse)
    with pytest.raises(OutputError, match=r"\(permission denied\)\. Give a folder in which you may write\.$"):
        check_folder(tmp_path / "report")


def test_the_check_leaves_nothing_behind(tmp_path):
    check_folder(tmp_path / "not" / "yet" / "there")
    assert everything_in(tmp_path) == []


def failing_after(count, error):
    """Return an `fsync` that works `count` times and then raises."""
    real, calls = os.fsync, [0]

    def fsync(number):
        calls[0] += 1
        if calls[0] > count:
            raise error
        real(number)

    return fsync, calls


WRITES = (
    "stills/face_on.png",
    "stills/face_on_plain.jpg",
    "measures.json",
    "measures.csv",
    "landmarks.npz",
    "report.html",
    "report.pdf",
)


@pytest.mark.parametrize("index", range(len(WRITES)), ids=WRITES)
@pytest.mark.parametrize(
    "error", [OSError(errno.ENOSPC, "No space left on device"), KeyboardInterrupt()], ids=["full", "stop"]
)
def test_a_failure_at_any_file_leaves_the_old_report_and_nothing_else(
    one_view_lesson, quick, tmp_path, monkeypatch, index, error
):
    place = old_report(tmp_path / "report")
    fsync, calls = failing_after(index, error)
    monkeypatch.setattr(folder_module.os, "fsync", fsync)
    with pytest.raises(OutputError if isinstance(error, OSError) else KeyboardInterrupt) as caught:
        store_lesson(one_view_lesson, place, replace=True)
    assert calls[0] == index + 1
    assert everything_in(tmp_path) == OLD
    assert (place / "measures.json").read_text() == "old"
    if isinstance(error, OSError):
        assert "The disk is full: make room" in str(caught.value)
        assert str(caught.value).count("\n") == 0


@pytest.mark.parametrize(
    "error", [OSError(errno.ENOSPC, "No space left on device"), KeyboardInterrupt()], ids=["full", "stop"]
)
def test_a_failure_in_a_new_place_leaves_no_folder_and_no_parents(one_view_lesson, quick, tmp_path, monkeypatch, error):
    fsync, _ = failing_after(3, error)
    monkeypatch.setattr(folder_module.os, "fsync", fsync)
    with pytest.raises((OutputError, KeyboardInterrupt)):
        store_lesson(one_view_lesson, tmp_path / "new" / "report")
    assert everything_in(tmp_path) == []


def test_a_failed_move_puts_the_old_report_back(one_view_lesson, quick, tmp_path, monkeypatch):
    place = old_report(tmp_path / "report")
    real, calls = Path.rename, [0]

    def rename(self, target):
        calls[0] += 1
        if calls[0] == 2:
            raise OSError(errno.EIO, "Input/output error")
        return real(self, target)

    monkeypatch.setattr(Path, "rename", rename)
    with pytest.raises(OutputError, match="input/output error"):
        store_lesson(one_view_lesson, place, replace=True)
    assert calls[0] == 3
    assert everything_in(tmp_path) == OLD


def test_what_came_into_the_folder_meanwhile_is_not_lost(one_view_lesson, quick, tmp_path):
    place = tmp_path / "report"

    def intrude(_what, share):
        if share == 1.0:
            place.mkdir()
            (place / "mine.txt").write_text("mine")

    with pytest.raises(OutputError):
        store_lesson(one_view_lesson, place, progress=intrude)
    assert everything_in(tmp_path) == ["report", "report/mine.txt"]


def test_a_mistake_of_the_program_is_not_dressed_up_and_leaves_nothing(one_view_lesson, tmp_path, monkeypatch):
    def broken(_lesson):
        raise ZeroDivisionError

    monkeypatch.setattr(store_module, "draw_stills", broken)
    with pytest.raises(ZeroDivisionError):
        store_lesson(one_view_lesson, tmp_path / "report")
    assert everything_in(tmp_path) == []


def test_progress_only_grows_and_ends_at_one(one_view_lesson, quick, tmp_path):
    shares = []
    store_lesson(
        one_view_lesson,
        tmp_path / "report",
        made_on=date(2026, 1, 2),
        progress=lambda _what, share: shares.append(share),
    )
    assert shares == sorted(shares)
    assert shares[-1] == 1.0


@pytest.mark.skipif(sys.platform == "win32", reason="modes are POSIX")
def test_the_folder_has_the_rights_that_any_new_folder_has(one_view_lesson, quick, tmp_path):
    (tmp_path / "plain").mkdir()
    store_lesson(one_view_lesson, tmp_path / "report")
    assert (tmp_path / "report").stat().st_mode == (tmp_path / "plain").stat().st_mode
