"""The plan of the last lesson is taken up when the next one is filed, and in the history."""

from datetime import date

import pytest
from filed import TODAY, file_one, with_tilt

from putt_posture.archive import store_student_history, take_up_last_plan, withdraw_consent
from putt_posture.errors import NotAllowed
from putt_posture.services import Filing, file_folder

ONE_DATABASE = "rules on what was read; the queries are tried elsewhere in both"


@pytest.fixture
def player(archive, player, stored):
    file_one(archive, player, with_tilt(stored, "tall", 15.0), day=date(2026, 11, 1))
    return player


def test_the_next_lesson_says_what_became_of_the_plan(archive, stored, player):
    assert take_up_last_plan(archive, player, today=TODAY) is None  # one lesson alone
    file_one(archive, player, with_tilt(stored, "tilted", 35.0), moment="after")
    taken = take_up_last_plan(archive, player, today=TODAY)
    assert (taken.works_on, taken.moved, taken.lies) == ("stands_tall", True, "within")


def test_the_history_says_it_too(archive, stored, player, tmp_path):
    file_one(archive, player, with_tilt(stored, "tall again", 16.0), moment="check")
    store_student_history(archive, player, tmp_path / "history", today=TODAY)
    page = (tmp_path / "history" / "history.html").read_text(encoding="utf-8")
    assert "Last time&#39;s plan: too little tilt from the hips." in page or "Last time's plan: too little tilt" in page
    assert "no more than the noise" in page


def test_filing_says_it(archive, stored, player, tmp_path):
    lesson = with_tilt(stored, "tilted", 35.0)
    (tmp_path / "report" / "stills").mkdir(parents=True)
    for name in lesson.names:
        (tmp_path / "report" / name).write_bytes(lesson.read(name))
    filed = file_folder(archive, Filing(student=player, day=TODAY, moment="after"), tmp_path / "report", today=TODAY)
    assert filed.says[0].startswith("Last time's plan: too little tilt from the hips. Spine tilt changed by +20.0")


def test_without_consent_nothing_is_said(archive, stored, player):
    file_one(archive, player, with_tilt(stored, "tilted", 35.0), moment="after")
    withdraw_consent(archive, player, scopes=("measures",), on=TODAY)
    with pytest.raises(NotAllowed):
        take_up_last_plan(archive, player, today=TODAY)
