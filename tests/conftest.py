"""What all tests share: the stick golfer's folder on the path, one thread for each small matrix, a state folder."""

import os
import sys
from pathlib import Path

import pytest
from hypothesis import settings

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command has it; numpy reads it when it is first imported
sys.path.insert(0, str(Path(__file__).parent))

settings.register_profile("project", deadline=None, max_examples=25)
settings.load_profile("project")


@pytest.fixture(scope="session", autouse=True)
def own_state(tmp_path_factory):
    """A state folder of this run's own, so that nobody's notes of unfinished work are touched."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_STATE_HOME", str(tmp_path_factory.mktemp("state")))
        yield
