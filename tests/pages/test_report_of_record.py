"""The report of a stored lesson without its pictures says the same as with them, as far as its numbers tell it."""

import pytest
from invented import MADE_ON, advise, make_lesson

from putt_posture.drawing.stills import draw_stills
from putt_posture.pages import lesson_as_files
from putt_posture.pages.report import report_as_html, write_record, write_report
from putt_posture.records import read_result_files


@pytest.fixture(scope="module")
def advised():
    return advise(make_lesson())


@pytest.fixture(scope="module")
def record(advised):
    return read_result_files(lesson_as_files(advised, made_on=MADE_ON), title="it").record


def test_numbers_findings_steps_plan_and_putter_are_those_of_the_lesson(advised, record) -> None:
    whole, now = write_report(advised, stills=draw_stills(advised), made_on=MADE_ON), write_record(record)
    for part in (
        "student",
        "line",
        "facts",
        "findings",
        "plan",
        "rows",
        "absent_rows",
        "warnings",
        "versions",
        "answers",
    ):
        assert getattr(now, part) == getattr(whole, part), part
    for part in ("length", "length_metric", "interval", "stock", "lie", "absent"):
        assert getattr(now.length, part) == getattr(whole.length, part), part
    assert [each.do for each in now.steps] == [each.do for each in whole.steps]
    assert now.plates == ()


def test_findings_are_shown_without_a_still_beside_them(record) -> None:
    page = report_as_html(write_record(record), pictures={})
    assert record.findings.first.title in page
    assert "<img" not in page
