"""A lesson in one sitting, driven in a browser: by touch on a phone, by keyboard and dropped clips on a laptop."""

import pytest
from drafted import give_result
from enrolment_form import fill_enrolment
from invented import advise, make_lesson
from looking import look_at

from putt_posture.archive import load_lessons
from putt_posture.demo import load_samples
from putt_posture.findings import MOST_SAID
from putt_posture.pages import store_lesson
from putt_posture.records import read_result_folder
from putt_posture.server.drafts import DraftStore
from putt_posture.server.measuring import find_outcome
from putt_posture.server.state import ServerState

MEASURING_MS = 240_000
"""How long measuring may take before the test gives up; nothing is said of how long it takes."""


@pytest.fixture
def state(tmp_path):
    made = ServerState(
        drafts=DraftStore(tmp_path / "drafts"), archive=str(tmp_path / "archive"), tell=lambda _line: None
    )
    yield made
    made.close()


@pytest.fixture(scope="session")
def advised(tmp_path_factory):
    """The result folder of the invented lesson with findings."""
    return store_lesson(advise(make_lesson()), tmp_path_factory.mktemp("advised") / "report")


@pytest.mark.whole
def test_a_lesson_on_a_phone_from_enrolment_to_the_archive(serve, state) -> None:
    """Measured by the page's own process, with its stroke."""
    sample = load_samples()[0]
    page = serve(state).open("phone")
    look_at(page)
    page.get_by_role("link", name="Enrol a new student").tap()
    page.get_by_role("button", name="Enrol").tap()
    page.wait_for_selector(".error")
    assert page.locator(".error").count() == 3
    look_at(page)
    fill_enrolment(page, "Parker Puttwell", height="173cm")
    page.get_by_role("button", name="Enrol").tap()
    page.wait_for_url("**/students/1")
    look_at(page)
    page.get_by_role("button", name="Begin").tap()
    page.wait_for_url("**/input")
    for view, clip in sample.clips.items():
        name = f"<i>{view}</i>{clip.suffix}"
        page.locator(f"[data-pick={view}]").last.set_input_files(
            {"name": name, "mimeType": "video/mp4", "buffer": clip.read_bytes()}
        )
        page.wait_for_selector(f"[data-view={view}][data-state=whole]", timeout=60_000)
        assert page.locator(f"[data-view={view}] .clip-name").inner_text() == name
    page.get_by_label("Misses").fill(sample.interview.misses)
    page.get_by_label("Putter in use: length").fill("36in")
    look_at(page)
    draft = state.drafts.list()[0]
    assert set(draft.clips) == set(sample.clips)
    page.get_by_role("button", name="Measure").first.tap()
    page.wait_for_selector("#measuring")
    page.locator(".what").filter(has_not_text="Beginning").wait_for(timeout=MEASURING_MS)
    page.wait_for_url(f"**/lessons/{draft.id}", timeout=MEASURING_MS)
    look_at(page)
    record = read_result_folder(state.drafts.result_folder(draft.id)).record
    titles = page.locator(".findings h3").all_inner_texts()
    found = [each.title for each in record.findings.found[:MOST_SAID]]
    assert titles == ([f"{place}. {title}" for place, title in enumerate(found, start=1)] if len(found) > 1 else found)
    assert found
    assert page.locator(".with-still img").first.evaluate("each => each.naturalWidth") > 300
    page.get_by_role("link", name="Keep").tap()
    page.wait_for_url("**/keep")
    look_at(page)
    page.get_by_role("button", name="File the lesson").tap()
    page.get_by_role("heading", name="The lesson is filed").wait_for()
    assert state.drafts.list() == []
    with state.open_archive() as archive:
        (filed,) = load_lessons(archive, 1, today=state.today())
    assert filed.clips == 2
    page.get_by_role("link", name="Look at the lesson").tap()
    page.wait_for_url("**/filed/1")
    assert page.locator(".findings h3").all_inner_texts() == titles
    look_at(page)
    page.get_by_role("link", name="History").tap()
    page.wait_for_url("**/students/1/history")
    assert "Parker Puttwell" in page.locator("main").inner_text()
    assert page.faults == ["Failed to load resource: the server responded with a status of 400 (Bad Request)"]


DROP = """([selector, name, bytes]) => {
  const data = new DataTransfer();
  data.items.add(new File([Uint8Array.from(atob(bytes), (each) => each.charCodeAt(0))], name, { type: "video/mp4" }));
  const place = document.querySelector(selector);
  for (const kind of ["dragover", "drop"])
    place.dispatchEvent(new DragEvent(kind, { dataTransfer: data, bubbles: true, cancelable: true }));
}"""


def test_a_lesson_on_a_laptop_by_keyboard_and_dropped_clips(serve, state, advised) -> None:
    import base64

    sample = load_samples()[0]
    page = serve(state).open("laptop", "/lessons/new")
    look_at(page)
    page.get_by_label("Name").focus()
    page.keyboard.type("A guest")
    for key in ("Tab", "Space", "Tab"):
        page.keyboard.press(key)
    page.keyboard.type("178")
    page.keyboard.press("Enter")
    page.wait_for_selector("#stature-error")
    field = page.get_by_label("Height, barefoot")
    assert field.input_value() == "178"
    assert field.get_attribute("aria-invalid") == "true"
    assert "stature-error" in field.get_attribute("aria-describedby")
    field.press("End")
    page.keyboard.type("cm")
    page.keyboard.press("Enter")
    page.wait_for_url("**/input")
    draft = state.drafts.list()[0]
    assert (draft.who.name, draft.who.handed, draft.who.stature_cm) == ("A guest", "right", 178)
    broken = base64.b64encode(b"this is no clip" * 50).decode()
    page.evaluate(DROP, ["[data-view=face_on]", "notes.mp4", broken])
    refused = page.locator("[data-view=face_on] .refused")
    refused.wait_for(timeout=60_000)
    assert "notes.mp4" in refused.inner_text()
    for view, clip in sample.clips.items():
        page.evaluate(DROP, [f"[data-view={view}]", clip.name, base64.b64encode(clip.read_bytes()).decode()])
        page.wait_for_selector(f"[data-view={view}][data-state=whole]", timeout=60_000)
    assert not refused.is_visible()
    look_at(page)
    draft = state.drafts.list()[0]
    give_result(state, draft, advised)
    page.get_by_role("link", name="Result").press("Enter")
    page.wait_for_url(f"**/lessons/{draft.id}")
    look_at(page)
    assert page.locator(".findings h3").count() >= 1
    page.get_by_role("link", name="Clips and answers").press("Enter")
    page.get_by_label("Misses").fill("left")
    page.get_by_role("button", name="Keep what was typed").press("Enter")
    page.wait_for_url("**/input?kept=1")
    assert "Measure it again" in page.locator("main").inner_text()
    page.get_by_role("button", name="Swap the two clips").press("Enter")
    page.wait_for_url("**/input#clips")
    swapped = state.drafts.load(draft.id)
    assert swapped.clips["face_on"] == draft.clips["down_the_line"]
    assert find_outcome(state, swapped).is_stale
    page.get_by_role("link", name="Keep", exact=True).press("Enter")
    page.wait_for_url("**/keep")
    look_at(page)
    with page.expect_download() as saved:
        page.get_by_role("link", name="Save as a zip file").press("Enter")
    assert saved.value.suggested_filename == "lesson.zip"
    page.get_by_label("Yes, clips and result are to be erased").press("Space")
    page.get_by_role("button", name="Throw away").press("Enter")
    page.wait_for_url(lambda url: url.endswith("/"))
    assert state.drafts.list() == []


def test_without_scripts_forms_work_and_measuring_goes_on_by_itself(serve, state, advised) -> None:
    page = serve(state).open("laptop", "/", java_script_enabled=False)
    page.locator("[action='/samples/before'] button").click()
    page.get_by_label("Misses").fill("right")
    page.get_by_role("button", name="Keep what was typed").click()
    draft = state.drafts.list()[0]
    assert draft.interview.misses == "right"
    give_result(state, draft, advised)
    page.goto(page.url.split("/input")[0] + "/measuring")
    assert page.url.endswith(draft.id)
    assert page.locator(".findings h3").count() >= 1
