"""Clips sent by the page's own module: over a lost network, and after the page was loaded again."""

import base64
import hashlib
import time
from datetime import datetime
from pathlib import Path

import pytest

from putt_posture.server.drafts import DraftStore
from putt_posture.server.state import ServerState
from putt_posture.values import Student

PICTURE = Path(__file__).parents[1] / "landmarks" / "pictures" / "golfer_face_on.jpg"
SEND = """async ([draft, bytes]) => {
  const { sendClip } = await import("/static/upload.js");
  window.told = [];
  const data = Uint8Array.from(atob(bytes), (sign) => sign.charCodeAt(0));
  const file = new File([data], "IMG_1.JPG", { lastModified: 1 });
  window.sending = sendClip(file, { draft, view: "face_on", tell: (how) => window.told.push(how) });
  window.ended = null;
  window.sending.done.then((how) => { window.ended = how; });
}"""
PATIENCE_MS = 60_000


@pytest.fixture
def served(serve, tmp_path):
    return serve(ServerState(drafts=DraftStore(tmp_path / "drafts"), archive=str(tmp_path / "archive")))


@pytest.fixture
def draft(served):
    return served.state.drafts.begin(Student(stature_cm=178.0, handed="right"), now=datetime.now())


def wait_for(page, expression):
    """Ask until it is so; the page's own policy allows no text to be run as a script, which Playwright's wait does."""
    until = time.monotonic() + PATIENCE_MS / 1000
    while not page.evaluate(expression):
        assert time.monotonic() < until
        page.wait_for_timeout(50)


def as_text(data):
    return base64.b64encode(data).decode()


def test_a_clip_goes_on_after_a_lost_network(served, draft):
    page = served.open("phone", "/enter", role="phone", draft=draft.id)
    data, lost = PICTURE.read_bytes(), []

    def lose_first(route):
        lost.append(route.request.url)
        if len(lost) <= 2:
            route.abort("internetdisconnected")
        else:
            route.fallback()

    page.context.route("**/uploads/*", lose_first)
    page.evaluate(SEND, [draft.id, as_text(data)])
    wait_for(page, "window.told.some((how) => how.state === 'waiting')")
    wait_for(page, "window.ended !== null")
    assert page.evaluate("window.ended.state") == "whole"
    states = page.evaluate("window.told.map((how) => how.state)")
    assert states.index("waiting") < states.index("checking") < states.index("whole")
    kept = served.state.drafts.load(draft.id).about["face_on"]
    assert kept.sha256 == hashlib.sha256(data).hexdigest()


def test_a_clip_that_is_chosen_again_after_a_reload_goes_on_where_it_stopped(served, draft):
    page = served.open("phone", "/enter", role="phone", draft=draft.id)
    data = PICTURE.read_bytes()
    page.context.route("**/uploads/*", lambda route: route.abort())
    page.evaluate(SEND, [draft.id, as_text(data)])
    wait_for(page, "window.told.some((how) => how.state === 'waiting')")
    (upload,) = served.state.uploads.list(draft.id)
    receiver = served.state.uploads.receive(upload.id, offset=0)
    receiver.write(data[:30_000])
    receiver.close()
    page.context.unroute("**/uploads/*")
    page.reload()
    page.evaluate(SEND, [draft.id, as_text(data)])
    wait_for(page, "window.ended !== null")
    assert page.evaluate("window.ended.state") == "whole"
    assert [each.id for each in served.state.uploads.list(draft.id)] == [upload.id]
    assert page.evaluate("window.told[1].offset") == 30_000


def test_a_cancelled_clip_leaves_nothing(served, draft):
    page = served.open("laptop", "/")
    page.context.route(
        "**/uploads/*", lambda route: route.abort() if route.request.method == "PATCH" else route.fallback()
    )
    page.evaluate(SEND, [draft.id, as_text(PICTURE.read_bytes())])
    wait_for(page, "window.told.some((how) => how.state === 'waiting')")
    page.evaluate("window.sending.cancel()")
    wait_for(page, "window.ended !== null")
    assert page.evaluate("window.ended.state") == "cancelled"
    assert served.state.uploads.list(draft.id) == ()


def test_a_file_that_is_no_clip_is_told_in_the_servers_sentence(served, draft):
    page = served.open("laptop", "/")
    page.evaluate(SEND, [draft.id, as_text(b"not a clip")])
    wait_for(page, "window.ended !== null")
    assert page.evaluate("window.ended") == {
        "state": "refused",
        "says": ["IMG_1.JPG is not a video or picture that can be read. Pick the clip as the phone stored it."],
    }


def test_this_computers_browser_comes_in_by_itself(served, browser):
    from putt_posture.server.access import Session

    code = served.state.access.give_code(Session(role="coach"))
    context = browser.new_context()
    page = context.new_page()
    page.goto(f"{served.base}/enter?code={code}")
    page.wait_for_url(f"{served.base}/", timeout=PATIENCE_MS)
    context.close()
