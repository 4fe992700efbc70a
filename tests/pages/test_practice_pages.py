"""Practice tests as people read them: charts and words."""

import re
from datetime import timedelta

import pytest
from attrs import evolve
from invented_history import START, drift, one_visit, practice, practised

from putt_posture.drawing.charts import WIDTH
from putt_posture.drawing.practice_charts import NamedResult, draw_practice_chart, draw_spread_chart
from putt_posture.pages.practice import draw_practice, format_spread
from putt_posture.practice import read_practice
from putt_posture.values import History, PracticeTest, PuttCount

LEAST_LETTERS = 0.022
"""Share of the width: 8 pixels on a phone that shows it 360 pixels wide."""

ALL_HOLED = PracticeTest(day=START, counts=(PuttCount(distance_cm=91.44, tried=12, holed=12),))


def comments(svg):
    return re.findall(r"<!-- (.*?) -->", svg)


def section_of(*tests):
    return draw_practice(History(name="", practice=tests)).section


def chart_of(*tests):
    names = ("first test", "latest test")
    return draw_practice_chart(
        [NamedResult(name=name, result=read_practice(test)) for name, test in zip(names, tests, strict=False)]
    )


@pytest.mark.parametrize("tests", [practised(1), practised(2), (ALL_HOLED,)])
def test_letters_are_legible_on_a_phone(tests):
    scales = [float(each) for each in re.findall(r"scale\((0\.\d+) -0\.\d+\)", chart_of(*tests))]
    assert 100 * min(scales) / WIDTH >= LEAST_LETTERS


def test_the_chart_names_the_student_the_professionals_and_both_units():
    found = comments(chart_of(practised(1)[0]))
    for text in (
        "first test: curve that fits best", "first test: holed, 95 % interval", "professionals, publ. 1995",
        "professionals, publ. 2018", "the same model on professionals, publ. 1995", "length of the putt, ft", "m",
    ):  # fmt: skip
        assert text in found


def test_without_a_scatter_there_is_no_curve():
    found = comments(chart_of(ALL_HOLED))
    assert "first test: holed, 95 % interval" in found
    assert not any("first test: curve" in text for text in found)


def test_the_chart_over_time_needs_two_scatters():
    results = [read_practice(test) for test in practised(3)]
    none = read_practice(ALL_HOLED)
    assert draw_spread_chart([]) is None
    assert draw_spread_chart([results[0], none]) is None
    assert "not certain" not in comments(draw_spread_chart(results))
    assert "not certain" in comments(draw_spread_chart([results[0], none, *results[1:]]))


def test_an_interval_without_an_end_stays_within_the_chart():
    few = read_practice(PracticeTest(day=START, counts=(PuttCount(distance_cm=45.0, tried=10, holed=1),)))
    assert few.spread.high_deg > 4 * few.spread.sigma.value or few.spread.high_deg >= 59
    svg = draw_spread_chart([few, *(read_practice(test) for test in practised(2))])
    highest = max(float(each) for each in re.findall(r"<!-- (\d+\.?\d*) -->", svg))
    assert highest < 2.5 * max(few.spread.sigma.value, 3)


def test_no_putts_make_no_section():
    assert draw_practice(one_visit()) is None
    untried = PracticeTest(day=START, counts=(PuttCount(distance_cm=91.44, tried=0, holed=0),))
    assert draw_practice(History(name="", practice=(untried,))) is None


def test_one_test_has_one_chart_and_several_have_three():
    assert list(draw_practice(drift(practice=practised(1))).charts) == ["practice"]
    several = draw_practice(drift(practice=practised()))
    assert list(several.charts) == ["practice", "practice_change", "practice_spread"]
    assert [plate.file for plate in several.section.plates] == list(several.charts)
    assert len(several.section.tests) == 5


def test_shares_are_written_with_their_interval_and_both_units():
    # Wilson, 12 of 20, z = 1.96: (0.6 + 0.09604) / 1.19208 = 0.58389 middle; half of the width is
    # 1.96 · √(0.6 · 0.4 / 20 + 3.8416 / 1600) / 1.19208 = 1.96 · 0.120004 / 1.19208 = 0.19731.
    row = section_of(PracticeTest(day=START, counts=(PuttCount(distance_cm=182.88, tried=20, holed=12),))).shares[0]
    assert (row.putt, row.holed) == ("6\N{NO-BREAK SPACE}ft (1.8\N{NO-BREAK SPACE}m)", "12 of 20")
    assert row.share == "60 (39 to 78)\N{NO-BREAK SPACE}%"


def test_the_professionals_are_a_yardstick_and_their_source_is_told():
    section = section_of(practised(1)[0])
    assert "on tour greens, putts of all kinds, not a test on one line" in section.yardstick
    assert "not as a goal." in section.yardstick
    told = " ".join(fact.says for fact in section.sources)
    assert "Duxbury 1995" in told
    assert "Broadie" in told


def test_a_real_change_is_said_with_its_way():
    worse = practice(START, 3.2, tried=80, seed=1)
    better = practice(START + timedelta(days=90), 1.4, tried=80, seed=2)
    said = " ".join(section_of(worse, better).sentences)
    assert "a real change, to less scatter" in said
    assert section_of(worse, better).tests[1].change.endswith("since the test before: may be a change")
    assert "to more scatter" in " ".join(section_of(better, worse).sentences)
    assert "which may be noise" in " ".join(section_of(worse, worse).sentences)


def test_a_test_without_a_scatter_says_why_and_so_does_the_change():
    section = section_of(ALL_HOLED, *practised(1))
    assert "All 12 putts were holed" in section.tests[0].spread
    assert section.tests[1].change == ""
    without = "from the first test to the latest: the earlier test is without a scatter"
    assert any(without in each for each in section.sentences)
    assert any("How much start lines scatter is not certain" in each for each in section_of(ALL_HOLED).sentences)


def test_the_sideways_miss_at_ten_feet_is_that_of_the_angle():
    # tan 2° · 304.8 cm = 0.034921 · 304.8 = 10.6 cm.
    spread = read_practice(*practised()).spread
    assert 1.9 < spread.sigma.value < 2.1
    assert any(
        "is 11\N{NO-BREAK SPACE}cm to the side after 10\N{NO-BREAK SPACE}ft" in each
        for each in section_of(*practised()).sentences
    )


def test_intervals_without_an_end_are_said_to_be_open():
    spread = read_practice(practised(1)[0]).spread
    assert re.fullmatch(r"2\.\d° \(1\.\d to 3\.\d°\)", format_spread(spread))
    assert format_spread(evolve(spread, high_deg=60.0)).endswith("° or more)")
    assert format_spread(evolve(spread, low_deg=0.01)).endswith("° or less)")
    assert re.fullmatch(r"\d\.\d\d° \(2\.10 to 2\.20°\)", format_spread(evolve(spread, low_deg=2.1, high_deg=2.2)))
