"""What a notebook shows of a value: a table and stills, in which every text is escaped and no face comes back."""

import base64
import io
import re
from html.parser import HTMLParser

import numpy as np
import pytest
from attrs import evolve
from compared import make_after
from invented import make_lesson
from invented_history import drift
from PIL import Image

from putt_posture.comparison import compare
from putt_posture.drawing import draw_stills, hide_faces
from putt_posture.measures import MEASURES
from putt_posture.pages import store_lesson
from putt_posture.records import hide_faces_in, read_result_folder
from putt_posture.values import absent

NASTY = '<script>alert("1")</script> & co'


class Page(HTMLParser):
    """The tags, rows and pictures of a page."""

    def __init__(self, text):
        super().__init__()
        self.tags, self.rows, self.pictures, self.open = set(), [], [], []
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        self.tags.add(tag)
        if tag == "tr":
            self.rows.append([])
        if tag in ("td", "th"):
            self.rows[-1].append("")
            self.open.append(tag)
        if tag == "img":
            self.pictures.append(dict(attrs)["src"])

    def handle_endtag(self, tag):
        if self.open and tag == self.open[-1]:
            self.open.pop()

    def handle_data(self, data):
        if self.open:
            self.rows[-1][-1] += data


def pixels(uri):
    kind, _, data = uri.partition(",")
    assert kind == "data:image/jpeg;base64"
    return np.asarray(Image.open(io.BytesIO(base64.b64decode(data))).convert("RGB"), dtype=float)


@pytest.fixture(scope="module")
def other():
    return make_after()


def test_a_lesson_is_shown_with_a_row_a_measure_and_a_still_a_view(lesson):
    text = lesson._repr_html_()
    page = Page(text)
    told = {row[0]: row for row in page.rows[1:]}
    assert set(told) == {MEASURES[name].title for name in MEASURES if lesson.posture[name]}
    assert told["Spine tilt"][1].startswith(f"{lesson.posture['spine_tilt']:.1f} ± ")
    assert len(page.pictures) == 2
    assert "Lesson: Robin Example" in text
    assert "Suggested putter: 34.0" in text
    assert "The butt end of the grip is not seen." in text  # why the putter's length is absent
    assert len(text) < 400_000


def test_a_posture_is_shown_as_its_table(lesson):
    page = Page(lesson.posture._repr_html_())
    assert len(page.rows) == 1 + sum(map(bool, lesson.posture.values()))
    assert page.pictures == []


def test_a_comparison_is_shown_with_its_changes_first_and_both_stills_in_one(comparison):
    page = Page(comparison._repr_html_())
    assert page.rows[1][-1] == "a change"
    assert len(page.pictures) == 2
    assert len(Page(comparison.changes._repr_html_()).rows) == len(page.rows)


def test_a_history_is_shown_by_its_visits():
    history = drift()
    page = Page(history._repr_html_())
    assert len(page.rows) == 1 + len(history.visits)


def test_a_stored_lesson_is_shown_as_it_is_kept(folder, tmp_path):
    kept = read_result_folder(folder)
    assert len(Page(kept._repr_html_()).pictures) == 2
    assert Page(kept.record._repr_html_()).pictures == []
    bare = evolve(kept, names=frozenset({"measures.json"}), says=("Pictures are held back.",))
    assert Page(bare._repr_html_()).pictures == []
    assert "Pictures are held back." in bare._repr_html_()


def test_every_text_is_escaped_and_nothing_can_run(lesson, tmp_path):
    estimates = {**lesson.posture.estimates, "spine_tilt": absent(NASTY, unit="deg")}
    estimates["knee_flex"] = evolve(estimates["knee_flex"], method=NASTY)
    nasty = evolve(
        lesson,
        student=evolve(lesson.student, name=NASTY),
        posture=evolve(lesson.posture, estimates=estimates, warnings=(NASTY,)),
        warnings=(NASTY,),
    )
    history = evolve(drift(), name=NASTY)
    history = evolve(history, visits=tuple(evolve(each, coach=NASTY) for each in history.visits))
    kept = read_result_folder(store_lesson(nasty, tmp_path / NASTY.replace("/", "|")))
    for value in (nasty, nasty.posture, kept, kept.record, history, compare(nasty, make_after())):
        text = value._repr_html_()
        assert "&lt;script&gt;" in text, type(value)
        page = Page(text)
        assert page.tags <= {
            "div", "p", "img", "table", "thead", "tbody", "tr", "th", "td", "details", "summary", "ul", "li", "b",
        }  # fmt: skip
        assert not re.search(r"https?:|<script|onerror|javascript:", text)


def test_hidden_heads_stay_hidden_in_a_notebook(lesson, folder):
    # The head of the still with marks: as drawn of the lesson with hidden heads, and not as drawn of the other.
    hidden = hide_faces(lesson)
    for shown, plain, covered in zip(
        Page(hidden._repr_html_()).pictures, draw_stills(lesson), draw_stills(hidden), strict=True
    ):
        size = pixels(shown).shape[1::-1]
        small = [
            np.asarray(Image.fromarray(each.annotated).resize(size, Image.Resampling.BOX), dtype=float)
            for each in (plain, covered)
        ]
        head = np.abs(small[0] - small[1]).max(axis=2) > 40
        assert head.sum() > 50
        away = [np.abs(pixels(shown) - each)[head].mean() for each in small]
        assert away[1] < away[0] / 2
    kept = hide_faces_in(read_result_folder(folder))
    assert len(Page(kept._repr_html_()).pictures) == 2


def test_a_value_without_a_page_is_refused():
    from putt_posture.pages.notebook import as_html

    with pytest.raises(TypeError, match="no page for a int"):
        as_html(3)


def test_lessons_of_other_students_are_shown_without_a_name(lesson):
    nameless = evolve(make_lesson(), student=evolve(lesson.student, name=None))
    assert "Lesson: Student" in nameless._repr_html_()
