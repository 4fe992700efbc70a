"""The folder of a comparison appears whole or not at all, and never in the place of a lesson."""

import errno
import json
import os
from pathlib import Path

import pytest
from attrs import evolve

from putt_posture.disk.marks import MARK, write_mark
from putt_posture.documents.schemas import check_document
from putt_posture.errors import OutputError
from putt_posture.pages import store_comparison

FILES = (
    "comparison.json", "comparison.csv", "stills/outlines_down_the_line.svg", "stills/outlines_face_on.svg",
    "stills/arc.svg", "stills/side_by_side_down_the_line.png", "stills/side_by_side_face_on.png",
    "comparison.html", "comparison.pdf", "to_send.jpg",
)  # fmt: skip
"""In the order in which they are written."""


@pytest.fixture
def quick(monkeypatch):
    """Draw nothing and set no pages: these tests are of the folder."""
    monkeypatch.setattr("putt_posture.pages.comparison_files.comparison_as_pdf", lambda *_, **__: b"%PDF")
    monkeypatch.setattr("putt_posture.pages.comparison_files.comparison_as_html", lambda *_, **__: "<!doctype html>")


def everything_in(place: Path) -> set[str]:
    return {path.relative_to(place).as_posix() for path in place.rglob("*") if path.is_file()}


def test_the_folder_holds_pages_pictures_and_numbers(comparison, tmp_path) -> None:
    told = []
    place = store_comparison(comparison, tmp_path / "out", progress=lambda doing, share: told.append(share))
    assert everything_in(place) == {MARK, *FILES}
    check_document(json.loads((place / "comparison.json").read_text()), "comparison", what="The changes do")
    assert (place / "comparison.pdf").read_bytes().startswith(b"%PDF")
    assert told == sorted(told)
    assert told[-1] == 1.0


def test_a_comparison_without_pictures_is_stored_without_stills(comparison, tmp_path) -> None:
    bare = evolve(
        comparison, arcs=None, before=evolve(comparison.before, views={}), after=evolve(comparison.after, views={})
    )
    place = store_comparison(bare, tmp_path / "out")
    assert everything_in(place) == {
        MARK, "comparison.json", "comparison.csv", "comparison.html", "comparison.pdf",
    }  # fmt: skip
    assert "kept without pictures" in (place / "comparison.html").read_text()


@pytest.mark.parametrize("index", range(len(FILES)), ids=FILES)
@pytest.mark.parametrize("error", [OSError(errno.ENOSPC, "No space left"), KeyboardInterrupt()], ids=["full", "stop"])
def test_a_failure_at_any_file_leaves_the_old_folder_and_nothing_else(
    comparison, pictures, quick, tmp_path, monkeypatch, index, error
) -> None:
    monkeypatch.setattr("putt_posture.pages.comparison_files.draw_pictures", lambda _: pictures)
    old = tmp_path / "out"
    old.mkdir()
    (old / "comparison.json").write_text("old")
    write_mark(old, "comparison")
    real, calls = os.fsync, []

    def fsync(number):
        calls.append(number)
        if len(calls) > index:
            raise error
        real(number)

    monkeypatch.setattr(os, "fsync", fsync)
    expected = OutputError if isinstance(error, OSError) else KeyboardInterrupt
    with pytest.raises(expected):
        store_comparison(comparison, old, replace=True)
    assert everything_in(tmp_path) == {f"out/{MARK}", "out/comparison.json"}
    assert (old / "comparison.json").read_text() == "old"


@pytest.mark.parametrize("which", ["before", "after"])
def test_a_folder_that_holds_a_lesson_is_never_replaced(comparison, folder, after_folder, which) -> None:
    place = folder if which == "before" else after_folder
    held = everything_in(place)
    for target in (place, place.parent):
        with pytest.raises(OutputError, match="would be replaced"):
            store_comparison(comparison, target, replace=True)
    assert everything_in(place) == held


def test_a_folder_in_use_is_refused_without_being_asked_to_replace(comparison, tmp_path) -> None:
    (tmp_path / "notes.txt").write_text("mine")
    with pytest.raises(OutputError, match="already holds something"):
        store_comparison(comparison, tmp_path)
    assert everything_in(tmp_path) == {"notes.txt"}
