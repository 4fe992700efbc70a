"""One browser for all tests of this folder: the system's own Chromium, without a window."""

import os
import shutil
import sys
from pathlib import Path

import pytest

for _place in ("pages", "cli", "browser", "server"):
    sys.path.insert(0, str(Path(__file__).parent.parent / _place))

NAMES = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")
NEEDED = "PUTT_POSTURE_NEEDS_BROWSER"
"""Where this variable is set, as .ci/run sets it, a missing browser is a failure."""

NO_NAMES = "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1"
"""No name resolves, as on a practice green without a network."""


@pytest.fixture(scope="session")
def browser():
    place = next((found for name in NAMES if (found := shutil.which(name))), None)
    if place is None:
        why = f"There is no browser: none of {', '.join(NAMES)} is on the path."
        if os.environ.get(NEEDED):
            pytest.fail(why)
        pytest.skip(why)
    sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
    with sync_api.sync_playwright() as tool:
        opened = tool.chromium.launch(executable_path=place, args=["--no-sandbox", NO_NAMES])
        yield opened
        opened.close()


@pytest.fixture(scope="session")
def pages(made_once):
    """The pages of made-up students that are looked at here: each template, with what stretches it most."""
    from made_up_students import make_pages

    names = (
        "report_three_findings", "report_nothing_wrong", "report_long_name", "report_no_measures", "comparison",
        "comparison_withdrawn", "history_year", "history_long", "spec_sheet",
    )  # fmt: skip
    place = made_once("students", lambda place: make_pages(place, names=names))
    return {name: place / f"{name}.html" for name in (*names, "filming")}


@pytest.fixture
def serve(browser):
    """Return a function that serves the lesson page of a state, until the test ends."""
    from served_page import serving

    with serving(browser) as start:
        yield start


@pytest.fixture(scope="module")
def serve_module(browser):
    """Return a function that serves the lesson page of a state, until the tests of a file end."""
    from served_page import serving

    with serving(browser) as start:
        yield start


@pytest.fixture(scope="session")
def made_academy(made_once):
    """The archive of two students in which every student's page has something to show."""
    from academy import find_academy

    return find_academy(made_once)


@pytest.fixture
def served(made_academy, tmp_path, serve):
    """The lesson page of a copy of that archive."""
    from datetime import date

    from putt_posture.server.drafts import DraftStore
    from putt_posture.server.state import ServerState

    archive = shutil.copytree(made_academy, tmp_path / "archive")
    return serve(ServerState(drafts=DraftStore(tmp_path / "drafts"), archive=str(archive), today=date.today))
