"""The whole way of a student through the page, by touch on a phone: from enrolment to erasure, without a network."""

import re
from pathlib import Path

import pytest
from by_hand_page import (
    PERSPECTIVE_DEG,
    SHOULDER,
    answers,
    expected_change,
    found_of,
    value,
    wait_for_numbers,
    wait_until_ready,
)
from drafted import give_result
from enrolment_form import fill_enrolment

from putt_posture.archive import find_students, load_lessons, open_lesson
from putt_posture.findings import MOST_SAID
from putt_posture.records import read_result_folder
from putt_posture.server.drafts import DraftStore
from putt_posture.server.state import ServerState
from putt_posture.services import Filing, file_folder, open_fit

NAME = "Parker Puttwell"
BY_PX = 12
"""How far the shoulder is moved: ten and two."""
PATIENCE_MS = 60_000


@pytest.fixture
def state(tmp_path, monkeypatch):
    monkeypatch.setenv("PUTT_POSTURE_DEFAULTS", str(tmp_path / "own" / "defaults.toml"))
    made = ServerState(
        drafts=DraftStore(tmp_path / "drafts"), archive=str(tmp_path / "archive"), tell=lambda _line: None
    )
    yield made
    made.close()


def enrol(page):
    page.get_by_role("link", name="Enrol a new student").tap()
    fill_enrolment(page, NAME, height="175cm")
    page.get_by_label("men", exact=True).check()
    page.get_by_role("button", name="Enrol").tap()
    page.wait_for_url("**/students/1")


def measure(page, state, stills, folder):
    """Begin a lesson and give it its clips; the result stands where measuring would put it."""
    page.get_by_role("button", name="Begin").tap()
    page.wait_for_url("**/input")
    for view, still in stills.items():
        page.locator(f"[data-pick={view}]").last.set_input_files(still)
        page.wait_for_selector(f"[data-view={view}][data-state=whole]", timeout=PATIENCE_MS)
    (draft,) = state.drafts.list()
    assert draft.student == 1
    give_result(state, draft, folder)
    page.get_by_role("link", name="Result").tap()
    page.wait_for_url(f"**/lessons/{draft.id}")
    return state.drafts.result_folder(draft.id)


def move_the_shoulder(page):
    """Move it by keys, keep it, and return the spine tilt before and after."""
    page.get_by_role("link", name="By hand").tap()
    wait_until_ready(page)
    found, before = found_of(page), value(page, "spine_tilt")
    page.get_by_role("button", name="Down the line").tap()
    page.select_option("#point", f"joint {SHOULDER}")
    page.focus("#canvas")
    for key in ("Shift+ArrowRight", "ArrowRight", "ArrowRight"):
        count = answers(page)
        page.keyboard.press(key)
        wait_for_numbers(page, count)
    after, expected = value(page, "spine_tilt"), expected_change(found, BY_PX)
    assert abs(expected) > 3 * PERSPECTIVE_DEG
    assert after - before == pytest.approx(expected, abs=PERSPECTIVE_DEG)
    page.locator("#keep").tap()
    page.wait_for_selector("#by-hand[data-kept=true]", timeout=PATIENCE_MS)
    return before, after


def want_more_knee_flex(page):
    page.get_by_role("link", name="Fit", exact=True).tap()
    page.locator("#curves:not([hidden])").wait_for()
    page.locator("[name=knee_flex_deg]").fill("21")
    page.wait_for_url("**knee_flex_deg=21*")
    page.get_by_role("button", name="Keep this setup").tap()
    page.get_by_role("status").filter(has_text="Kept.").wait_for()


@pytest.mark.whole
def test_a_student_from_enrolment_to_erasure_on_a_phone(serve, state, golfer_stills, golfer_folder) -> None:
    page = serve(state).open("phone")
    enrol(page)
    result = measure(page, state, golfer_stills, golfer_folder)
    said = read_result_folder(golfer_folder).record.findings.found[:MOST_SAID]
    assert said
    shown = page.locator(".findings h3").all_inner_texts()
    assert [re.sub(r"^\d\. ", "", title) for title in shown] == [each.title for each in said]
    found, corrected = move_the_shoulder(page)
    want_more_knee_flex(page)
    kept = read_result_folder(result)
    assert open_fit(kept).wanted.knee_flex_deg == 21
    assert kept.record.measures["spine_tilt"].by_hand == ("right shoulder",)

    page.get_by_role("link", name="Keep", exact=True).tap()
    page.wait_for_url("**/keep")
    page.get_by_role("button", name="File the lesson").tap()
    page.get_by_role("heading", name="The lesson is filed").wait_for()
    assert state.drafts.list() == []
    with state.open_archive() as archive:
        (first,) = load_lessons(archive, 1, today=state.today())
        filed = open_lesson(archive, first.number, today=state.today())
        assert first.clips == 2
        assert filed.record.measures["spine_tilt"].value == pytest.approx(corrected, abs=1e-6)
        later = Filing(student=1, day=state.today(), moment="after", keep_clips=False)
        file_folder(archive, later, golfer_folder, today=state.today())

    page.get_by_role("link", name="To the student").tap()
    page.get_by_role("link", name="Before and after").tap()
    page.get_by_role("button", name="Compare").tap()
    page.wait_for_url("**/compare?before=1&after=2")
    row = page.locator(".changes tr").filter(has_text="Spine tilt").locator("td")
    numbers = [float(re.match(r"[0-9.]+", row.nth(place).text_content())[0]) for place in (0, 1)]
    assert numbers == pytest.approx([corrected, found], abs=0.051)  # one place after the point is shown
    page.get_by_role("link", name="History").tap()
    page.wait_for_url("**/students/1/history")
    says = page.locator("main").inner_text()
    assert NAME in says
    assert "2 visits" in says
    assert "Bars are 95 % intervals" in says

    page.get_by_role("link", name="Erase", exact=True).tap()
    page.get_by_label("Why, for the record").fill("asked for it")
    page.get_by_label("To go on, type the name").fill("Parker")
    page.get_by_role("button", name="Erase for good").tap()
    page.locator("#name-error").wait_for()
    page.get_by_label("To go on, type the name").fill(NAME)
    page.get_by_role("button", name="Erase for good").tap()
    page.get_by_role("heading", name="Done").wait_for()
    with state.open_archive() as archive:
        assert find_students(archive, "parker") == ()
    assert [each for each in Path(state.archive, "files").rglob("*") if each.is_file()] == []
    assert page.faults == ["Failed to load resource: the server responded with a status of 400 (Bad Request)"]
