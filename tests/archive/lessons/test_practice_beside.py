"""Practice tests speak beside the findings of the last lesson: when one is filed or shown, and in its history."""

from datetime import timedelta

import pytest
from filed import TODAY, add_player, file_one, with_tilt

from putt_posture.archive import (
    TESTS_COUNT_FOR,
    add_practice_test,
    compare_last_with_tests,
    load_history,
    store_student_history,
    withdraw_consent,
)
from putt_posture.errors import NotAllowed
from putt_posture.services import Filing, file_folder
from putt_posture.services.students import load_summary
from putt_posture.values import PuttCount

ONE_DATABASE = "rules on what was read; the queries are tried elsewhere in both"
WEAK = (PuttCount(distance_cm=90.0, tried=6, holed=3), PuttCount(distance_cm=150.0, tried=6, holed=2))
SAYS = "5 of 12 short putts"


@pytest.fixture
def player(archive):
    return add_player(archive)


def practise(archive, player, day=TODAY):
    return add_practice_test(archive, player, day=day, counts=WEAK, today=TODAY)


def test_a_test_of_the_day_speaks(archive, stored, player):
    practise(archive, player)
    assert compare_last_with_tests(archive, player, today=TODAY) == ()  # no lesson yet
    file_one(archive, player, with_tilt(stored, "one", 15.0), day=TODAY)
    assert SAYS in compare_last_with_tests(archive, player, today=TODAY)[0]


@pytest.mark.parametrize(
    ("days_before", "speaks"), [(0, True), (TESTS_COUNT_FOR.days, True), (TESTS_COUNT_FOR.days + 1, False), (-1, False)]
)
def test_only_tests_of_the_weeks_before_a_lesson_count(archive, stored, player, days_before, speaks):
    day = TODAY - timedelta(days=100)
    practise(archive, player, day - timedelta(days=days_before))
    file_one(archive, player, with_tilt(stored, "one", 15.0), day=day)
    assert bool(compare_last_with_tests(archive, player, today=TODAY)) is speaks


def test_filing_says_it(archive, stored, player, tmp_path):
    practise(archive, player)
    lesson = with_tilt(stored, "one", 15.0)
    (tmp_path / "report" / "stills").mkdir(parents=True)
    for name in lesson.names:
        (tmp_path / "report" / name).write_bytes(lesson.read(name))
    filed = file_folder(archive, Filing(student=player, day=TODAY, moment="before"), tmp_path / "report", today=TODAY)
    assert any(SAYS in each for each in filed.says)


def test_the_summary_and_the_history_say_it(archive, stored, player, tmp_path):
    practise(archive, player)
    file_one(archive, player, with_tilt(stored, "one", 15.0), day=TODAY)
    assert SAYS in load_summary(archive, player, today=TODAY).tests_say[0]
    found = store_student_history(archive, player, tmp_path / "history", today=TODAY)
    assert SAYS in found.tests_say[0]
    assert SAYS in (tmp_path / "history" / "history.html").read_text(encoding="utf-8")
    assert load_history(archive, player, today=TODAY).tests_say == ()  # it was not asked for


def test_without_consent_nothing_is_said(archive, stored, player):
    practise(archive, player)
    file_one(archive, player, with_tilt(stored, "one", 15.0), day=TODAY)
    withdraw_consent(archive, player, scopes=("measures",), on=TODAY)
    with pytest.raises(NotAllowed):
        compare_last_with_tests(archive, player, today=TODAY)
    assert load_summary(archive, player, today=TODAY).tests_say == ()
