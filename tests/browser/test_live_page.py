"""Live numbers in a browser, whose camera shows a rendered golfer: against the truth, and held into the lesson."""

import json
import shutil
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

sys.path.append(str(Path(__file__).parents[1] / "live"))

from camera_frames import SAMPLES, as_jpeg, read_camera

from putt_posture.server.drafts import DraftStore
from putt_posture.server.state import ServerState
from putt_posture.values import Student

STUDENT = Student(stature_cm=173, handed="right", sex="male", name="Pat")
NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
SETUP, AROUND_S = 1, (3.6, 4.8)
CLOSE = {"spine_tilt": 6, "hand_offset": 5, "balance": 12}
"""Twice the errors of the accuracy study, and half a digit."""
PATIENCE_MS = 90_000
COUNT_WHITE = """() => {
  const { data } = document.getElementById("canvas").getContext("2d").getImageData(0, 0, 640, 480);
  let count = 0;
  for (let at = 0; at < data.length; at += 4) count += data[at] > 250 && data[at + 1] > 250 && data[at + 2] > 250;
  return count;
}"""


@pytest.fixture(scope="module")
def camera(browser, tmp_path_factory):
    """A browser whose camera shows the second setup of the rebuild, forth and back."""
    pictures = [as_jpeg(frame, quality=95) for frame in read_camera("rebuild", "down_the_line", [AROUND_S])]
    film = tmp_path_factory.mktemp("camera") / "camera.mjpeg"
    film.write_bytes(b"".join(each for picture in [*pictures, *reversed(pictures)] for each in (picture, picture)))
    opened = browser.browser_type.launch(
        executable_path=next(found for name in NAMES if (found := shutil.which(name))),
        args=[
            "--no-sandbox", "--use-fake-ui-for-media-stream", "--use-fake-device-for-media-stream",
            f"--use-file-for-fake-video-capture={film}",
        ],
    )  # fmt: skip
    yield opened
    opened.close()


@pytest.fixture
def served(camera, serve, tmp_path):
    page = serve(ServerState(drafts=DraftStore(tmp_path / "drafts"), archive=str(tmp_path / "archive")))
    page.browser = camera
    return page


def begin(served, screen):
    draft = served.state.drafts.begin(STUDENT, now=datetime.now(UTC))
    page = served.open(screen, f"/lessons/{draft.id}/live")
    page.select_option("[name=view]", "down_the_line")
    page.select_option("[name=putter]", "without")
    page.click("#start")
    page.wait_for_selector("[data-quantity=spine_tilt]:not([data-value=''])", timeout=PATIENCE_MS)
    return draft, page


def test_live_numbers_of_the_camera_are_near_the_truth_and_the_moment_is_held(served):
    truth = json.loads((SAMPLES / "rebuild" / "truth.json").read_text(encoding="utf-8"))["steps"][SETUP]["measures"]
    draft, page = begin(served, "laptop")
    page.wait_for_timeout(2000)
    for name, close in CLOSE.items():
        shown = float(page.get_attribute(f"[data-quantity={name}]", "data-value"))
        assert shown == pytest.approx(truth[name], abs=close), name
    assert float(page.get_attribute("#live", "data-lag")) > 0
    white = page.evaluate(COUNT_WHITE)
    assert white > 500  # the skeleton
    read_from_afar(page)
    page.keyboard.press("PageDown")
    page.wait_for_url(f"**/lessons/{draft.id}/measuring", timeout=PATIENCE_MS)
    kept = served.state.drafts.load(draft.id)
    assert kept.without_putter
    assert list(kept.clips) == ["down_the_line"]
    assert page.faults == []


def read_from_afar(page):
    """See that one step is shown, in type as large as is promised."""
    page.click("#far")
    rows = page.locator(".live-steps li:visible")
    assert rows.count() == 1
    size = page.locator(".live-row:visible .live-filmed").first.evaluate(
        "e => parseFloat(getComputedStyle(e).fontSize)"
    )
    assert size * 25.4 / 96 == pytest.approx(30, abs=0.1)
    first = rows.inner_text()
    page.keyboard.press("ArrowRight")
    assert rows.inner_text() != first
    assert page.evaluate("() => document.documentElement.scrollWidth <= innerWidth")


@pytest.mark.whole
def test_on_a_phone_the_page_fits_and_hold_is_large_enough_to_tap(served):
    _, page = begin(served, "phone")
    assert page.evaluate("() => document.documentElement.scrollWidth <= innerWidth")
    for button in page.locator("#live button:visible").all():
        assert button.bounding_box()["height"] >= 44
    assert page.locator("#hold").bounding_box()["width"] > 300
    page.tap("#stop")
    assert page.locator("#hold").is_disabled()


def test_without_a_camera_the_page_says_so(browser, serve, tmp_path):
    served = serve(ServerState(drafts=DraftStore(tmp_path / "drafts"), archive=str(tmp_path / "archive")))
    draft = served.state.drafts.begin(STUDENT, now=datetime.now(UTC))
    page = served.open("laptop", f"/lessons/{draft.id}/live")
    page.click("#start")
    page.wait_for_function("() => /camera/.test(document.getElementById('says').textContent)")
    assert page.locator("#hold").is_disabled()
