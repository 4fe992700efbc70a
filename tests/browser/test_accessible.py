"""Every page of the lesson page by axe-core: names, contrast, structure, size of what is tapped."""

from datetime import datetime

import pytest

from putt_posture.values import Student

PAGES = (
    "/", "/students", "/students/new", "/students/1", "/students/1/history", "/students/1/compare?before=1&after=2",
    "/students/1/compare", "/students/1/practice", "/students/1/consents", "/students/1/describe", "/students/1/export",
    "/students/1/erase", "/filed/1", "/filed/1/erase", "/overview", "/keeping", "/keeping/retention",
    "/keeping/hide-faces", "/keeping/erasures", "/settings", "/settings/bands", "/settings/words",
    "/settings/words/faults/stands_tall", "/settings/text", "/lessons/DRAFT/input",
    "/lessons/DRAFT/live", "/lessons/DRAFT/keep?name=e", "/students/new?lesson=DRAFT",
)  # fmt: skip
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
OPTIONS = {"runOnly": RULES, "resultTypes": ["violations"]}
"""What keeps to the rules is not listed: that would take longer than to look for what does not."""


@pytest.mark.parametrize(
    ("screen", "scheme"), [("phone", "light"), pytest.param("laptop", "dark", marks=pytest.mark.whole)]
)
def test_every_page_is_accessible(screen, scheme, served):
    """axe-core finds nothing, by the rules of WCAG 2.2 at level AA."""
    from axe_playwright_python.sync_playwright import Axe

    now = served.state.drafts.begin(
        Student(stature_cm=178, handed="right", name="Guest"), now=datetime.now().astimezone()
    ).id
    page = served.open(screen, color_scheme=scheme, reduced_motion="reduce", bypass_csp=True)
    found = {}
    for path in PAGES:
        address = path.replace("DRAFT", now)
        answer = page.goto(served.base + address)
        if not answer.ok:
            found[path] = answer.status
            continue
        wide = page.evaluate("document.documentElement.scrollWidth - window.innerWidth")
        results = Axe().run(page, options=OPTIONS)
        faults = [f"{each['id']}: {each['nodes'][0]['html'][:120]}" for each in results.response["violations"]]
        faults += [f"{wide} pixels wider than the screen"] if wide > 0 else []
        if faults:
            found[path] = faults
    page.evaluate("document.getElementById('page').append(document.createElement('img'))")
    assert Axe().run(page, options=OPTIONS).response["violations"], "a picture without words was not noticed"
    assert found == {}, "\n".join(f"{path}: {faults}" for path, faults in found.items())
