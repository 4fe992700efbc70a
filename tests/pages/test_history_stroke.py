"""The stroke in a student's history: what changed for real, its charts, and every number folded away."""

import html
from datetime import timedelta

import pytest
from attrs import evolve
from invented_history import FIRST, REBUILT, START, visit
from pdf_text import read_pdf
from shown_strokes import make_numbers

from putt_posture.changes import find_changes
from putt_posture.history import STROKE_IN_SHORT, find_courses, find_stroke_courses
from putt_posture.measures import STROKE_MEASURES
from putt_posture.pages.history import history_as_html, history_as_pdf
from putt_posture.pages.history_files import lay_out_history
from putt_posture.pages.history_rows import course_rows
from putt_posture.pages.history_stroke import write_stroke_history
from putt_posture.shown_units import show_lengths_in
from putt_posture.values import History


def with_stroke(number, moment, *, day, values=FIRST, **changed):
    """Return a visit with a stroke, some of its numbers changed."""
    made = visit(number, START + timedelta(days=day), moment, values)
    strokes = make_numbers()
    strokes |= {name: evolve(strokes[name], value=value) for name, value in changed.items()}
    return evolve(made, measured=evolve(made.measured, measures=made.measured.measures | strokes))


def history_of(*visits):
    return History(name="Robin Example", visits=visits)


KNOWN = sum(map(bool, make_numbers().values()))
LATER = {"tempo_ratio": 3.4, "head_along": 7.5}


@pytest.fixture(scope="module")
def history():
    """Three visits, the second without a stroke; at the third the tempo and the head's movement are others."""
    return history_of(
        with_stroke(1, "before", day=0),
        visit(2, START, "after", REBUILT),
        with_stroke(3, "check", day=90, values=REBUILT, **LATER),
    )


@pytest.fixture(scope="module")
def laid(history):
    return lay_out_history(history, find_changes=find_changes)


def written(history):
    return write_stroke_history(history, find_stroke_courses(history, find_changes=find_changes))


def test_what_changed_for_real_is_named_and_judged_apart_from_the_setup(history):
    said = " ".join(written(history).says)
    assert f"2 of {KNOWN} numbers of it changed for real: back to through and head moves along the line." in said
    assert "apart from the setup" in said
    steady = history_of(with_stroke(1, "before", day=0), with_stroke(2, "check", day=9))
    assert f"none of {KNOWN} numbers of it changed by more than the noise" in written(steady).says[0]


def test_one_visit_with_a_stroke_has_nothing_to_be_compared_with(history):
    alone = history_of(history.visits[0], history.visits[1])
    assert written(alone).says == ("Only the visit of 3 November 2025 has a stroke, so there is nothing to compare it "
                                   "with yet.",)  # fmt: skip
    assert written(history_of(history.visits[1])) is None


def test_tempo_length_path_and_stillness_are_charted_over_all_visits(laid):
    charts = {each.file: each for each in laid.drawn if each.file.startswith("stroke")}
    assert [name for each in charts.values() for name in each.names] == list(STROKE_IN_SHORT)
    assert all("not measured" in each.svg for each in charts.values())  # at the second visit
    assert any("3.4" in point.says for point in charts["stroke_1"].points)
    assert set(charts) <= set(laid.charts)


def test_without_a_stroke_there_is_no_such_part():
    laid = lay_out_history(history_of(visit(1, START, "before", FIRST)), find_changes=find_changes)
    assert laid.page.stroke is None
    assert not [name for name in laid.charts if name.startswith("stroke")]
    assert "The stroke over time" not in history_as_html(laid.page, charts=laid.charts)


def test_page_and_pdf_show_the_stroke_with_every_number(laid):
    page = html.unescape(history_as_html(laid.page, charts=laid.charts)).replace("\N{NO-BREAK SPACE}", " ")
    part = page[page.index("The stroke over time") :]
    assert f"2 of {KNOWN} numbers" in part
    assert f"Every number of the stroke ({KNOWN})" in part
    assert "2.1 ± 0.1 → 3.4 ± 0.1: <strong>real change</strong>" in part
    text = read_pdf(history_as_pdf(laid.page, charts=laid.charts))
    assert "The stroke over time" in text
    assert STROKE_MEASURES["knees_up"].title in text


def test_the_stroke_is_read_in_inches_too(history):
    with show_lengths_in("inches"):
        laid = lay_out_history(history, find_changes=find_changes)
        page = history_as_html(laid.page, charts=laid.charts)
    part = page[page.index("The stroke over time") :].replace("\N{NO-BREAK SPACE}", " ")
    row = part[part.index(STROKE_MEASURES["hands_back"].title + "</h3>") :]
    assert "4.1 ± 0.2 in" in row[:400]
    assert "Hands back, in" in laid.charts["stroke_1"]


def test_setup_and_stroke_share_the_rows(history):
    setup = course_rows(history, find_courses(history, find_changes=find_changes))
    assert {row.part for row in setup} == {"trunk", "head", "arms", "legs", "balance", "club"}
    stroke = course_rows(history, find_stroke_courses(history, find_changes=find_changes), names=STROKE_IN_SHORT)
    assert [row.title for row in stroke] == [STROKE_MEASURES[name].title for name in STROKE_IN_SHORT]
    assert {row.part for row in stroke} == {"stroke"}
