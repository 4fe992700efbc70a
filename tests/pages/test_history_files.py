"""The folder of a history: whole or not at all, and the same numbers in every form."""

import html
import json
import re
from datetime import date

import pandas as pd
import pytest
from attrs import evolve
from invented_history import drift, one_day, one_visit, plain_changes, practised
from pdf_text import read_pdf

from putt_posture.disk.marks import MARK, write_mark
from putt_posture.documents.history_json import check_history, history_as_frame
from putt_posture.errors import OutputError, UsageError
from putt_posture.measures import MEASURES
from putt_posture.pages import history_files as history_store
from putt_posture.pages import store_history
from putt_posture.values import History, PracticeTest, PuttCount

MADE_ON = date(2026, 11, 25)
FILES = {MARK, "history.html", "history.pdf", "history.json", "history.csv", "charts"}
WARNING = "The scale of the two lessons is not from the same source."
PARTS = {"trunk", "head", "arms_1", "arms_2", "legs", "balance", "club_1", "club_2"}


def warned_changes(before, after, *, repeats=None):
    return evolve(plain_changes(before, after), warnings=(WARNING,))


def words(text):
    return " ".join(text.replace("\N{NO-BREAK SPACE}", " ").split())


@pytest.fixture(scope="module")
def history():
    return drift(practice=practised(3))


@pytest.fixture(scope="module")
def folder(history, tmp_path_factory):
    return store_history(
        history, tmp_path_factory.mktemp("stored") / "history", find_changes=warned_changes, made_on=MADE_ON
    )


@pytest.fixture(scope="module")
def page(folder):
    return words(html.unescape((folder / "history.html").read_text(encoding="utf-8")))


@pytest.fixture(scope="module")
def pdf(folder):
    return read_pdf(folder / "history.pdf")


@pytest.fixture(scope="module")
def document(folder):
    return json.loads((folder / "history.json").read_text(encoding="utf-8"))


def test_the_folder_holds_everything_and_nothing_else(folder):
    assert {path.name for path in folder.iterdir()} == FILES
    charts = {path.stem for path in (folder / "charts").iterdir()}
    assert charts == PARTS | {"practice", "practice_change", "practice_spread"}
    assert [path.name for path in folder.parent.iterdir()] == [folder.name]


def test_html_and_pdf_lead_with_the_answer_and_say_the_same(page, pdf):
    for text in (page, pdf):
        assert text.index("Did it stick?") < text.index("Most of it went back") < text.index("Every measure over time")
        for said in (
            "Went back since the rebuild", "Held since the rebuild", "Practice tests", "not as a goal.",
            "Stop at pain, and see a clinician", "25 November 2026",
            "putter in use 35.5 in (90.2 cm) → 33.5 in (85.1 cm)", WARNING,
        ):  # fmt: skip
            assert said in text


def test_the_page_asks_for_nothing_from_elsewhere(folder):
    text = (folder / "history.html").read_text(encoding="utf-8")
    assert "default-src 'none'" in text
    assert not re.findall(r'(?:src|href)="(?!data:)', text)
    assert "<script" not in text


def test_every_picture_has_words(folder):
    text = (folder / "history.html").read_text(encoding="utf-8")
    pictures = re.findall(r"<img [^>]*>", text)
    assert len(pictures) == len(PARTS) + 3
    assert all(re.search(r'alt="[^"]{20,}"', each) for each in pictures)


def test_the_document_keeps_its_schema(document, history):
    check_history(document)
    assert document["made_on"] == "2026-11-25"
    assert [visit["lesson"] for visit in document["visits"]] == [1, 2, 3, 4, 5, 6]
    assert document["warnings"] == [WARNING]
    assert document["putter_changes"][0] == {"visit": 1, "kind": "in_use", "before_cm": 90.2, "after_cm": 85.1}
    assert len(document["practice"]["changes"]) == 2
    berry, broadie = document["practice"]["yardsticks"]
    assert berry["spread"]["sigma_deg"] == pytest.approx(1.53, abs=0.01)
    assert broadie["spread"] is None
    assert document["practice"]["pooled"]["tried"] == sum(
        count.tried for test in history.practice for count in test.counts
    )


@pytest.mark.parametrize(
    ("place", "value"),
    [(("schema",), 1), (("visits", 0, "moment"), "later"), (("courses", "spine_tilt", "verdict"), "good"),
     (("visits", 0, "measures", "spine_tilt", "unit"), "cm"), (("practice", "pooled", "shares", 0, "share"), 1.2)],
)  # fmt: skip
def test_a_document_that_breaks_the_schema_is_told_where(document, place, value):
    broken = json.loads(json.dumps(document))
    inner = broken
    for step in place[:-1]:
        inner = inner[step]
    inner[place[-1]] = value
    with pytest.raises(UsageError, match=f"The history does not match schema 3 at {'/'.join(map(str, place))}"):
        check_history(broken)


def test_the_table_has_a_row_for_each_visit_and_measure_with_the_numbers_of_the_document(folder, document):
    table = pd.read_csv(folder / "history.csv")
    assert len(table) == 6 * len(MEASURES)
    row = table[(table.lesson == 2) & (table.measure == "spine_tilt")].iloc[0]
    entry = document["visits"][1]["measures"]["spine_tilt"]
    assert (row.day, row.moment, row.unit) == (document["visits"][1]["day"], "after", "deg")
    assert (row.value, row.low, row.high) == pytest.approx((entry["value"], entry["low"], entry["high"]))
    gap = table[(table.lesson == 4) & (table.measure == "stance_width")].iloc[0]
    assert pd.isna(gap.value)
    assert gap.absent == "No clip of this view was given."


def test_the_frame_of_no_visit_has_the_same_columns():
    assert list(history_as_frame(History(name="")).columns) == list(history_as_frame(one_day()).columns)


def test_one_visit_and_none_make_a_page_too(tmp_path):
    for name, history in (("one", one_visit()), ("none", History(name=""))):
        made = store_history(history, tmp_path / name, find_changes=plain_changes)
        assert (made / "history.pdf").stat().st_size > 1000
        check_history(json.loads((made / "history.json").read_text(encoding="utf-8")))
    assert not (tmp_path / "none" / "charts").exists()
    assert "No lesson yet" in (tmp_path / "none" / "history.html").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", ["#panic() *bold* $x$", "<b>&amp;</b>"])
def test_names_and_notes_are_text_and_no_markup(name, tmp_path):
    test = PracticeTest(day=MADE_ON, counts=(PuttCount(distance_cm=91.44, tried=10, holed=6),), note=name)
    made = store_history(History(name=name, practice=(test,)), tmp_path / "history", find_changes=plain_changes)
    text = read_pdf(made / "history.pdf")
    assert text.count(words(name)) >= 2
    assert "<b>&amp;</b>" not in (made / "history.html").read_text(encoding="utf-8")


def test_a_folder_that_holds_something_is_left_alone(folder):
    with pytest.raises(OutputError, match="already holds something"):
        store_history(one_visit(), folder, find_changes=plain_changes)
    assert {path.name for path in folder.iterdir()} == FILES


def test_the_files_of_the_archive_are_never_replaced(tmp_path):
    (tmp_path / "archive").mkdir()
    kept = tmp_path / "archive" / "clip.mov"
    kept.write_text("clip")
    with pytest.raises(OutputError, match="would be replaced"):
        store_history(one_visit(), tmp_path / "archive", find_changes=plain_changes, replace=True, keep=[kept])
    assert kept.read_text() == "clip"


def test_a_failure_leaves_the_old_pages_and_nothing_else(tmp_path, monkeypatch):
    old = tmp_path / "history"
    old.mkdir()
    (old / "history.json").write_text("old")
    write_mark(old, "history")

    def full(*_arguments, **_more):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(history_store, "history_as_pdf", full)
    with pytest.raises(OutputError, match="The disk is full"):
        store_history(one_visit(), old, find_changes=plain_changes, replace=True)
    assert [path.name for path in tmp_path.iterdir()] == ["history"]
    assert (old / "history.json").read_text() == "old"


def test_counts_that_cannot_be_leave_nothing_behind(tmp_path):
    test = PracticeTest(day=MADE_ON, counts=(PuttCount(distance_cm=91.44, tried=5, holed=6),))
    with pytest.raises(UsageError, match="6 putts holed of 5"):
        store_history(History(name="", practice=(test,)), tmp_path / "history", find_changes=plain_changes)
    assert list(tmp_path.iterdir()) == []


def test_progress_only_grows_and_ends_at_one(tmp_path):
    told = []
    store_history(
        History(name=""),
        tmp_path / "history",
        find_changes=plain_changes,
        progress=lambda _what, share: told.append(share),
    )
    assert told == sorted(told)
    assert told[-1] == 1.0


@pytest.mark.whole
def test_the_same_history_makes_the_same_pdf(tmp_path):
    made = [
        store_history(one_visit(), tmp_path / name, find_changes=plain_changes, made_on=MADE_ON) for name in ("a", "b")
    ]
    first, second = ((each / "history.pdf").read_bytes() for each in made)
    assert first == second
