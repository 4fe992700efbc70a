"""Points dragged in a real browser: by mouse, by a finger, by keys; the numbers follow as geometry says."""

import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest
from by_hand_page import (
    PERSPECTIVE_DEG,
    SHOULDER,
    VIEW,
    answers,
    expected_change,
    found_of,
    value,
    wait_for_numbers,
    wait_until_ready,
)

from putt_posture.records import read_result_folder
from putt_posture.server.drafts import DraftStore
from putt_posture.server.state import ServerState
from putt_posture.values import Student

LOOKS = (Path(__file__).parent / "looks.js").read_text(encoding="utf-8")
BY_PX = 16
"""How far the shoulder is dragged, pixels of the picture."""
TARGET_PX = 44


@pytest.fixture(scope="module")
def served(golfer_folder, golfer_stills, tmp_path_factory, serve_module):
    """A server with one measured lesson at hand."""
    place = tmp_path_factory.mktemp("served")
    state = ServerState(drafts=DraftStore(place / "drafts"), archive=str(place / "archive"))
    draft = state.drafts.begin(Student(stature_cm=175.0, handed="right", sex="male"), now=datetime.now(UTC))
    for view, still in golfer_stills.items():
        shutil.copy(still, state.drafts.clips_folder(draft.id) / f"{view}.jpg")
    shutil.copytree(golfer_folder, state.drafts.result_folder(draft.id))
    state.drafts.change(draft.id, clips={view: f"{view}.jpg" for view in golfer_stills})
    served = serve_module(state)
    served.draft = draft.id
    return served


@pytest.fixture
def open_page(served):
    """Open the page of corrections as a coach."""

    def show(screen="laptop", **more):
        page = served.open(screen, f"/lessons/{served.draft}/by-hand", **more)
        wait_until_ready(page)
        return page

    yield show
    faults = [fault for context in served.contexts for page in context.pages for fault in page.faults]
    served.close()
    assert [fault for fault in faults if not fault.startswith("Failed to load resource")] == []


def by_hand(page, name):
    return "hand" in (page.get_attribute(f"#table tr[data-name={name}]", "class") or "")


def on_screen(page, at):
    """Return where a point of the picture is on the screen, CSS pixels."""
    sight = page.evaluate("({...document.getElementById('by-hand').dataset})")
    box = page.locator("#canvas").bounding_box()
    scale, left, top = (float(sight[name]) for name in ("scale", "left", "top"))
    return box["x"] + (at[0] - left) * scale, box["y"] + (at[1] - top) * scale, scale


def drag_by_mouse(page, at, by):
    x, y, scale = on_screen(page, at)
    page.mouse.move(x, y)
    page.mouse.down()
    for step in range(1, 6):
        page.mouse.move(x + by * scale * step / 5, y)
    before = answers(page)
    page.mouse.up()
    wait_for_numbers(page, before)


def test_a_shoulder_dragged_by_mouse_changes_the_tilt_as_trigonometry_says(open_page) -> None:
    page = open_page()
    found = found_of(page)
    before, other = value(page, "spine_tilt"), value(page, "shoulder_level")
    drag_by_mouse(page, found["views"][VIEW]["found"]["points"][SHOULDER], BY_PX)
    expected = expected_change(found, BY_PX)
    assert abs(expected) > 5 * PERSPECTIVE_DEG
    assert value(page, "spine_tilt") - before == pytest.approx(expected, abs=PERSPECTIVE_DEG)
    assert by_hand(page, "spine_tilt")
    assert value(page, "shoulder_level") == pytest.approx(other, abs=1e-3)  # it is measured in the other view
    assert not by_hand(page, "shoulder_level")
    page.keyboard.press("Control+z")
    wait_for_numbers(page, 1)
    assert value(page, "spine_tilt") == before
    assert not by_hand(page, "spine_tilt")
    page.keyboard.press("Control+y")
    wait_for_numbers(page, 2)
    assert by_hand(page, "spine_tilt")
    page.click("#as-found")
    wait_for_numbers(page, 3)
    assert value(page, "spine_tilt") == before
    assert page.is_disabled("#all-as-found")


def test_keys_move_the_chosen_point_by_one_and_by_ten_pixels(open_page) -> None:
    page = open_page()
    found = found_of(page)
    before = value(page, "spine_tilt")
    page.select_option("#point", f"joint {SHOULDER}")
    page.focus("#canvas")
    for key in ("Shift+ArrowRight", "ArrowRight", "ArrowRight", "ArrowDown", "ArrowUp"):
        page.keyboard.press(key)
    u = found["views"][VIEW]["found"]["points"][SHOULDER][0]
    page.wait_for_selector("#table tr[data-name=spine_tilt].hand")
    page.wait_for_timeout(100)
    while page.inner_text("#state").startswith("Measuring …"):
        page.wait_for_timeout(50)
    assert value(page, "spine_tilt") - before == pytest.approx(expected_change(found, 12), abs=PERSPECTIVE_DEG)
    assert page.inner_text("#place").startswith(f"{u + 12:.0f}, ")
    page.click("#all-as-found")
    page.wait_for_selector("#table tr[data-name=spine_tilt]:not(.hand)")
    assert value(page, "spine_tilt") == before


def test_a_finger_drags_a_point_under_a_magnifier_and_two_fingers_zoom(open_page) -> None:
    page = open_page("phone", device_scale_factor=2)
    found = found_of(page)
    before = value(page, "spine_tilt")
    page.locator("#canvas").scroll_into_view_if_needed()
    x, y, scale = on_screen(page, found["views"][VIEW]["found"]["points"][SHOULDER])
    fingers = page.context.new_cdp_session(page)

    def touch(kind, *places):
        points = [{"x": u, "y": v, "id": number} for number, (u, v) in enumerate(places)]
        fingers.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", (x + 6, y + 6))  # beside the point: the target is larger than what is drawn
    for step in range(1, 6):
        touch("touchMove", (x + 6 + BY_PX * scale * step / 5, y + 6))
    page.wait_for_selector("#glass:not([hidden])")
    touch("touchEnd")
    wait_for_numbers(page, 0)
    assert page.is_hidden("#glass")
    assert value(page, "spine_tilt") - before == pytest.approx(expected_change(found, BY_PX), abs=PERSPECTIVE_DEG)
    box = page.locator("#canvas").bounding_box()
    middle = box["x"] + box["width"] / 2, box["y"] + box["height"] - 30
    touch("touchStart", (middle[0] - 30, middle[1]), (middle[0] + 30, middle[1]))
    touch("touchMove", (middle[0] - 90, middle[1]), (middle[0] + 90, middle[1]))
    touch("touchEnd")
    page.wait_for_timeout(100)
    assert on_screen(page, (0, 0))[2] > 2 * scale
    assert answers(page) == 1  # looking closer changes nothing


def test_what_points_make_no_address_is_said_and_undone(open_page) -> None:
    page = open_page()
    before = value(page, "spine_tilt")
    at = found_of(page)["views"][VIEW]["found"]["points"][SHOULDER]
    x, y, scale = on_screen(page, at)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x, y + 200 * scale)
    page.mouse.up()
    page.wait_for_selector("#alert:not([hidden])")
    assert "hands are as high as the chest" in page.inner_text("#alert")
    assert value(page, "spine_tilt") == before
    page.click("#undo")
    wait_for_numbers(page, 0)
    assert page.is_hidden("#alert")


def test_a_known_length_a_back_line_and_a_target_line_can_be_added(open_page) -> None:
    page = open_page()
    page.click("summary:has-text('Add what')")
    page.click("button[data-add=length]")
    assert "centimetres" in page.inner_text("#alert")
    page.fill("#length", "60")
    page.click("button[data-add=length]")
    wait_for_numbers(page, 0)
    assert by_hand(page, "hand_height")
    page.click("#all-as-found")
    wait_for_numbers(page, 1)
    page.click("button[data-add=back]")
    wait_for_numbers(page, 2)
    assert page.locator("#point option[value^='back ']").count() == 7
    page.focus("#canvas")
    page.select_option("#point", "back 3")
    page.focus("#canvas")
    page.keyboard.press("Shift+ArrowLeft")
    wait_for_numbers(page, 3)
    assert by_hand(page, "back_rounding")
    page.click("#all-as-found")
    wait_for_numbers(page, 4)
    page.click("button[data-add=target]")
    wait_for_numbers(page, 5)
    assert page.locator("#point option[value^='target ']").count() == 2


def test_what_is_kept_is_in_the_result(open_page, served) -> None:
    page = open_page()
    at = found_of(page)["views"][VIEW]["found"]["points"][SHOULDER]
    drag_by_mouse(page, at, BY_PX)
    shown = value(page, "spine_tilt")
    page.click("#keep")
    page.wait_for_selector("#by-hand[data-kept=true]", timeout=60_000)
    kept = read_result_folder(served.state.drafts.result_folder(served.draft)).record.measures["spine_tilt"]
    assert kept.value == pytest.approx(shown, abs=1e-6)
    assert kept.by_hand == ("right shoulder",)
    page.click("#all-as-found")
    wait_for_numbers(page, 1)
    page.click("#keep")
    page.wait_for_selector("#keep:disabled")


@pytest.mark.parametrize("screen", ["phone", "tablet", "laptop"])
def test_everything_can_be_reached_read_and_touched(open_page, screen) -> None:
    page = open_page(screen)
    page.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true; })")
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        assert page.evaluate("document.documentElement.scrollWidth") <= page.viewport_size["width"]
        small = page.evaluate(
            """(least) => [...document.querySelectorAll('#by-hand button, #by-hand input, #by-hand select, #by-hand a')]
            .map((each) => [each.id || each.textContent, each.getBoundingClientRect()])
            .filter(([, box]) => box.width < least || box.height < least).map(([name]) => name)""",
            TARGET_PX,
        )
        assert small == []
        looks = page.evaluate(LOOKS)
        assert looks["contrast"] == []
        assert looks["overflow"] == []


def test_a_screen_reader_finds_no_fault(open_page) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright")
    page = open_page()
    page.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true; })")
    found = axe.Axe().run(page, context="#by-hand")
    assert [each["id"] for each in found.response["violations"]] == []
