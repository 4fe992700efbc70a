"""The stills of a stroke in a stored lesson: known by the document, checked, and shown with the heads hidden."""

import json
import sys
from pathlib import Path

import numpy as np
import pytest
from attrs import evolve

sys.path.insert(0, str(Path(__file__).parents[1] / "strokes"))
from changed_lesson import make_changed_lesson
from invented import MADE_ON, make_lesson
from shown_strokes import add_no_stroke, add_strokes

from putt_posture import store_lesson
from putt_posture.documents import validate
from putt_posture.documents.lesson_json import lesson_as_json
from putt_posture.errors import UsageError
from putt_posture.records import check_files, hide_faces_in, read_result_folder
from putt_posture.records.html_files import check_page
from putt_posture.records.picture_files import read_picture

STILLS = {
    f"stills/stroke_{view}_{event}.jpg"
    for view in ("down_the_line", "face_on")
    for event in ("start", "top", "impact", "finish")
}
CHARTS = {
    f"stills/stroke_{name}.svg" for name in ("times", "from_front", "from_behind", "from_above", "stillness")
}  # fmt: skip
CLIP = b"\0\0\0\x18ftypmp42 not looked into here"


@pytest.fixture(scope="module")
def stored(tmp_path_factory):
    folder = tmp_path_factory.mktemp("stroke") / "report"
    overlays = {"down_the_line": CLIP, "face_on": CLIP}
    return store_lesson(add_strokes(make_changed_lesson()), folder, made_on=MADE_ON, overlays=overlays)


@pytest.fixture(scope="module")
def kept(stored):
    return read_result_folder(stored)


@pytest.fixture(scope="module")
def hidden(kept):
    return hide_faces_in(kept)


def test_stills_charts_and_clips_of_the_stroke_are_in_the_folder(stored):
    names = {path.relative_to(stored).as_posix() for path in stored.rglob("*")}
    assert STILLS | CHARTS | {"stroke_down_the_line.mp4", "stroke_face_on.mp4"} <= names
    assert (stored / "stroke_face_on.mp4").read_bytes() == CLIP
    document = json.loads((stored / "measures.json").read_text("utf-8"))
    validate(document)
    assert set(document["pictures"]["strokes"]) == {
        name.removeprefix("stills/stroke_").removesuffix(".jpg") for name in STILLS
    }


def test_what_the_program_wrote_passes_the_check_bit_for_bit(kept, stored):
    names = {name for name in kept.names if not name.endswith((".json", ".csv", ".mp4"))}
    assert names >= STILLS | CHARTS | {"report.html", "report.pdf", "landmarks.npz"}
    found = check_files(kept, kept.names)
    assert names <= found.names
    assert not [name for name in found.names if name.endswith(".mp4")]  # they are made again from filmed clips
    assert all(found.read(name) == (stored / name).read_bytes() for name in names - {"report.html"})
    assert b"<video" not in found.read("report.html")  # the clips are not kept with it


def test_a_still_of_a_stroke_that_the_document_does_not_know_is_refused(kept):
    name = "stills/stroke_face_on_top.jpg"
    document = json.loads(kept.read("measures.json"))
    del document["pictures"]["strokes"]["face_on_top"]
    files = {"measures.json": json.dumps(document).encode()}
    odd = evolve(kept, read=lambda each: files.get(each) or kept.read(each))
    with pytest.raises(UsageError, match="the document does not mention"):
        check_files(odd, {name})


def test_heads_are_hidden_in_each_still_of_a_stroke_and_the_page_stays(kept, hidden):
    assert hidden.names >= STILLS | CHARTS | {"report.html"}
    for name in STILLS:
        before, after = (read_picture(each.read(name), name=name, where="here") for each in (kept, hidden))
        changed = np.abs(before.astype(int) - after).max(axis=2) > 12
        rows = np.nonzero(changed.any(axis=1))[0]
        assert changed.mean() > 0.0005, name
        assert rows.min() < 0.45 * len(before), name


def test_a_page_with_hidden_heads_shows_no_clip_that_does_not_go_with_it(kept, hidden):
    page = hidden.read("report.html").decode("utf-8")
    assert "<video" in kept.read("report.html").decode("utf-8")
    assert "<video" not in page
    assert "stroke_face_on.mp4" not in page
    check_page(page, name="report.html", where="here")


@pytest.mark.parametrize(
    "changed",
    [
        ('src="stroke_face_on.mp4"', 'src="https://example.org/a.mp4"'),
        ('src="stroke_face_on.mp4"', 'src="../other.mp4"'),
        ('href="stroke_face_on.mp4"', 'href="stroke_face_on.mp4.html"'),
        (" controls", " controls autoplay"),
        ('poster="data:image/jpeg', 'poster="https://example.org/image/jpeg'),
        ("media-src 'self' file:", "media-src *"),
    ],
)
def test_a_clip_from_elsewhere_is_refused(kept, changed):
    page = kept.read("report.html").decode("utf-8")
    check_page(page, name="report.html", where="here")
    spoiled = page.replace(*changed, 1)
    assert spoiled != page
    with pytest.raises(UsageError):
        check_page(spoiled, name="report.html", where="here")


def test_a_lesson_without_a_stroke_names_no_still_of_one():
    document = lesson_as_json(add_no_stroke(make_lesson()))
    validate(document)
    assert document["pictures"]["strokes"] == {}
