"""One browser for all tests of this folder: the system's own Chromium, without a window."""

import os
import shutil
import sys
from pathlib import Path

import pytest

for _place in ("pages", "cli"):
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
def pages(tmp_path_factory):
    """The pages of made-up students that are looked at here: each template, with what stretches it most."""
    from made_up_students import make_pages

    names = (
        "report_three_findings", "report_nothing_wrong", "report_long_name", "report_no_measures", "comparison",
        "comparison_withdrawn", "history_year", "history_long", "spec_sheet",
    )  # fmt: skip
    return make_pages(tmp_path_factory.mktemp("students"), names=names)


WIDTHS = {"phone": (390, 844), "laptop": (1366, 768)}
"""The screens on which the lesson page is used: a phone that is touched, and a laptop."""


class ServedPage:
    """The lesson page, served by this process; `state` is what its routes share."""

    def __init__(self, browser, state, host):
        self.browser, self.state, self.base = browser, state, f"http://{host}"
        self.contexts = []

    def open(self, screen, path="/", *, role="coach", draft=None, **more):
        """Return a page of the browser that has come in, at a path, on one of the screens.

        No name is looked up and nothing outside of this server is reached: a request elsewhere fails the test.
        """
        from putt_posture.server.access import Session

        width, height = WIDTHS[screen]
        context = self.browser.new_context(
            viewport={"width": width, "height": height},
            has_touch=screen == "phone",
            is_mobile=screen == "phone",
            **more,
        )
        self.contexts.append(context)
        context.route(lambda url: not url.startswith((self.base, "data:", "blob:")), lambda route: route.abort())
        page = context.new_page()
        page.faults = []
        page.on("pageerror", lambda error: page.faults.append(str(error)))
        page.on("console", lambda said: page.faults.append(said.text) if said.type == "error" else None)
        code = self.state.access.give_code(Session(role=role, draft=draft))
        answer = context.request.post(
            f"{self.base}/enter", form={"code": code}, headers={"origin": self.base}, max_redirects=0
        )
        assert answer.status == 303
        page.goto(self.base + path)
        return page


@pytest.fixture
def serve(browser):
    """Return a function that serves the lesson page of a state, until the test ends."""
    import socket
    import threading
    import time

    import uvicorn

    from putt_posture.server.app import create_app

    running = []

    def start(state):
        listening = socket.create_server(("127.0.0.1", 0))
        host = f"127.0.0.1:{listening.getsockname()[1]}"
        state.hosts = frozenset({host})
        server = uvicorn.Server(uvicorn.Config(create_app(state), log_level="warning", lifespan="off"))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [listening]}, daemon=True)
        thread.start()
        while not server.started:
            time.sleep(0.01)
        page = ServedPage(browser, state, host)
        running.append((server, thread, page, listening))
        return page

    yield start
    for server, thread, page, listening in running:
        for context in page.contexts:
            context.close()
        server.should_exit = True
        thread.join(10)
        listening.close()


@pytest.fixture(scope="session")
def made_academy(tmp_path_factory):
    """The archive of two students in which every student's page has something to show."""
    from academy import make_academy, make_result_folders

    place = tmp_path_factory.mktemp("academy")
    make_result_folders(place)
    make_academy(place / "archive", place)
    return place / "archive"


@pytest.fixture
def served(made_academy, tmp_path, serve):
    """The lesson page of a copy of that archive."""
    from datetime import date

    from putt_posture.server.drafts import DraftStore
    from putt_posture.server.state import ServerState

    archive = shutil.copytree(made_academy, tmp_path / "archive")
    return serve(ServerState(drafts=DraftStore(tmp_path / "drafts"), archive=str(archive), today=date.today))
