"""The lesson page without a network: a test client that has come in as a coach, and one as a phone."""

import sys
from datetime import date, datetime
from pathlib import Path

import pytest
from starlette.testclient import TestClient

sys.path.insert(0, str(Path(__file__).parents[1] / "cli"))
sys.path.insert(0, str(Path(__file__).parent))

from academy import make_result_folders

from putt_posture.server.access import Session
from putt_posture.server.app import create_app
from putt_posture.server.drafts import DraftStore
from putt_posture.server.state import ServerState
from putt_posture.values import Student

HOST = "127.0.0.1:8765"
LAN_HOST = "192.168.1.5:8765"


@pytest.fixture(scope="session")
def idle_workers():
    """The worker that checked the last test's clips: it has imported everything, so the next test takes it."""
    kept = []
    yield kept
    for each in kept:
        each.close()


@pytest.fixture
def state(tmp_path, idle_workers):
    made = ServerState(
        drafts=DraftStore(tmp_path / "drafts"),
        archive=str(tmp_path / "archive"),
        hosts=frozenset({HOST, LAN_HOST}),
        addresses=(LAN_HOST,),
        today=lambda: date(2026, 11, 27),
        tell=lambda _line: None,
    )
    idle = made.uploads._workers._idle
    idle += idle_workers
    yield made
    idle_workers[:] = idle
    idle.clear()
    made.close()


@pytest.fixture
def app(state):
    return create_app(state)


@pytest.fixture
def browser(app):
    """Return a browser that has not come in, at the loopback address or in the local network."""

    def open_browser(host=HOST, **headers):
        return TestClient(app, base_url=f"http://{host}", headers={"origin": f"http://{host}", **headers})

    return open_browser


@pytest.fixture
def stranger(browser):
    """A browser that has not come in."""
    return browser()


@pytest.fixture
def coach(state, stranger):
    """A browser that came in as a coach."""
    assert stranger.post("/enter", data={"code": state.access.give_code(Session(role="coach"))}).status_code == 200
    return stranger


@pytest.fixture
def draft(state):
    """A lesson at hand."""
    return state.drafts.begin(Student(stature_cm=178.0, handed="right", name="Kim"), now=datetime(2026, 11, 27, 9, 0))


@pytest.fixture
def phone(state, browser, draft):
    """A browser in the local network that came in as a phone for the lesson at hand."""
    made = browser(LAN_HOST, accept="application/json")
    code = state.access.give_code(Session(role="phone", draft=draft.id))
    assert made.post("/enter", data={"code": code}, follow_redirects=False).status_code == 303
    return made


@pytest.fixture(scope="session")
def results(made_once):
    """Result folders of three lessons of one student, `result`, `rebuilt` and `later`, their clips beside them."""
    return made_once("results", make_result_folders)
