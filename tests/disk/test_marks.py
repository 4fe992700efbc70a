"""A folder that this program wrote is known by its mark, or by its names; whatever else is in it is named."""

import json
import os
import shutil

import pytest

from putt_posture.archive.export.frame_columns import FORMS, LANDMARKS
from putt_posture.comparison import compare
from putt_posture.disk.marks import _KINDS, MARK, find_stranger, write_mark
from putt_posture.documents.stroke_series import STROKE_PARQUET
from putt_posture.pages import store_comparison
from putt_posture.pages.stroke_section import clip_name
from putt_posture.pages.to_send import TO_SEND
from putt_posture.records import FILES_WITH_PICTURES, FILES_WITHOUT_PICTURES, read_result_folder
from putt_posture.values import VIEWS


@pytest.fixture
def marked(tmp_path):
    place = tmp_path / "report"
    (place / "stills").mkdir(parents=True)
    (place / "report.html").write_text("page")
    (place / "stills" / "face_on.png").write_text("picture")
    write_mark(place, "report")
    return place


@pytest.fixture(scope="module")
def written(folder, after_folder, tmp_path_factory):
    """What the program writes, as it would be without marks."""
    place = tmp_path_factory.mktemp("written")
    shutil.copytree(folder, place / "report")
    shutil.copytree(after_folder, place / "after")
    lessons = (read_result_folder(place / each) for each in ("report", "after"))
    store_comparison(compare(*lessons), place / "comparison")
    for each in place.iterdir():
        (each / MARK).unlink()
    return place


def test_a_marked_folder_holds_no_stranger_whatever_was_changed_or_lost_in_it(marked):
    assert find_stranger(marked) is None
    (marked / "report.html").write_text("changed")
    (marked / "stills" / "face_on.png").unlink()
    assert find_stranger(marked) is None


@pytest.mark.parametrize("name", ["notes.txt", "stills/mine.png", "empty", "stills/empty", "link", "sub/deep/archive"])
def test_whatever_is_not_listed_is_named(marked, name):
    path = marked / name
    path.parent.mkdir(parents=True, exist_ok=True)
    if name.endswith("empty"):
        path.mkdir()
    elif name == "link":
        path.symlink_to(marked / "report.html")
    else:
        path.write_text("mine")
    assert find_stranger(marked) == ("sub" if name.startswith("sub") else name)


def test_a_listed_file_that_is_a_link_or_a_folder_now_is_a_stranger(marked, tmp_path):
    (marked / "report.html").unlink()
    (marked / "report.html").symlink_to(tmp_path)
    assert find_stranger(marked) == "report.html"
    (marked / "report.html").unlink()
    (marked / "report.html").mkdir()
    assert find_stranger(marked) == "report.html"


@pytest.mark.parametrize(
    "text", ["", "{", "[]", '{"files": ["notes.txt"]}', '{"program": "putt_posture", "files": [1]}', "[" * 9999]
)
def test_a_mark_that_is_none_counts_for_nothing(marked, text):
    (marked / MARK).write_text(text)
    assert find_stranger(marked) == MARK


def test_a_mark_that_lists_an_archive_does_not_give_it_away(tmp_path):
    place = tmp_path / "archive"
    place.mkdir()
    for name in ("archive.sqlite", "manifest.json"):
        (place / name).write_text("rows")
    write_mark(place, "report")
    assert find_stranger(place) == "archive.sqlite"


@pytest.mark.parametrize("name", [".DS_Store", "stills/.DS_Store", "Thumbs.db", "desktop.ini"])
def test_what_the_system_leaves_in_a_folder_that_somebody_looks_at_is_no_stranger(marked, name):
    (marked / name).write_text("")
    assert find_stranger(marked) is None


@pytest.mark.parametrize("kind", ["report", "comparison"])
def test_a_folder_without_a_mark_is_known_by_its_names(written, kind):
    assert find_stranger(written / kind) is None
    stray = written / kind / "stills" / "holiday.png"
    stray.write_text("mine")
    assert find_stranger(written / kind) == "stills/holiday.png"
    stray.unlink()


def test_a_part_of_the_names_is_not_enough(tmp_path):
    (tmp_path / "measures.json").write_text("mine")
    (tmp_path / "report.html").write_text("mine")
    assert find_stranger(tmp_path) == "measures.json"


def test_the_names_are_those_that_the_program_writes():
    (report, comparison, steps, history, tables) = [least | more for least, more in _KINDS]
    beside = {TO_SEND, STROKE_PARQUET, *map(clip_name, VIEWS)}  # that the archive does not keep
    assert report - beside == FILES_WITH_PICTURES | FILES_WITHOUT_PICTURES
    assert {name for name in tables if name.startswith("csv/")} == {
        f"csv/{form.name}.csv" for form in (*FORMS, LANDMARKS)
    }
    assert all(
        name.split("/")[-1].startswith(("comparison", "side_by_side", "outlines", "arc", "stroke", TO_SEND))
        for name in comparison
    )
    assert all(name.startswith(("steps.", "stills/")) for name in steps)
    assert all(name.startswith(("history.", "charts/")) for name in history)


def test_the_mark_says_what_it_is_of(marked):
    told = json.loads((marked / MARK).read_text(encoding="utf-8"))
    assert told == {"program": "putt_posture", "kind": "report", "files": ["report.html", "stills/face_on.png"]}
    assert os.listdir(marked / "stills") == ["face_on.png"]
