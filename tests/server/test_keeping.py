"""What is kept of people, on the lesson page: consents, data, export, erasing, and the upkeep of the archive."""

import io
import re
import shutil
import sys
import zipfile
from datetime import date
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "cli"))

from academy import MINOR, TODAY, find_academy

from putt_posture.archive import find_students, load_erasures, load_permission, load_practice, load_student

PLAYER = "Robin [red]Example[/red]"
DAY = TODAY.isoformat()


@pytest.fixture(scope="session")
def made(made_once):
    return find_academy(made_once)


@pytest.fixture
def academy(made, state, coach):
    """Return a coach's browser, where an archive with two students is."""
    shutil.copytree(made, state.archive)
    state.today = date.today
    return coach


def text_of(answer):
    """Return what a person reads on a page."""
    return " ".join(re.sub(r"<[^>]+>", " ", answer.text).split()).replace("&#39;", "'").replace("&amp;", "&")


def test_the_archive_page_shows_what_can_be_done(academy):
    says = text_of(academy.get("/keeping"))
    assert "What is past its time" in says
    assert "Make a backup" in says


@pytest.mark.parametrize(
    "path", ["/students/9/history", "/students/9/consents", "/students/9/erase", "/filed/99/erase"]
)
def test_who_is_not_there_is_one_sentence(path, academy):
    answer = academy.get(path)
    assert answer.status_code == 404
    assert "There is no" in text_of(answer) or "no student" in text_of(answer)


def test_a_page_without_an_archive_is_one_sentence(coach):
    answer = coach.get("/keeping")
    assert answer.status_code == 400
    assert "There is no archive" in text_of(answer)


def test_consent_is_recorded_for_a_minor_by_a_guardian_only(academy, state):
    given = {"act": "give", "for": ["filming", "measures"], "given-by": MINOR, "on": DAY}
    refused = academy.post("/students/2/consents", data=given)
    assert refused.status_code == 400
    assert "guardian" in text_of(refused)
    kept = academy.post("/students/2/consents", data=given | {"given-by": "Alex Young", "guardian": "yes"})
    assert kept.status_code == 200
    with state.open_archive() as archive:
        assert {each.scope for each in load_permission(archive, 2).consents} == {"filming", "measures"}


def test_what_was_typed_stays_beside_its_error(academy):
    answer = academy.post("/students/1/consents", data={"act": "give", "given-by": "Kim <b>Coach", "on": DAY})
    assert answer.status_code == 400
    assert "Nothing was ticked." in answer.text
    assert 'value="Kim &lt;b&gt;Coach"' in answer.text


def test_withdrawn_consent_shows_nothing_any_more_and_offers_hiding(academy):
    assert academy.get("/students/1/history").status_code == 200
    withdrawn = academy.post("/students/1/consents", data={"act": "withdraw", "for": "faces", "on": DAY})
    assert "Keep the pictures with the heads hidden" in text_of(withdrawn)
    assert f"{PLAYER} , 2026-01-10: " in text_of(academy.get("/keeping/hide-faces"))
    academy.post("/students/1/consents", data={"act": "withdraw", "for": "measures", "on": DAY})
    for path in ("history", "history.pdf", "compare?before=1&after=2"):
        answer = academy.get(f"/students/1/{path}")
        assert answer.status_code == 403, path
        assert "°" not in answer.text, path
    shown = text_of(academy.get("/students/1/practice"))
    assert "19 of 20" not in shown


def test_what_is_known_is_changed_and_what_was_not_touched_stays(academy, state):
    page = academy.get("/students/1/describe")
    fields = dict(re.findall(r'name="([a-z-]+)" type="\w+" value="([^"]*)"', page.text))
    assert "measure that side" in text_of(academy.post("/students/1/describe", data=fields | {"handed": "left"}))
    fields |= {"handed": "right", "sex": "female", "stature": "1.80m", "notes": "Likes mornings"}
    changed = academy.post("/students/1/describe", data=fields, follow_redirects=False)
    assert changed.status_code == 303, text_of(changed)
    with state.open_archive() as archive:
        now = load_student(archive, 1)
    assert (now.student.stature_cm, now.notes) == (180.0, "Likes mornings")
    assert (now.name, now.born, now.student.wrist_floor_cm) == (PLAYER, date(1990, 5, 17), 85.5)
    refused = academy.post("/students/1/describe", data=fields | {"stature": "3m"})
    assert refused.status_code == 400
    assert 'value="3m"' in refused.text
    refused = academy.post("/students/1/describe", data=fields | {"adult": "yes"})
    assert "gives the age" in text_of(refused)


def test_tests_are_held_against_the_findings_of_the_last_lesson(academy, monkeypatch):
    says = "Short putts are weak, which fits the findings."
    monkeypatch.setattr("putt_posture.services.students.compare_last_with_tests", lambda *_words, **_more: (says,))
    assert says in text_of(academy.get("/students/1/practice"))


def test_a_practice_test_is_counted_and_removed(academy, state):
    sheet = {"day": DAY, "note": "slow", "holed-0": "6", "tried-0": "6", "holed-2": "2", "tried-2": "6"}
    kept = academy.post("/students/1/practice", data=sheet)
    assert "2 of 6" in text_of(kept)
    with state.open_archive() as archive:
        test = load_practice(archive, 1, today=TODAY)[-1]
    assert [(each.distance_cm, each.holed, each.tried) for each in test.counts] == [(90.0, 6, 6), (300.0, 2, 6)]
    academy.post(f"/students/1/practice/{test.number}/remove")
    with state.open_archive() as archive:
        assert len(load_practice(archive, 1, today=TODAY)) == 1


@pytest.mark.parametrize(
    ("sheet", "says"),
    [
        ({}, "No putt was counted."),
        ({"holed-0": "7", "tried-0": "6"}, "7"),
        ({"holed-0": "-1", "tried-0": "6"}, "is not a number of putts"),
        ({"holed-0": "1", "tried-0": "6", "day": "2100-01-01"}, "in the future"),
        ({"holed-0": "1", "tried-0": "6", "day": "soon"}, "cannot be read"),
    ],
)
def test_a_test_that_cannot_be_is_one_sentence_and_is_not_kept(sheet, says, academy, state):
    answer = academy.post("/students/1/practice", data={"day": DAY} | sheet)
    assert answer.status_code == 400
    assert says in text_of(answer)
    with state.open_archive() as archive:
        assert len(load_practice(archive, 1, today=TODAY)) == 1


def test_two_lessons_are_compared_by_the_projects_own_page(academy):
    answer = academy.get("/students/1/compare", params={"before": 1, "after": 2})
    assert answer.status_code == 200
    assert "What changed" in text_of(answer)
    assert 'aria-label="This student"' in answer.text
    other = academy.get("/students/2/compare", params={"before": 1, "after": 2})
    assert other.status_code == 400
    assert "is not one of Charlie Young" in text_of(other)


def test_the_points_of_a_chart_are_the_numbers_of_the_history(academy):
    page = academy.get("/students/1/history").text
    points = re.search(r'data-points="([^"]+)"', page)[1]
    assert "Spine tilt, 10 January 2026, as it was: " in points
    assert points.count("Spine tilt, ") == 3


def test_an_export_is_a_zip_with_everything(academy):
    answer = academy.post("/students/1/export", data={"without-clips": "yes"})
    with zipfile.ZipFile(io.BytesIO(answer.content)) as packed:
        names = packed.namelist()
    assert "student.json" in names
    assert not [each for each in names if each.endswith(".mov")]
    assert 'filename="student-1.zip"' in answer.headers["content-disposition"]


def test_a_short_passphrase_is_refused_beside_its_field(academy):
    answer = academy.post("/students/1/export", data={"passphrase": "abc"})
    assert answer.status_code == 400
    assert "passphrase-error" in answer.text


def test_the_tables_of_the_archive_come_as_a_zip_without_names(academy):
    answer = academy.post("/keeping/export", data={})
    with zipfile.ZipFile(io.BytesIO(answer.content)) as packed:
        read = b"".join(packed.read(name) for name in packed.namelist() if name.endswith(".csv"))
    assert b"spine_tilt" in read
    assert b"Example" not in read


def test_a_student_is_erased_only_when_the_name_is_typed(academy, state):
    asked = {"reason": "asked for it", "name": "Robin"}
    refused = academy.post("/students/1/erase", data=asked)
    assert refused.status_code == 400
    assert "Nothing was erased." in text_of(refused)
    telling = academy.post("/students/1/erase", data=asked | {"reason": "Robin asked"})
    assert "Leave the name out." in text_of(telling)
    done = academy.post("/students/1/erase", data=asked | {"name": PLAYER})
    assert "Erased: 1 student, 3 lessons" in text_of(done)
    with state.open_archive() as archive:
        assert not find_students(archive, "Robin")
        assert load_erasures(archive)[0][3] == "asked for it"
    assert "asked for it" in text_of(academy.get("/keeping/erasures"))


def test_a_lesson_that_another_coach_erased_is_one_sentence(academy):
    assert "Erased: 1 lesson" in text_of(academy.post("/filed/2/erase"))
    again = academy.post("/filed/2/erase")
    assert again.status_code == 404
    assert academy.get("/students/1/compare", params={"before": 1, "after": 2}).status_code == 400


def test_what_is_past_its_time_is_erased_only_as_it_was_shown(academy, state):
    academy.post("/students/1/consents", data={"act": "withdraw", "for": "pictures", "on": DAY})
    page = academy.get("/keeping/retention")
    shown = re.search(r'name="shown" value="(\w+)"', page.text)[1]
    academy.post("/filed/2/erase")
    assert "The list changed" in text_of(academy.post("/keeping/retention", data={"shown": shown}))
    shown = re.search(r'name="shown" value="(\w+)"', academy.get("/keeping/retention").text)[1]
    assert "Erased: 2 lessons" in text_of(academy.post("/keeping/retention", data={"shown": shown}))
    assert "Nothing is past its time." in text_of(academy.get("/keeping/retention"))


def test_the_draft_of_a_student_who_is_past_their_time_goes_with_them(academy, state):
    academy.post("/lessons", data={"student": 1})
    academy.post("/lessons", data={"student": 2})
    state.today = lambda: date(2300, 1, 1)
    shown = re.search(r'name="shown" value="(\w+)"', academy.get("/keeping/retention").text)[1]
    assert "Erased: 2 students" in text_of(academy.post("/keeping/retention", data={"shown": shown}))
    assert state.drafts.list() == []


def test_the_archive_is_checked_and_what_is_wrong_is_named(academy, state):
    assert "is whole" in text_of(academy.post("/keeping/check", data={}))
    kept = next(each for each in (Path(state.archive) / "files").rglob("*") if each.is_file())
    kept.unlink()
    says = text_of(academy.post("/keeping/check", data={}))
    assert "not as it should be" in says


def test_a_backup_is_made_at_a_whole_path_only(academy, tmp_path):
    assert "no whole path" in text_of(academy.post("/keeping/backup", data={"folder": "here"}))
    assert "Backup of all rows" in text_of(academy.post("/keeping/backup", data={"folder": str(tmp_path / "copy")}))
    assert (tmp_path / "copy").is_dir()


def test_the_overview_says_who_is_due(academy):
    says = text_of(academy.get("/overview", params={"weeks": "8"}))
    assert PLAYER in says
