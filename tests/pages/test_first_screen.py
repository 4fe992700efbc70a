"""A report begins with what to do first: findings, the setup to work toward, the putter, the plan."""

import html
import re

import pytest
from attrs import evolve
from invented import advise, make_lesson
from made_up_students import made, nothing_wrong, report_of, three_findings, with_measures

from putt_posture.drawing.stills import draw_stills
from putt_posture.findings import MOST_SAID
from putt_posture.pages.findings_section import find_view, write_findings, write_plan, write_steps
from putt_posture.pages.report import write_report
from putt_posture.wording import CAUTIONS


def text_of(page):
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", page[page.index("<main>") :])).split())


@pytest.fixture(scope="module")
def told():
    return advise(three_findings())


@pytest.fixture(scope="module")
def page():
    return made("report_three_findings")[0]


def test_the_parts_stand_in_the_order_of_a_lesson_and_all_that_is_not_for_it_is_folded(page) -> None:
    order = [page.index(f"<h2>{each}</h2>") for each in
             ("What to do first", "The setup to work toward", "The putter", "The plan", "Before you practise",
              "Every measure", "Where the numbers come from")]  # fmt: skip
    assert order == sorted(order)
    for folded in ("Every measure", "Where the numbers come from"):
        assert f"<summary><h2>{folded}</h2></summary>" in page
    first = page[page.index("<h2>What to do first") : page.index("<h2>The setup to work toward")]
    assert "SHA-256" not in first
    assert "95 % interval" not in first


def test_at_most_three_findings_are_said_and_the_rest_is_folded_behind_its_number(told, page) -> None:
    assert len(told.findings.found) > MOST_SAID
    listed = re.findall(r"<h3>(\d)\. (.*?)</h3>", page[page.index('class="findings"') : page.index("</ol>")])
    titles = [html.unescape(title) for _, title in listed]
    assert titles == [each.title for each in told.findings.found[:MOST_SAID]]
    rest = len(told.findings.found) - MOST_SAID
    assert f"<summary>Also found ({rest})</summary>" in page


def test_each_finding_says_its_number_its_band_how_likely_it_is_what_it_does_and_one_change(told, page) -> None:
    text = text_of(page)
    for each in told.findings.found[:MOST_SAID]:
        assert each.ball in text
        assert f"({each.source})" in text
        assert f"Change: {each.change}" in text
    row = write_findings(told.findings).items[1]
    assert re.search(r"\d ± \d.* the band is .*\d", row.evidence)
    assert row.odds in ("Almost certainly outside.",) or re.fullmatch(r"\d\d\s% likely to be outside\.", row.odds)


def test_nothing_wrong_is_a_finding_with_what_was_looked_at() -> None:
    lesson = advise(nothing_wrong())
    page = made("report_nothing_wrong")[0]
    assert not lesson.findings.found
    assert lesson.findings.lead in text_of(page)
    assert "Within the bands: spine tilt" in text_of(page)
    assert '<ol class="findings">' not in page


def test_what_the_clips_cannot_tell_comes_with_what_would_tell() -> None:
    lesson = advise(with_measures(make_lesson(), {"spine_tilt": 24.0, "hand_offset": 6.0}, sure=3))
    rows = write_findings(lesson.findings).cannot_tell
    assert rows
    assert all(row.would_tell and "likely to be outside" in row.says for row in rows)
    text = text_of(report_of(lesson)[0])
    assert f"What these clips cannot tell ({len(rows)})" in text
    assert rows[0].would_tell in text


def test_the_still_beside_the_findings_is_that_of_the_view_that_shows_the_first() -> None:
    plain = advise(make_lesson())
    seen = [each for each in (advise(with_measures(nothing_wrong(), {"shaft_lean": -20.0})), plain) if each.findings]
    face_on = seen[0]
    assert face_on.findings.first.quantity == "shaft_lean"
    assert find_view(face_on.findings) == "face_on"
    stills = draw_stills(make_lesson())
    assert [each.file for each in write_report(face_on, stills=stills).plates] == ["face_on", "down_the_line"]


def test_a_lesson_that_was_never_looked_at_for_findings_begins_with_its_stills(lesson) -> None:
    report = write_report(lesson, stills=draw_stills(lesson))
    assert (report.findings, report.plan, report.steps) == (None, None, ())
    page = report_of_unadvised(lesson)
    assert "<h2>At address</h2>" in page
    assert "<h2>What to do first</h2>" not in page


def report_of_unadvised(lesson):
    from putt_posture.drawing.stills import as_jpeg
    from putt_posture.pages.report import report_as_html

    stills = draw_stills(lesson)
    return report_as_html(
        write_report(lesson, stills=stills),
        pictures={each.view: as_jpeg(each.annotated, most_bytes=90_000) for each in stills},
    )


def test_the_plan_has_its_number_drills_test_and_next_film_and_repeats_no_caution_of_the_page(told, page) -> None:
    plan = write_plan(told.plan)
    assert [each.figure for each in plan.numbers] == [told.plan.now, told.plan.goal]
    assert not set(plan.cautions) & set(CAUTIONS)
    text = text_of(page)
    for part in (told.plan.test, told.plan.film_again, *(each.right for each in told.plan.drills)):
        assert part in text


def test_each_number_of_a_step_has_its_place_on_the_bar_by_its_band(told) -> None:
    rows = {number.title: number for step in write_steps(told.steps) for number in step.numbers}
    tilt, hands = rows["Spine tilt"], rows["Hands to shoulders"]
    assert tilt.place < 6, "below its band"
    assert hands.place > 14, "beyond its band"
    within = write_steps(advise(nothing_wrong()).steps)
    places = [each.place for step in within for each in step.numbers if each.place is not None]
    assert places
    assert all(0 <= each <= 14 for each in places)


def test_a_number_that_is_absent_has_no_place_and_says_why(told) -> None:
    from made_up_students import without

    steps = write_steps(advise(without(make_lesson(), "spine_tilt", why="The hip is hidden.")).steps)
    tilt = next(each for step in steps for each in step.numbers if each.title == "Spine tilt")
    assert (tilt.place, tilt.says) == (None, "The hip is hidden.")


def test_a_limit_of_the_student_is_named_at_the_change(told) -> None:
    first = evolve(told.findings.first, limits=("knee",))
    row = write_findings(evolve(told.findings, found=(first,))).items[0]
    assert row.limits == "This is adapted to the limit of the knee."
