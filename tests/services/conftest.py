"""An archive with a student, and what tests of the archive use, for the services above it."""

import shutil
import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "archive"))
sys.path.insert(0, str(Path(__file__).parents[1] / "clips"))

from putt_posture.archive import open_archive


@pytest.fixture
def archive(made_once, tmp_path):
    """An empty archive."""
    shutil.copytree(
        made_once("empty", lambda place: open_archive(place / "archive").close()) / "archive", tmp_path / "archive"
    )
    with open_archive(tmp_path / "archive") as opened:
        yield opened
