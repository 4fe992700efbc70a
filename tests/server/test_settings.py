"""The settings on the page: the library's checks in its words, and nothing stored where something is wrong."""

import re

import pytest

from putt_posture.archive import open_archive, read_settings
from putt_posture.disk.defaults import read_defaults
from putt_posture.services.coach_settings import find_own_coach_file, load_coach_settings


@pytest.fixture(autouse=True)
def defaults(tmp_path, monkeypatch):
    path = tmp_path / "own" / "defaults.toml"
    monkeypatch.setenv("PUTT_POSTURE_DEFAULTS", str(path))
    return path


def test_the_settings_open_with_and_without_an_archive(state, coach):
    assert "There is no archive yet" in coach.get("/settings").text
    with state.open_archive(make=True):
        pass
    page = coach.get("/settings")
    assert page.status_code == 200
    assert 'name="revisit_weeks"' in page.text
    assert str(state.drafts.folder) in page.text


def test_bands_are_kept_and_their_starting_values_stay_named(state, coach):
    page = coach.get("/settings/bands")
    assert re.search(r'name="hand_offset\.above"[^>]*value="3"', page.text)
    kept = coach.post("/settings/bands", data={"hand_offset.above": "4,5", "spine_tilt.below": ""})
    assert "Kept." in kept.text
    assert "starting value, common practice: 3" in " ".join(kept.text.split())
    assert load_coach_settings(state.coach_file).coach.bands["hand_offset"].above == 4.5
    assert read_defaults()["coach_file"] == str(state.coach_file) == str(find_own_coach_file())
    back = coach.post("/settings/bands", data={"hand_offset.above": "3"})
    assert "starting value, common practice: 3" not in " ".join(back.text.split())
    assert state.coach_file.read_text() == ""


@pytest.mark.parametrize(
    ("sent", "says"),
    [
        ({"hand_offset.above": "-1"}, "is less than the minimum of 0"),
        ({"hand_offset.above": "four"}, "a number is needed"),
        ({"hand_offset.above": "nan"}, "a number is needed"),
        ({"shaft_lean.low": "9"}, "is not less than high"),
    ],
)
def test_a_band_that_cannot_be_gets_one_sentence_and_nothing_is_stored(state, coach, sent, says):
    answer = coach.post("/settings/bands", data=sent)
    assert answer.status_code == 400
    assert says in answer.text
    assert 'role="alert"' in answer.text
    assert state.coach_file is None
    assert not find_own_coach_file().exists()
    assert next(iter(sent.values())) in answer.text  # what was typed stays


def test_the_order_is_moved_by_buttons_and_taken_back(state, coach):
    names = [each.name for each in load_coach_settings(None).coach.faults]
    coach.post("/settings/order", data={"later": names[0]})
    assert load_coach_settings(state.coach_file).coach.faults[0].name == names[1]
    refused = coach.post("/settings/order", data={"earlier": "rounded_back"})
    while refused.status_code == 200:
        refused = coach.post("/settings/order", data={"earlier": "rounded_back"})
    assert "a cause comes first" in refused.text
    coach.post("/settings/order", data={"starting": "yes"})
    assert [each.name for each in load_coach_settings(state.coach_file).coach.faults] == names


def test_words_and_drills_are_changed_and_taken_back(state, coach):
    drill = "/settings/words/drills/hang_the_arms"
    page = coach.get(drill).text
    sent = {
        name: re.search(rf'name="{name}"[^>]*>([^<]*)</textarea>', page)[1]
        for name in ("title", "for", "setup", "right")
    }
    kept = coach.post(drill, data={**sent, "title": "Let the arms hang <i>"})
    assert "Let the arms hang &lt;i&gt;" in kept.text
    own = state.coach_file.read_text()
    assert own.strip().splitlines() == ["[drills.hang_the_arms]", 'title = "Let the arms hang <i>"']
    coach.post(drill, data={"starting": "yes"})
    assert state.coach_file.read_text().strip() == ""
    fault = "/settings/words/faults/stands_tall"
    bad = coach.post(fault, data={"title": "Off by {nothing}", "drills": "grip_down"})
    assert bad.status_code == 400
    assert state.coach_file.read_text().strip() == ""
    assert coach.get("/settings/words/faults/no_such").status_code == 400


def test_the_text_itself_is_checked_with_its_line_named(state, coach):
    bad = coach.post("/settings/text", data={"text": "[bands.hand_offset]\nabove = -1"})
    assert bad.status_code == 400
    assert "line 2: bands.hand_offset.above" in bad.text
    assert "above = -1" in bad.text
    assert state.coach_file is None
    good = coach.post("/settings/text", data={"text": "# mine\r\n[bands.hand_offset]\r\nabove = 4\r\n"})
    assert "Kept." in good.text
    assert state.coach_file.read_bytes() == b"# mine\n[bands.hand_offset]\nabove = 4\n"
    taken = coach.post("/settings/starting-values")
    assert taken.status_code == 200
    assert state.coach_file.read_text() == ""


def test_a_file_that_another_program_spoiled_is_put_right_in_the_text(state, coach, tmp_path):
    state.coach_file = tmp_path / "mine.toml"
    state.coach_file.write_text("[bands")
    assert "is not TOML" in coach.get("/settings").text
    assert coach.get("/settings/bands").status_code == 400
    assert coach.get("/settings/text").status_code == 400
    assert "Kept." in coach.post("/settings/text", data={"text": ""}).text


def test_defaults_are_kept_and_in_force_at_once(state, coach, defaults):
    sent = {"coach": "Kim Coach", "units": "inches", "paper": "letter", "hide_faces": "yes", "handed": "left"}
    coach.post("/settings/defaults", data=sent)
    assert read_defaults() == {
        "coach": "Kim Coach", "units": "inches", "paper": "letter", "hide_faces": True, "handed": "left",
    }  # fmt: skip
    assert (state.units, state.paper, state.hide_faces) == ("inches", "letter", True)
    bad = coach.post("/settings/defaults", data={**sent, "archive": "somewhere"})
    assert bad.status_code == 400
    assert "write the whole path" in bad.text
    assert "archive" not in read_defaults()
    coach.post("/settings/defaults", data={})
    assert read_defaults() == {}
    assert (state.units, state.hide_faces) == ("cm", False)


def test_the_times_of_the_archive_are_changed_by_the_rules_of_the_archive(state, coach):
    with state.open_archive(make=True):
        pass
    usual = {"revisit_weeks": "8", "keep_pictures_months": "24", "keep_students_months": "60", "grown_at_years": "18"}
    coach.post("/settings/archive", data={**usual, "revisit_weeks": "6"})
    with open_archive(state.archive) as archive:
        assert read_settings(archive).revisit_weeks == 6
    for bad, says in (("0", "a whole number from 1 to 1200"), ("many", "a whole number is needed")):
        answer = coach.post("/settings/archive", data={**usual, "revisit_weeks": bad})
        assert answer.status_code == 400
        assert says in answer.text
    with open_archive(state.archive) as archive:
        assert read_settings(archive).revisit_weeks == 6


def test_high_contrast_is_of_one_browser(coach):
    assert 'data-contrast="high"' not in coach.get("/settings").text
    assert 'data-contrast="high"' in coach.post("/settings/look", data={"high": "yes"}).text
    assert 'data-contrast="high"' not in coach.post("/settings/look", data={}).text


def test_the_settings_are_not_for_a_phone(state, stranger):
    from putt_posture.server.access import Session

    stranger.get("/enter", params={"code": state.access.give_code(Session(role="phone", draft="0" * 16))})
    assert stranger.get("/settings").status_code == 403
    assert stranger.post("/settings/text", data={"text": ""}).status_code == 403


def test_heads_are_hidden_in_lessons_that_are_measured_while_the_coach_hides_them(state):
    from datetime import datetime

    from putt_posture.server.measuring import prepare
    from putt_posture.values import Student

    draft = state.drafts.begin(Student(stature_cm=173, handed="right"), now=datetime(2026, 11, 27))
    (state.drafts.clips_folder(draft.id) / "a.jpg").write_bytes(b"")
    draft = state.drafts.change(draft.id, clips={"face_on": "a.jpg"})
    assert not prepare(state, draft, archive=None).lesson.hide_faces
    state.hide_faces, state.paper = True, "letter"
    job = prepare(state, draft, archive=None).lesson
    assert (job.hide_faces, job.paper) == (True, "letter")
