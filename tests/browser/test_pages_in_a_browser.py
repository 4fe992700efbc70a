"""The pages in a real browser: nothing runs over, nothing overlaps, everything can be read and reached by keyboard."""

from pathlib import Path

import pytest

LOOKS = (Path(__file__).parent / "looks.js").read_text(encoding="utf-8")
WIDTHS = (390, 768, 1280)
"""A phone, a tablet, a desk."""
NAMES = (
    "report_three_findings", "report_nothing_wrong", "report_long_name", "report_no_measures", "comparison",
    "comparison_withdrawn", "history_year", "history_long", "spec_sheet", "filming",
)  # fmt: skip


@pytest.fixture
def tab(browser):
    """A tab that counts what it asks for; the width and the scheme are those of the test."""
    opened = []

    def show(path, *, width=390, scheme="light"):
        context = browser.new_context(viewport={"width": width, "height": 844}, color_scheme=scheme)
        opened.append(context)
        page = context.new_page()
        page.asked = []
        page.on("request", lambda request: page.asked.append(request.url))
        page.goto(path.as_uri())
        return page

    yield show
    for context in opened:
        context.close()


def unfold(page):
    page.evaluate("document.querySelectorAll('details').forEach((each) => { each.open = true; })")


@pytest.mark.parametrize("name", NAMES)
def test_a_page_fits_overlaps_nothing_and_can_be_read_at_three_widths_by_day_and_by_night(tab, pages, name) -> None:
    page = tab(pages[name])
    for state, widths in (("as it opens", WIDTHS[:1]), ("unfolded", WIDTHS)):
        if state == "unfolded":
            unfold(page)
        for width in widths:
            page.set_viewport_size({"width": width, "height": 844})
            page.emulate_media(color_scheme="dark" if width == 768 else "light")
            assert page.evaluate(LOOKS) == {"overflow": [], "overlap": [], "alt": [], "contrast": []}, (state, width)
    assert [url for url in page.asked if not url.startswith(("file:", "data:"))] == []


def test_the_first_screen_of_a_phone_shows_the_first_finding_with_the_still_beside_it(tab, pages) -> None:
    page = tab(pages["report_three_findings"])
    for selector in (".said", ".findings > li:first-child .change", ".with-still img >> nth=0"):
        box = page.locator(selector).first.bounding_box()
        assert box["y"] + box["height"] <= 844, selector
    still, title = (page.locator(each).first.bounding_box() for each in (".with-still img", ".findings h3"))
    assert still["x"] > title["x"] + 100
    assert abs(still["y"] - title["y"]) < 60
    assert page.evaluate("document.documentElement.scrollHeight") < 7000


def test_a_picture_too_small_for_its_labels_is_shown_without_them_and_opens_with_them(tab, pages) -> None:
    page = tab(pages["report_three_findings"])
    assert page.locator(".glance img").is_visible()
    assert page.locator(".with-still .pic .large img").first.bounding_box()["width"] > 340, "labels can be read"
    page.locator(".glance button").click()
    assert page.locator(".with-still .pic .large:popover-open").count() == 1
    wide = tab(pages["report_three_findings"], width=1280)
    assert not wide.locator(".glance img").is_visible()


def test_a_history_of_forty_visits_is_short_on_a_phone_until_it_is_unfolded(tab, pages) -> None:
    page = tab(pages["history_long"])
    assert page.evaluate("document.documentElement.scrollHeight") < 5500
    assert page.locator("figure.chart:visible").count() == 2
    unfold(page)
    assert page.locator("figure.chart:visible").count() > 6


def test_charts_are_dark_on_a_dark_screen(tab, pages) -> None:
    """The mean grey of the first chart as it is shown."""
    import io

    from PIL import Image

    def grey(scheme):
        chart = tab(pages["history_year"], scheme=scheme).locator("figure.chart img").first
        return Image.open(io.BytesIO(chart.screenshot())).convert("L").resize((1, 1)).getpixel((0, 0))

    assert grey("light") > 200
    assert grey("dark") < 60


def test_the_parts_of_a_report_come_in_the_order_of_a_lesson(tab, pages) -> None:
    page = tab(pages["report_three_findings"])
    places = [page.locator(each).bounding_box()["y"] for each in ("#first", "#wanted", "#putter", "#plan", "#measures")]
    assert places == sorted(places)
    assert not page.locator("#measures > .body").is_visible()


def test_a_picture_opens_and_closes_by_keyboard_and_by_touch(tab, pages) -> None:
    page = tab(pages["report_three_findings"])
    button, picture = page.locator(".glance button"), page.locator(".large img").first
    small = page.locator(".glance img").bounding_box()["width"]
    button.focus()
    page.keyboard.press("Enter")
    assert page.locator(".large:popover-open").count() == 1
    assert picture.bounding_box()["width"] > 2 * small
    page.keyboard.press("Escape")
    assert page.locator(".large:popover-open").count() == 0
    button.click()
    assert page.locator(".large:popover-open").count() == 1
    page.locator("button.shut").first.click()
    assert page.locator(".large:popover-open").count() == 0
    assert picture.bounding_box()["width"] == pytest.approx(358)  # the phone's width without its margins


def test_the_slider_shows_more_of_before_by_keyboard_and_stands_still_on_paper(tab, pages) -> None:
    page = tab(pages["comparison"])
    after = page.locator(".slide.live .is-after").first
    clip = "(each) => getComputedStyle(each).clipPath"
    assert "50%" in after.evaluate(clip)
    bar = page.locator(".slide input").first
    bar.focus()
    for _ in range(10):
        page.keyboard.press("ArrowRight")
    assert "60%" in after.evaluate(clip)
    assert bar.get_attribute("aria-label")
    one, two = (page.locator(f".slide {each} img").first.bounding_box() for each in (".is-before", ".is-after"))
    assert (one["x"], one["y"], one["width"], one["height"]) == (two["x"], two["y"], two["width"], two["height"])
    page.emulate_media(media="print")
    assert after.evaluate(clip) == "none"
    one, two = (page.locator(f".slide {each} img").first.bounding_box() for each in (".is-before", ".is-after"))
    assert one["x"] + one["width"] <= two["x"]


def test_without_its_script_the_slider_is_two_pictures_side_by_side(browser, pages) -> None:
    context = browser.new_context(java_script_enabled=False, viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.goto(pages["comparison"].as_uri())
    boxes = [page.locator(f".slide {each} img").first.bounding_box() for each in (".is-before", ".is-after")]
    assert boxes[0]["x"] + boxes[0]["width"] <= boxes[1]["x"]
    assert not page.locator(".slide input").first.is_visible()
    context.close()


def test_everything_that_is_folded_is_printed(tab, pages) -> None:
    page = tab(pages["report_three_findings"])
    page.emulate_media(media="print")
    assert page.locator("button.open").first.is_hidden()
    assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"


@pytest.mark.parametrize(
    ("fault", "where"),
    [
        ("document.querySelector('.said').style.width = '900px'", "overflow"),
        ("document.querySelector('.said').style.marginBottom = '-40px'", "overlap"),
        ("document.querySelector('.said').style.color = '#999'", "contrast"),
        ("document.querySelector('img').alt = 'still'", "alt"),
        ("document.querySelectorAll('img')[0].alt = document.querySelectorAll('img')[1].alt", "alt"),
    ],
)
def test_each_fault_that_is_looked_for_is_found_where_it_is(tab, pages, fault, where) -> None:
    page = tab(pages["report_three_findings"])
    page.evaluate(fault)
    found = page.evaluate(LOOKS)
    assert found[where]
