"""Pages of lessons that were filed without them: whole, of the numbers that are kept and of no others, never stored."""

import io
import re
import zipfile
from collections import Counter

import numpy as np
import pytest
from attrs import evolve
from filed import TODAY, add_player
from PIL import Image
from pypdf import PdfReader

from putt_posture.archive import file_lesson, load_lesson, load_lessons, open_lesson, withdraw_consent
from putt_posture.figures import format_margin
from putt_posture.records import read_result_files, read_result_folder
from putt_posture.services import (
    export_student,
    file_again,
    lacks_pages,
    make_pages,
    measure_again,
    pages_when_asked,
    prepare_again,
    with_pages,
)
from putt_posture.values import WantedSetup
from putt_posture.wording import FACES_HIDDEN

KEPT = {
    "measures.json", "measures.csv", "landmarks.npz", "spec_sheet.json", "stills/down_the_line_plain.jpg",
    "stills/face_on_plain.jpg",
}  # fmt: skip
WANTED = WantedSetup(knee_flex_deg=20.0)


@pytest.fixture
def first(archive, golfer_folder):
    """The number of a lesson that was filed with its pages; student 1."""
    add_player(archive)
    return file_lesson(archive, 1, read_result_folder(golfer_folder), day=TODAY, moment="before", today=TODAY)


@pytest.fixture
def bare(archive, first):
    """The number of its newest result, filed without pages."""
    job = prepare_again(archive, first, today=TODAY, wanted=WANTED, pages="when asked")
    return file_again(archive, job, job.run().files, today=TODAY).filed


def shown(archive, number):
    return open_lesson(archive, number, today=TODAY)


def text_of_page(html):
    return re.sub(r"data:[^\"']+", "", html.decode())


def picture_of(lesson, name):
    return np.asarray(Image.open(io.BytesIO(lesson.read(name))).convert("RGB"), dtype=float)


def other_method(monkeypatch):
    """Let the program measure otherwise from now on."""
    measured = pages_when_asked.measure_stored

    def measure(stored, record, **about):
        lesson = measured(stored, record, **about)
        tilt = lesson.posture.estimates["spine_tilt"]
        estimates = {**lesson.posture.estimates, "spine_tilt": evolve(tilt, value=tilt.value + 1e-9)}
        return evolve(lesson, posture=evolve(lesson.posture, estimates=estimates))

    monkeypatch.setattr(pages_when_asked, "measure_stored", measure)


def test_a_result_without_pages_holds_what_all_of_them_can_be_made_from(archive, first, bare):
    kept = shown(archive, bare)
    assert set(kept.names) == KEPT
    assert lacks_pages(kept)
    assert not lacks_pages(shown(archive, first))
    assert with_pages(shown(archive, first)).names == shown(archive, first).names
    before = load_lesson(archive, bare).names
    whole = with_pages(kept)
    assert not whole.says
    assert load_lesson(archive, bare).names == before  # nothing is stored
    assert whole.read("measures.json") == kept.read("measures.json")


def test_pages_made_when_asked_are_those_that_would_have_been_filed(archive, first):
    files = prepare_again(archive, first, today=TODAY, wanted=WANTED).run().files
    job = prepare_again(archive, first, today=TODAY, wanted=WANTED, pages="when asked")
    whole = with_pages(shown(archive, file_again(archive, job, job.run().files, today=TODAY).filed))
    assert whole.names == files.keys()
    for name in ("report.html", "spec_sheet.html"):
        assert text_of_page(whole.read(name)) == text_of_page(files[name])
    pages = PdfReader(io.BytesIO(whole.read("report.pdf"))).pages
    said = " ".join(page.extract_text() for page in pages)
    assert format_margin(whole.record.measures["spine_tilt"]) in said
    filed = read_result_files({name: whole.read(name) for name in whole.names}, title="whole")
    add_player(archive, name="Kim Example")
    assert file_lesson(archive, 2, filed, day=TODAY, moment="check", today=TODAY)  # they pass the check of all files


def test_there_are_no_pages_of_numbers_that_the_program_does_not_measure(archive, bare, monkeypatch):
    other_method(monkeypatch)
    kept = shown(archive, bare)
    assert make_pages(kept) == {}
    assert with_pages(kept).names == kept.names
    (says,) = with_pages(kept).says
    assert "Measure it again" in says


def test_without_consent_for_pictures_there_are_no_pages(archive, bare):
    withdraw_consent(archive, 1, scopes=("pictures",), on=TODAY)
    kept = shown(archive, bare)
    assert not lacks_pages(kept)
    assert "report.html" not in with_pages(kept).names


def test_heads_are_hidden_in_pages_where_faces_may_not_be_shown(archive, bare):
    open_pages = with_pages(shown(archive, bare))
    withdraw_consent(archive, 1, scopes=("faces",), on=TODAY)
    hidden = with_pages(shown(archive, bare))
    assert hidden.record.faces_hidden
    assert "report.html" in hidden.names
    assert FACES_HIDDEN in text_of_page(hidden.read("report.html"))
    plain = "stills/face_on_plain.jpg"
    was, now, drawn = picture_of(open_pages, plain), picture_of(hidden, plain), picture_of(hidden, "stills/face_on.png")
    head = np.abs(was - now).max(axis=2) > 40
    assert head.sum() > 200
    assert np.abs(drawn - now)[head].mean() < 0.2 * np.abs(drawn - was)[head].mean()


def test_an_export_has_the_report_of_each_lesson(archive, first, bare, tmp_path):
    export_student(archive, 1, tmp_path / "all.zip", today=TODAY)
    with zipfile.ZipFile(tmp_path / "all.zip") as pack:
        counts = Counter(name.rpartition("/")[2] for name in pack.namelist())
        (report,) = [name for name in pack.namelist() if f"_{bare}_" in name and name.endswith("report.html")]
        assert b"data:image/jpeg" in pack.read(report)
    assert counts["report.html"] == counts["report.pdf"] == counts["spec_sheet.pdf"] == 2
    export_student(archive, 1, tmp_path / "hidden.zip", today=TODAY, hide_faces=True)
    with zipfile.ZipFile(tmp_path / "hidden.zip") as pack:
        counts = Counter(name.rpartition("/")[2] for name in pack.namelist())
    assert (counts["report.html"], counts["report.pdf"]) == (2, 0)


def test_an_export_measures_again_what_it_can_make_no_report_of(archive, bare, tmp_path, monkeypatch):
    with monkeypatch.context() as patch:
        other_method(patch)
        patch.setattr("putt_posture.measuring._programs", lambda: {"putt_posture": "9.0.0"})
        done = export_student(archive, 1, tmp_path / "all.zip", today=TODAY)
    newest = load_lessons(archive, 1)[-1]
    assert newest.number > bare
    assert "report.html" in newest.names
    with zipfile.ZipFile(tmp_path / "all.zip") as pack:
        assert [name for name in pack.namelist() if f"_{newest.number}_" in name and name.endswith("report.pdf")]
    (says,) = done.left_out
    assert f"_{bare}_" in says
    assert "Measure it again" in says


def test_a_result_without_pages_is_measured_again_as_any_other(archive, first, bare):
    assert not measure_again(archive, first, today=TODAY)
