"""A result folder with everything that the program writes, made once."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from changed_lesson import make_changed_lesson
from invented import MADE_ON

from putt_posture.pages import store_lesson


@pytest.fixture(scope="session")
def whole(tmp_path_factory) -> Path:
    """The result folder of the invented lesson with ghost, curves, arcs and spec."""
    return store_lesson(make_changed_lesson(), tmp_path_factory.mktemp("whole") / "report", made_on=MADE_ON)


@pytest.fixture(scope="session")
def document(whole) -> str:
    """The text of its `measures.json`."""
    return (whole / "measures.json").read_text(encoding="utf-8")
