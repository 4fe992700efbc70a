"""The plan of the last lesson is taken up when the next one is filed, and in the history."""

from datetime import date

import pytest
from attrs import evolve
from filed import TODAY, file_one, make_lesson_of
from invented import make_lesson

from putt_posture.archive import store_student_history, take_up_last_plan, withdraw_consent
from putt_posture.documents.json_values import as_json
from putt_posture.errors import NotAllowed
from putt_posture.findings import find_findings, make_plan
from putt_posture.services import Filing, file_folder
from putt_posture.values import Estimate


def with_tilt(stored, tag, tilt_deg):
    """Return a lesson with this spine tilt, its findings and its plan."""
    lesson = make_lesson()
    tilt = Estimate(value=tilt_deg, standard_uncertainty=1.5, unit="deg", view="down_the_line", method="made up")
    posture = evolve(lesson.posture, estimates={**lesson.posture.estimates, "spine_tilt": tilt})
    fit = evolve(lesson.fit, setup={"spine_tilt": evolve(tilt, value=36.0)})
    findings = find_findings(posture, fit, lesson.student)

    def change(document):
        document["measures"]["spine_tilt"].update(as_json(tilt), budget={}, repeats=[])
        document.update(findings=as_json(findings), plan=as_json(make_plan(findings)))

    return make_lesson_of(stored, tag=tag, change=change)


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
