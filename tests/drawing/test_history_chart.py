"""The charts of a history: legible, every visit marked, real changes and putters told apart."""

import re

import pytest
from attrs import evolve
from invented_history import START, drift, many, one_day, one_visit, plain_changes

from putt_posture.drawing.charts import AFTER, BEFORE, CHECK, WIDTH
from putt_posture.drawing.history_chart import draw_history_charts
from putt_posture.history import find_courses, find_putter_changes
from putt_posture.measures import MEASURES
from putt_posture.values import History

LEAST_LETTERS = 0.022
"""Share of the width: 8 pixels on a phone that shows it 360 pixels wide."""

MAKERS = [one_visit, one_day, drift, many]


@pytest.fixture(scope="module")
def drawn():
    return {make: charts_of(make()) for make in MAKERS}


def charts_of(history):
    courses = find_courses(history, find_changes=plain_changes)
    return draw_history_charts(history, courses, putters=find_putter_changes(history))


@pytest.fixture(scope="module")
def drifted(drawn):
    return drawn[drift]


def chart_of(visits, names):
    """Draw the one chart that shows some measures, and no other."""
    measures = [{name: each.measured.measures[name] for name in names} for each in visits]
    bare = zip(visits, measures, strict=True)
    some = tuple(evolve(each, measured=evolve(each.measured, measures=kept)) for each, kept in bare)
    (chart,) = charts_of(History(name="", visits=some))
    return chart


def comments(chart):
    return re.findall(r"<!-- (.*?) -->", chart.svg)


@pytest.mark.parametrize("make", MAKERS)
def test_letters_are_legible_on_a_phone(make, drawn):
    for chart in drawn[make]:
        scales = [float(each) for each in re.findall(r"scale\((0\.\d+) -0\.\d+\)", chart.svg)]
        assert 100 * min(scales) / WIDTH >= LEAST_LETTERS


@pytest.mark.parametrize("make", MAKERS)
def test_every_measure_has_one_panel_and_no_chart_more_than_four(make, drawn):
    charts = drawn[make]
    assert sorted(name for chart in charts for name in chart.names) == sorted(MEASURES)
    assert all(1 <= len(chart.names) <= 4 for chart in charts)
    assert len({chart.file for chart in charts}) == len(charts)


def test_moments_are_told_by_colour_and_in_words(drifted):
    trunk = drifted[0]
    for colour in (BEFORE, AFTER, CHECK):
        assert colour.lower() in trunk.svg.lower()
    assert {"as it was", "rebuilt", "later look", "real change", "within the noise", "not measured"} <= {
        *comments(trunk)
    }


def test_marks_that_are_not_needed_are_not_explained(drawn):
    trunk = drawn[one_visit][0]
    found = comments(trunk)
    assert "as it was" in found
    assert not {"rebuilt", "later look", "real change", "not measured"} & {*found}


def test_other_putters_are_numbered_and_told(drifted):
    found = comments(drifted[0])
    told = [each.replace("\N{NO-BREAK SPACE}", " ") for each in found]
    assert "1: putter in use 35.5 in (90.2 cm) → 33.5 in (85.1 cm)" in told
    assert "2: suggested length 33.5 in (85.1 cm) → 31.5 in (80.0 cm)" in told
    assert found.count("1") == found.count("2") == len(drifted[0].names)


def test_many_putters_are_told_on_the_page_instead(drawn):
    visits = tuple(evolve(each, putter_in_use_cm=80.0 + place) for place, each in enumerate(many(8).visits))
    found = comments(chart_of(visits, drawn[many][0].names))
    assert "1 to 7: the putter changed, see the list on the page" in found


def test_a_measure_that_no_visit_has_gets_no_panel():
    visits = tuple(
        evolve(
            each,
            measured=evolve(
                each.measured,
                measures={
                    name: one for name, one in each.measured.measures.items() if name not in ("balance", "knee_flex")
                },
            ),
        )
        for each in one_day().visits
    )
    names = [name for chart in charts_of(History(name="", visits=visits)) for name in chart.names]
    assert "balance" not in names
    assert "knee_flex" not in names
    assert len(names) == len(MEASURES) - 2


def test_no_visit_and_no_number_make_no_chart():
    assert charts_of(History(name="")) == ()
    bare = tuple(evolve(each, measured=evolve(each.measured, measures={})) for each in one_day().visits)
    assert charts_of(History(name="", visits=bare)) == ()


def test_the_picture_is_described(drifted, drawn):
    assert drifted[0].says.startswith("Spine tilt, Back rounding, Shoulder level, Side bend over 6 visits")
    assert "2 of 4 changed for real" in drifted[0].says
    assert "none of 4" in drawn[one_visit][0].says


def test_the_same_history_draws_the_same_chart(drawn):
    assert drawn[one_day][0].svg == chart_of(one_day().visits, drawn[one_day][0].names).svg


def test_visits_of_one_day_and_one_day_only_are_dated_in_full(drawn):
    assert f"{START.day} {START:%B %Y}" in comments(drawn[one_day][0])
