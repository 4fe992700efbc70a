"""What is looked at on every page of the lesson page."""

from pathlib import Path

LOOKS = (Path(__file__).parent / "looks.js").read_text(encoding="utf-8")
FINE = {"overflow": [], "overlap": [], "alt": [], "contrast": []}
SMALL_TARGETS = """() => [...document.querySelectorAll(
  'main button, main .button, main input, main select, main textarea, nav a')]
  .filter((each) => each.checkVisibility() && !each.closest('label') && !each.closest('.large'))
  .filter((each) => each.getBoundingClientRect().height < 44)
  .map((each) => each.outerHTML.slice(0, 80))"""
"""What is touched and lower than 44 px (WCAG 2.2, success criterion 2.5.5)."""


def look_at(page):
    """Look at a page: it fits, nothing overlaps, it can be read and touched, and a checker of accessibility agrees."""
    from axe_playwright_python.sync_playwright import Axe

    page.wait_for_load_state("load")  # before that the styles may not be there
    assert page.evaluate(LOOKS) == FINE, page.url
    assert page.evaluate(SMALL_TARGETS) == [], page.url
    found = Axe().run(page).response["violations"]
    assert [(each["id"], [node["html"][:90] for node in each["nodes"]]) for each in found] == [], page.url
