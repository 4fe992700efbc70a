"""The fit in a browser: a slider moved by keys, the ghost and the words that follow, the curves read off, the spec."""

import re
from datetime import date
from pathlib import Path

import pytest
from fit_lesson import begin_measured_draft, make_measured_folder

from putt_posture.records import read_result_folder
from putt_posture.server.drafts import DraftStore
from putt_posture.server.state import ServerState
from putt_posture.services import open_fit
from putt_posture.values import ChosenPutter

LOOKS = (Path(__file__).parent / "looks.js").read_text(encoding="utf-8")
TARGET_PX = 44
RULES = {
    "light": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
    "dark": ["color-contrast", "link-in-text-block"],
}
"""What is asked of a page; by night it is made of the same parts in other colours."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return make_measured_folder(tmp_path_factory.mktemp("fit") / "result")


@pytest.fixture(scope="module")
def opened(folder):
    return open_fit(read_result_folder(folder))


@pytest.fixture
def served(folder, tmp_path, serve, monkeypatch):
    monkeypatch.setenv("PUTT_POSTURE_DEFAULTS", str(tmp_path / "own" / "defaults.toml"))
    store = DraftStore(tmp_path / "drafts")
    served = serve(ServerState(drafts=store, archive=str(tmp_path / "archive"), today=lambda: date(2026, 11, 27)))
    served.fit = f"/lessons/{begin_measured_draft(store, folder).id}/fit"
    return served


def ghost_of(page):
    return page.locator("#ghost path.body").get_attribute("d")


@pytest.mark.parametrize("screen", ["phone", "laptop"])
def test_a_putter_is_tried_by_keyboard_and_becomes_a_spec_sheet(served, opened, screen):
    page = served.open(screen, served.fit)
    page.locator("#curves:not([hidden])").wait_for()
    before = ghost_of(page)
    page.locator("#length_cm").focus()
    for _ in range(4):
        page.keyboard.press("ArrowLeft")
    page.locator("#summary", has_text="With a putter of").wait_for()
    length_cm = float(page.locator("[name=length_cm]").input_value())
    page.locator("#talk:not(.busy)").wait_for()
    tried = opened.try_out(opened.wanted, ChosenPutter(length_cm=length_cm))
    assert ghost_of(page) != before
    assert page.locator("#ghost line.shaft").get_attribute("x1") == f"{tried.ghost.putter[0][0]:.2f}"
    row = page.locator("[data-row=spine_tilt]").inner_text()
    held = tried.held.setup["spine_tilt"]
    assert f"{held.value:.1f} ± {held.margin:.1f}°" in row
    assert not page.locator("[data-slider=length_cm] [data-free]").is_checked()

    chart, _says = opened.draw_curves(opened.wanted, unit="cm")
    page.locator("#reading").focus()
    page.keyboard.press("Home")
    page.keyboard.press("ArrowRight")
    said = page.locator("#read-off").inner_text()
    assert all(point.says in said for point in chart.stops[1].points)
    assert page.locator("#reading").get_attribute("aria-valuetext") == said
    page.locator("#try-length").scroll_into_view_if_needed()
    box = page.locator("#reading").bounding_box()
    stop = chart.stops[9]
    place = box["x"] + stop.points[3].x * box["width"], box["y"] + stop.points[3].y * box["height"]
    page.touchscreen.tap(*place) if screen == "phone" else page.mouse.move(*place)
    page.locator("#read-off", has_text=stop.points[0].says).wait_for()
    page.locator("#try-length").click()
    page.locator("#summary", has_text=stop.says).wait_for()

    page.locator("a", has_text="Spec sheet, to print").click()
    page.locator("[data-print]:not([hidden])").wait_for()
    assert "Chosen by the coach" in page.locator("main").inner_text()
    assert stop.says.split("(")[0].strip() in page.locator("main").inner_text()
    assert page.faults == []


def test_a_wanted_setup_is_kept_and_a_bad_number_is_said(served):
    page = served.open("laptop", served.fit)
    knee = page.locator("[name=knee_flex_deg]")
    knee.fill("80")
    page.locator("#wrong", has_text="knee flex of 80").wait_for()
    knee.fill("21")
    page.locator("#wrong").wait_for(state="hidden")
    assert re.search(r"knee_flex_deg=21", page.url)
    page.locator("button", has_text="Keep this setup").click()
    page.locator("[role=status]", has_text="Kept.").wait_for()
    assert page.locator("[name=knee_flex_deg]").input_value() == "21"


@pytest.mark.parametrize(("screen", "scheme"), [("phone", "light"), ("laptop", "dark")])
def test_nothing_runs_over_and_everything_can_be_tapped_and_is_accessible(served, screen, scheme):
    """By the rules of WCAG 2.2 at level AA, as axe-core finds them."""
    from axe_playwright_python.sync_playwright import Axe

    page = served.open(screen, f"{served.fit}?length_cm=86", color_scheme=scheme, bypass_csp=True)
    page.locator("#curves:not([hidden])").wait_for()
    for path in (None, f"{served.fit}/spec", "/settings", "/settings/bands"):
        if path:
            page.goto(served.base + path)
        if path in (None, f"{served.fit}/spec"):
            faults = (
                Axe()
                .run(page, options={"runOnly": RULES[scheme], "resultTypes": ["violations"]})
                .response["violations"]
            )
            assert [(each["id"], each["nodes"][0]["html"][:120]) for each in faults] == [], path
        looked = page.evaluate(LOOKS)
        assert looked["overflow"] == [], path
        assert looked["alt"] == [], path
        small = page.evaluate(
            "(least) => [...document.querySelectorAll('main input:not([type=hidden]), main button, main select')]"
            ".filter((each) => each.checkVisibility())"
            ".map((each) => (each.closest('label.tick') ?? each).getBoundingClientRect().height)"
            ".filter((height) => height < least)",
            TARGET_PX,
        )
        assert small == [], path
    assert page.faults == []
