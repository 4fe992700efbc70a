"""An archive with a student, and what tests of the archive use, for the services above it."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "archive"))

from putt_posture.archive import open_archive

PICTURES = Path(__file__).parents[1] / "landmarks" / "pictures"


@pytest.fixture(scope="session")
def golfer_stills():
    """A still of a rendered golfer from each view."""
    return {view: PICTURES / f"golfer_{view}.jpg" for view in ("down_the_line", "face_on")}


@pytest.fixture
def archive(tmp_path):
    """An empty archive."""
    with open_archive(tmp_path / "archive") as opened:
        yield opened
