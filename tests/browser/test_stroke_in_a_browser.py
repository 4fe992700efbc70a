"""The stroke in a real browser: events dragged by mouse and moved by keys, clips that play, two of them in step."""

import pytest
from stroke_lesson import begin_stroke_draft, make_stroke_folder_once

from putt_posture.server.drafts import DraftStore
from putt_posture.server.state import ServerState

RULES = {
    "light": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    "dark": ["color-contrast", "link-in-text-block"],
}
"""What is asked of a page; by night it is made of the same parts in other colours."""
FRAME_S = 1 / 30
LONG_MS = 120_000
IN_STEP = """async (address) => {
  const box = document.createElement("div");
  box.dataset.inStep = "";
  box.dataset.before = box.dataset.after = address;
  box.innerHTML = '<button data-load>Show</button><p role="status"></p><div data-clips></div><script type="application/json"></script>';
  box.querySelector("script").textContent = JSON.stringify({ before: "Before", after: "After", play: "Play",
    pause: "Pause", half: "Half", full: "Full", scrub: "Time", at: "{time} s", loading: "…", none: "none", lost: "lost" });
  document.getElementById("page").prepend(box);
  await import("/static/stroke/in_step.js");
  box.querySelector("button").click();
}"""  # noqa: E501


@pytest.fixture(scope="module")
def served(tmp_path_factory, serve_module, run_folder, detections_folder):
    """A server with one measured lesson at hand that has strokes."""
    place = tmp_path_factory.mktemp("served")
    stored = make_stroke_folder_once(run_folder, cache=detections_folder)
    state = ServerState(drafts=DraftStore(place / "drafts"), archive=str(place / "archive"))
    served = serve_module(state)
    served.draft = begin_stroke_draft(state, *stored).id
    return served


@pytest.fixture
def open_page(served):
    def show(screen="laptop", **more):
        page = served.open(screen, f"/lessons/{served.draft}/stroke", **more)
        page.set_default_timeout(LONG_MS)
        page.wait_for_selector("#stroke[data-ready=yes]")
        page.wait_for_selector("#charts img")
        wait_for_clip(page)
        return page

    yield show
    faults = [fault for context in served.contexts for page in context.pages for fault in page.faults]
    served.close()
    assert faults == []


def wait_for_clip(page, which="#video", at_s=None):
    """Wait until a video shows a frame, and that of a time where one is given."""
    for _ in range(600):
        ready, now = page.evaluate(
            "(which) => { const v = document.querySelector(which); return [v.readyState, v.currentTime]; }", which
        )
        if ready >= 2 and (at_s is None or abs(now - at_s) < 0.02):
            return
        page.wait_for_timeout(200)
    pytest.fail(f"{which} shows no frame at {at_s}; it is at {now}")


def time_of(page, event):
    return float(page.get_attribute(f".event.{event}", "aria-valuenow"))


def answers(page):
    return int(page.get_attribute("#stroke", "data-answers") or 0)


def wait_for_answer(page, before):
    page.wait_for_selector(f"#stroke[data-answers='{before + 1}']")


def clip_of(page):
    """Return when the clip that is shown starts, s of the filmed clip, and how much slower it plays."""
    found = page.evaluate("fetch(document.getElementById('stroke').dataset.address + '/found').then((a) => a.json())")
    face_on = found["views"]["face_on"]
    clip = face_on["strokes"][face_on["shown"]]["clip"]
    return clip["start_s"], clip["slower"]


def test_an_event_is_dragged_with_its_frame_shown_and_everything_follows(open_page) -> None:
    page = open_page()
    start_s, slower = clip_of(page)
    handle, before = page.locator(".event.top"), time_of(page, "top")
    first = page.locator("#table tbody tr").first.inner_text()
    box = handle.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 40, y, steps=4)
    dragged = time_of(page, "top")
    assert dragged < before - FRAME_S
    wait_for_clip(page, at_s=(dragged - start_s) / slower + 0.004)
    asked = answers(page)
    page.mouse.up()
    wait_for_answer(page, asked)
    assert page.locator("#table tbody tr").first.inner_text() != first
    assert time_of(page, "top") == pytest.approx(dragged, abs=1e-3)
    assert "by hand" in page.locator("#stills figure").nth(1).inner_text()
    assert page.locator("#keep").is_enabled()
    page.locator("#undo").click()
    wait_for_answer(page, asked + 1)
    assert time_of(page, "top") == pytest.approx(before, abs=1e-3)
    assert page.locator("#table tbody tr").first.inner_text() == first
    assert page.locator("#keep").is_disabled()


def test_keys_move_an_event_by_one_frame_and_never_past_its_neighbour(open_page) -> None:
    page = open_page()
    top, impact = (time_of(page, event) for event in ("top", "impact"))
    page.locator(".event.top").focus()
    asked = answers(page)
    page.keyboard.press("ArrowRight")
    assert 0 < time_of(page, "top") - top < 1.6 * FRAME_S
    wait_for_answer(page, asked)
    for _ in range(3):
        page.keyboard.press("PageUp")
    assert impact - 1.1 * FRAME_S < time_of(page, "top") < impact
    assert "Top at" in page.get_attribute(".event.top", "aria-valuetext")


def test_another_stroke_can_be_chosen_and_the_clip_plays(open_page) -> None:
    page = open_page("phone")
    page.locator("#strokes button").first.click()
    page.wait_for_selector("#strokes button[aria-pressed=true] >> nth=0")
    assert "/1.mp4" in page.get_attribute("#video", "src")
    wait_for_clip(page)
    page.locator("#play").click()
    begun = page.evaluate("video.currentTime")
    page.wait_for_timeout(1500)
    assert page.evaluate("video.currentTime") > begun
    small = page.evaluate(
        "[...document.querySelectorAll('#stroke button, #stroke [role=slider]')].filter((each) => each.offsetParent &&"
        " Math.min(each.offsetWidth, each.offsetHeight) < 44).map((each) => each.textContent)"
    )
    assert small == []


@pytest.mark.parametrize(("screen", "scheme"), [("phone", "light"), ("laptop", "dark")])
def test_the_page_of_the_stroke_is_accessible(screen, scheme, open_page) -> None:
    """axe-core finds nothing, by the rules of WCAG 2.2 at level AA."""
    from axe_playwright_python.sync_playwright import Axe

    page = open_page(screen, color_scheme=scheme, bypass_csp=True)
    assert page.evaluate("document.documentElement.scrollWidth - window.innerWidth") <= 0
    found = Axe().run(page, options={"runOnly": RULES[scheme], "resultTypes": ["violations"]}).response["violations"]
    assert [f"{each['id']}: {each['nodes'][0]['html'][:160]}" for each in found] == []


def test_two_clips_are_played_in_step(open_page, served) -> None:
    page = open_page()
    page.evaluate(IN_STEP, f"/lessons/{served.draft}/stroke")
    page.wait_for_selector(".step video")
    for number in (1, 2):
        wait_for_clip(page, f".step:nth-of-type(1) figure:nth-of-type({number}) video")
    bar = page.locator(".step input").first
    bar.fill("1.5")
    for number in (1, 2):
        wait_for_clip(page, f".step figure:nth-of-type({number}) video", at_s=1.504)
    page.locator(".step .tools button").first.click()
    page.wait_for_timeout(1500)
    times = page.evaluate("[...document.querySelectorAll('.step')][0].querySelectorAll('video').length")
    assert times == 2
    one, two = page.evaluate("[...document.querySelector('.step').querySelectorAll('video')].map((v) => v.currentTime)")
    assert one > 1.6
    assert abs(one - two) < 0.15
