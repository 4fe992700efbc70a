"""A phone for one lesson: it comes in by its code, films, looks at the result, and is refused all else."""

from datetime import UTC, datetime

import pytest
from drafted import give_result
from looking import look_at

from putt_posture.demo import load_samples
from putt_posture.server.access import Session
from putt_posture.server.drafts import DraftStore
from putt_posture.server.state import ServerState
from putt_posture.values import Student

REFUSED = "A phone may only film and look at the lesson at hand."
SAVE = """async (address) => {
  const answer = await fetch(address, { method: "POST", headers: { "content-type": "application/json" }, body: "{}" });
  return [answer.status, await answer.text()];
}"""


@pytest.fixture
def state(tmp_path):
    made = ServerState(
        drafts=DraftStore(tmp_path / "drafts"), archive=str(tmp_path / "archive"), tell=lambda _line: None
    )
    yield made
    made.close()


def begin(state, name):
    return state.drafts.begin(Student(stature_cm=178.0, handed="right", name=name), now=datetime.now(UTC))


def test_a_phone_films_looks_at_its_lesson_and_is_refused_all_else(serve, state, folder) -> None:
    sample = load_samples()[0]
    draft, other = begin(state, "Parker Puttwell"), begin(state, "Robin Example")
    served = serve(state)
    page = served.open("phone", "/enter", role="phone", draft=draft.id)
    page.context.clear_cookies()

    # The way in: a code that is typed as a person types it, and works once.
    code = state.access.give_code(Session(role="phone", draft=draft.id))
    page.goto(f"{served.base}/enter")
    look_at(page)
    page.get_by_label("Code").fill(f" {code.lower()} ")
    page.get_by_role("button").first.tap()
    page.wait_for_url(f"**/lessons/{draft.id}/input")
    assert "Parker Puttwell" in page.locator("h1").inner_text()
    look_at(page)

    # Nothing of the coach is offered: no way out of the lesson, no form.
    links = page.locator("a[href^='/']").evaluate_all("all => all.map((each) => each.getAttribute('href'))")
    assert {each for each in links if not each.startswith(f"/lessons/{draft.id}")} == set()
    assert page.locator("form").count() == 0

    # One clip filmed, one chosen; each is seen to arrive, and is with the coach.
    for view, picked in (("face_on", "first"), ("down_the_line", "last")):
        clip = sample.clips[view]
        place = page.locator(f"[data-view={view}]")
        field = getattr(place.locator(f"[data-pick={view}]"), picked)
        assert (field.get_attribute("capture") is not None) == (picked == "first")
        field.set_input_files({"name": f"IMG_{view}.mp4", "mimeType": "video/mp4", "buffer": clip.read_bytes()})
        page.wait_for_selector(f"[data-view={view}][data-state=whole]", timeout=60_000)
        assert place.locator(".clip-name").inner_text() == f"IMG_{view}.mp4"
        assert place.locator(".clip-says li").count() >= 1
        kept = state.drafts.load(draft.id).clips[view]
        assert (state.drafts.clips_folder(draft.id) / kept).read_bytes() == clip.read_bytes()
    look_at(page)

    # No result yet, then there is one.
    with page.expect_navigation(url=f"**/lessons/{draft.id}/input"):
        page.get_by_role("link", name="Result").tap()
    give_result(state, state.drafts.load(draft.id), folder)
    with page.expect_navigation(url=f"**/lessons/{draft.id}"):
        page.get_by_role("link", name="Result").tap()
    look_at(page)
    assert "At address" in page.locator("main").inner_text()
    assert page.locator("main form").count() == 0
    links = page.locator("a[href^='/']").evaluate_all("all => all.map((each) => each.getAttribute('href'))")
    assert {each for each in links if not each.startswith(f"/lessons/{draft.id}")} == set()

    # Each link that the page offers is open, and all else is refused in one sentence.
    for link in set(links):
        assert page.request.get(served.base + link).status == 200, link
    assert page.faults == []
    for path in (
        "/", "/students", "/students/1", "/filed/1", "/keeping", "/settings", "/phone", f"/lessons/{other.id}",
        f"/lessons/{other.id}/input", f"/lessons/{draft.id}/keep", f"/lessons/{draft.id}/by-hand",
        f"/lessons/{draft.id}/fit",
    ):  # fmt: skip
        answer = page.goto(served.base + path)
        assert answer.status == 403, path
        said = page.locator("main").inner_text()
        assert said.count(REFUSED) == 1, path
        assert "Robin" not in page.content(), path
    look_at(page)
    page.get_by_role("link", name="Back to the lesson").tap()
    page.wait_for_url(f"**/lessons/{draft.id}")
    before = (state.drafts.result_folder(draft.id) / "measures.json").read_bytes()
    for more in (
        "/by-hand/measure",
        "/by-hand/keep",
        "/keep",
        "/discard",
        "/measure",
        "/swap",
        "/clips/face_on/remove",
    ):
        status, said = page.evaluate(SAVE, f"/lessons/{draft.id}{more}")
        assert status == 403, more
        assert REFUSED in said, more
    assert (state.drafts.result_folder(draft.id) / "measures.json").read_bytes() == before
    assert set(state.drafts.load(draft.id).clips) == set(sample.clips)

    # The code is used up, and the coach can shut the phone out.
    again = served.open("phone", "/enter", role="phone", draft=draft.id)
    again.context.clear_cookies()
    again.goto(f"{served.base}/enter")
    again.get_by_label("Code").fill(code)
    again.get_by_role("button").first.tap()
    again.locator("main", has_text="was used before").wait_for()
    state.access.shut_phones_out()
    assert page.goto(f"{served.base}/lessons/{draft.id}").status == 403
    assert "Parker" not in page.content()
