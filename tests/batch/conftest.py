"""An archive with a student, and a clock that tests set, for batches and watched folders."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "archive"))
sys.path.insert(0, str(Path(__file__).parents[1] / "clips"))
sys.path.insert(0, str(Path(__file__).parent))

from invented import MADE_ON, make_lesson

from putt_posture.archive import open_archive
from putt_posture.pages import store_lesson


@pytest.fixture
def archive(tmp_path):
    """An empty archive."""
    with open_archive(tmp_path / "archive") as opened:
        yield opened


@pytest.fixture(scope="session")
def stored(tmp_path_factory):
    """The files of one result folder, by name."""
    folder = store_lesson(make_lesson(), tmp_path_factory.mktemp("lesson") / "report", made_on=MADE_ON)
    paths = [path for path in folder.rglob("*") if path.is_file()]
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in paths}
