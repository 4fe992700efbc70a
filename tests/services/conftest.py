"""An archive with a student, and what tests of the archive use, for the services above it."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "archive"))
sys.path.insert(0, str(Path(__file__).parents[1] / "clips"))

from putt_posture.archive import open_archive


@pytest.fixture
def archive(tmp_path):
    """An empty archive."""
    with open_archive(tmp_path / "archive") as opened:
        yield opened
