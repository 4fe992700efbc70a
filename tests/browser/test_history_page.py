"""A student's history, practice test and erasure on the lesson page, as a coach uses them."""

from academy import PLAYER, TODAY

from putt_posture.archive import find_students, load_practice


def test_a_chart_is_read_by_pointing_and_by_arrow_keys(served):
    page = served.open("laptop", "/students/1/history")
    chart = page.locator(".readable").first
    readout = chart.locator("xpath=ancestor::figure//p[contains(@class, 'readout')]")
    chart.hover(position={"x": 40, "y": 150})
    first = readout.inner_text()
    assert "10 January 2026" in first
    chart.focus()
    page.keyboard.press("End")
    last = readout.inner_text()
    assert "20 June 2026" in last
    page.keyboard.press("ArrowLeft")
    assert readout.inner_text() not in (first, last)
    assert page.faults == []


def test_a_practice_test_is_tapped_in_on_a_phone(served):
    page = served.open("phone", "/students/1/practice")
    putt = page.locator(".putt").nth(1)
    holed, missed, undo = (putt.locator(f".taps .{kind}") for kind in ("holed", "missed", "undo"))
    for tap in (holed, holed, missed, missed, undo):
        tap.tap()
    assert putt.locator(".tally").inner_text() == "2 holed of 3"
    for tap in (holed, missed):
        size = tap.bounding_box()
        assert min(size["width"], size["height"]) >= 44
    page.get_by_role("button", name="Keep this test").tap()
    page.wait_for_url("**/practice#tests")
    with served.state.open_archive() as archive:
        newest = load_practice(archive, 1, today=TODAY)[-1]
    assert [(each.distance_cm, each.holed, each.tried) for each in newest.counts] == [(150.0, 2, 3)]
    assert page.faults == []


def test_a_student_is_erased_after_the_name_was_typed(served):
    page = served.open("phone", "/students/1/erase")
    page.get_by_label("Why, for the record of erasures").fill("asked for it")
    page.get_by_label("To go on, type the name").fill("Robin")
    page.get_by_role("button", name="Erase for good").tap()
    assert "Nothing was erased." in page.locator("#name-error").inner_text()
    page.get_by_label("To go on, type the name").fill(PLAYER)
    page.get_by_role("button", name="Erase for good").tap()
    assert "Erased: 1 student" in page.locator("[role=status]").inner_text()
    with served.state.open_archive() as archive:
        assert not find_students(archive, "Robin")


def test_before_and_after_slide_over_each_other(served):
    page = served.open("laptop", "/students/1/compare?before=1&after=3")
    assert page.get_by_role("heading", name="What changed").is_visible()
    assert page.faults == []
