"""The page of the fit: the same numbers as the library, and one sentence for what cannot be."""

import re
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from fit_lesson import begin_measured_draft, make_measured_folder

from putt_posture.archive import (
    check_archive,
    load_lesson,
    load_lessons,
    open_archive,
    open_lesson,
    upgrade_archive,
    withdraw_consent,
)
from putt_posture.archive.place import DATABASE_FILE
from putt_posture.records import read_result_folder
from putt_posture.services import open_fit
from putt_posture.values import ChosenPutter, WantedSetup

RELEASED_ARCHIVE = Path(__file__).parents[1] / "records" / "released" / "0.1.0" / "archive"
JSON = {"accept": "application/json"}


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return make_measured_folder(tmp_path_factory.mktemp("fit") / "result")


@pytest.fixture
def base(state, folder):
    return f"/lessons/{begin_measured_draft(state.drafts, folder).id}/fit"


@pytest.fixture(scope="module")
def opened(folder):
    return open_fit(read_result_folder(folder))


def test_the_page_shows_the_sliders_as_the_lesson_has_them(coach, base):
    page = coach.get(base)
    assert page.status_code == 200
    assert 'name="knee_flex_deg"' in page.text
    assert re.search(r'name="knee_flex_deg"[^>]*value="14"', page.text)
    assert "style=" not in page.text


def test_the_answer_has_the_numbers_of_the_library_to_the_last_digit(coach, base, opened):
    said = coach.get(f"{base}/answer", params={"knee_flex_deg": "21.5", "length_cm": "84.5"}, headers=JSON).json()
    tried = opened.try_out(WantedSetup(knee_flex_deg=21.5), ChosenPutter(length_cm=84.5))
    length = tried.body.fit.putter_length
    assert f"{length.value / 2.54:.1f}" in said["says"]
    assert said["sliders"]["tilt_deg"]["says"] == f"{tried.body.fit.setup['spine_tilt'].value:.1f}°"
    held = tried.held.setup["spine_tilt"]
    row = re.search(r'data-row="spine_tilt".*?</div>\n', said["html"], re.DOTALL)[0]
    assert f"{held.value:.1f} ± {held.margin:.1f}°" in row
    assert f"{abs(tried.held.departures['spine_tilt'].value):.1f} ± " in row
    assert said["ghost"]["shaft"]["x1"] == f"{tried.ghost.putter[0][0]:.2f}"


def test_what_is_left_to_the_fit_is_found_and_what_is_not_sent_stays(coach, base):
    asked = coach.get(f"{base}/answer", params={"tilt_deg": "30"}, headers=JSON).json()["sliders"]
    left = coach.get(f"{base}/answer", params={"tilt_deg": ""}, headers=JSON).json()["sliders"]
    without_scripts = coach.get(base, params={"tilt_deg": "30", "by_fit": "tilt_deg"}).text
    assert (asked["tilt_deg"]["by_fit"], left["tilt_deg"]["by_fit"]) == (False, True)
    assert asked["knee_flex_deg"]["value"] == left["knee_flex_deg"]["value"] == "14"
    assert re.search(r'value="tilt_deg" data-free checked', without_scripts)


@pytest.mark.parametrize(
    ("sent", "says"),
    [
        ({"knee_flex_deg": "80"}, "knee flex of 80"),
        ({"knee_flex_deg": "<b>x</b>"}, "a number is needed"),
        ({"knee_flex_deg": "nan"}, "a number is needed"),
        ({"length_cm": "5"}, "out of range"),
        ({"putter_lie_deg": "1e400"}, "a number is needed"),
    ],
)
def test_a_bad_value_gets_one_sentence(coach, base, sent, says):
    answer = coach.get(f"{base}/answer", params=sent, headers=JSON)
    assert answer.status_code == 400
    assert says in answer.json()["says"]
    page = coach.get(base, params=sent)
    assert page.status_code == 400
    assert "<b>x</b>" not in page.text
    assert coach.get(f"{base}/spec", params=sent).status_code == 400


def test_the_curves_come_with_what_to_read_off(coach, base, opened):
    said = coach.get(f"{base}/curves", headers=JSON).json()
    chart, _ = opened.draw_curves(opened.wanted, unit="cm")
    assert said["chart"].startswith("data:image/svg+xml")
    assert [stop["x"] for stop in said["stops"]] == [stop.points[0].x for stop in chart.stops]
    for point in chart.stops[3].points:
        assert point.says in said["stops"][3]["says"]


def test_a_coach_who_reads_inches_sets_inches(state, coach, base, opened):
    state.units = "inches"
    said = coach.get(f"{base}/answer", params={"hand_offset_cm": "1", "length_cm": "34"}, headers=JSON).json()
    tried = opened.try_out(WantedSetup(knee_flex_deg=14.0, hand_offset_cm=2.54), ChosenPutter(length_cm=34 * 2.54))
    assert said["sliders"]["tilt_deg"]["says"] == f"{tried.body.fit.setup['spine_tilt'].value:.1f}°"
    assert said["sliders"]["hand_offset_cm"]["says"] == "1.0\N{NO-BREAK SPACE}in outside"
    assert said["sliders"]["length_cm"]["value"] == "34"


def test_the_still_and_the_spec_sheet_can_be_had(coach, base):
    asked = {"length_cm": "86.4"}
    assert coach.get(f"{base}/still.jpg").content.startswith(b"\xff\xd8")
    assert "Chosen by the coach" in coach.get(f"{base}/spec", params=asked).text
    html = coach.get(f"{base}/spec_sheet.html", params=asked)
    assert "attachment" in html.headers["content-disposition"]
    assert "86.4" in html.text
    assert coach.get(f"{base}/spec_sheet.pdf", params=asked).content.startswith(b"%PDF")


def test_a_setup_is_kept_with_the_lesson_and_a_bad_one_is_not(state, coach, base):
    folder = state.drafts.result_folder(base.split("/")[2])
    before = (folder / "measures.json").read_bytes()
    bad = coach.post(f"{base}/keep", data={"asked": "knee_flex_deg=80"})
    assert bad.status_code == 400
    assert (folder / "measures.json").read_bytes() == before
    kept = coach.post(f"{base}/keep", data={"asked": "knee_flex_deg=23&tilt_deg="})
    assert "Kept." in kept.text
    assert re.search(r'name="knee_flex_deg"[^>]*value="23"', kept.text)


def test_a_lesson_that_was_not_measured_says_so(state, coach):
    from datetime import datetime

    from fit_lesson import WHO

    draft = state.drafts.begin(WHO, now=datetime(2026, 11, 27))
    answer = coach.get(f"/lessons/{draft.id}/fit")
    assert answer.status_code == 400
    assert "not measured yet" in answer.text
    assert coach.get("/lessons/0123456789abcdef/fit").status_code == 400
    assert coach.get("/lessons/../../etc/fit").status_code in (400, 404)


def test_nobody_without_a_session_sees_the_fit(stranger, base):
    assert stranger.get(base).status_code == 403
    assert stranger.get(f"{base}/still.jpg").status_code == 403


@pytest.fixture
def filed(state):
    """The archive of version 0.1.0, upgraded: lesson 1 with outlines, lesson 2 without."""
    place = Path(state.archive)
    shutil.copytree(RELEASED_ARCHIVE / "files", place / "files")
    with closing(sqlite3.connect(place / DATABASE_FILE)) as connection:
        connection.executescript((RELEASED_ARCHIVE / "archive.sql").read_text(encoding="utf-8"))
    upgrade_archive(place)
    return place


def test_a_filed_lesson_is_tried_and_its_setup_kept_beside_the_first(coach, filed, state):
    assert coach.get("/filed/1/fit").status_code == 200
    said = coach.get("/filed/1/fit/answer", params={"knee_flex_deg": "25"}, headers=JSON)
    assert said.status_code == 200
    with open_archive(filed) as archive:
        student = load_lesson(archive, 1).student
        before = len(load_lessons(archive, student))
    kept = coach.post("/filed/1/fit/keep", data={"asked": "knee_flex_deg=25"}, follow_redirects=False)
    number = int(re.search(r"/filed/(\d+)/fit", kept.headers["location"])[1])
    assert number not in (1, 2)
    with open_archive(filed) as archive:
        opened = open_fit(open_lesson(archive, number, today=state.today()))
        assert opened.wanted == WantedSetup(knee_flex_deg=25.0)
        assert len(load_lessons(archive, student)) == before + 1
        assert open_lesson(archive, 1, today=state.today()).record.measures
        assert [each for each in check_archive(archive) if each.kind != "orphan"] == []
    again = coach.post(f"/filed/{number}/fit/keep", data={"asked": "knee_flex_deg=25"}, follow_redirects=False)
    assert again.headers["location"] == f"/filed/{number}/fit?kept=yes"


def test_a_filed_lesson_that_may_not_be_shown_is_not_tried(coach, filed, state):
    assert "without landmarks and outlines" in coach.get("/filed/2/fit").text
    assert coach.get("/filed/99/fit").status_code == 404
    assert coach.get("/filed/1/fit").status_code == 200
    with open_archive(filed) as archive:
        student = load_lesson(archive, 1).student
        withdraw_consent(archive, student, scopes=("pictures", "measures"), on=state.today())
    for path in ("/filed/1/fit", "/filed/1/fit/answer", "/filed/1/fit/spec", "/filed/1/fit/spec_sheet.pdf"):
        assert coach.get(path).status_code == 403, path
    assert coach.post("/filed/1/fit/keep", data={"asked": ""}).status_code == 403
