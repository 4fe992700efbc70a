"""The lesson page without a network: a test client that has come in as a coach."""

import sys
from datetime import date
from pathlib import Path

import pytest
from starlette.testclient import TestClient

sys.path.insert(0, str(Path(__file__).parent))

from putt_posture.server.access import Session
from putt_posture.server.app import create_app
from putt_posture.server.drafts import DraftStore
from putt_posture.server.state import ServerState

HOST = "127.0.0.1:8765"


@pytest.fixture
def state(tmp_path):
    return ServerState(
        drafts=DraftStore(tmp_path / "drafts"),
        archive=str(tmp_path / "archive"),
        hosts=frozenset({HOST}),
        today=lambda: date(2026, 11, 27),
    )


@pytest.fixture
def stranger(state):
    """A browser that has not come in."""
    return TestClient(create_app(state), base_url=f"http://{HOST}", headers={"origin": f"http://{HOST}"})


@pytest.fixture
def coach(state, stranger):
    """A browser that came in as a coach."""
    assert stranger.post("/enter", data={"code": state.access.give_code(Session(role="coach"))}).status_code == 200
    return stranger
