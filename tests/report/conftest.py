"""The invented lesson, made and stored once for all tests of the report."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from invented import MADE_ON, make_lesson

from putt_posture.report import store_lesson
from putt_posture.report.stills import Still, draw_stills
from putt_posture.values import Lesson


@pytest.fixture(scope="session")
def lesson() -> Lesson:
    return make_lesson()


@pytest.fixture(scope="session")
def one_view_lesson() -> Lesson:
    return make_lesson(views=("face_on",), handed="left")


@pytest.fixture(scope="session")
def stills(lesson: Lesson) -> tuple[Still, ...]:
    return draw_stills(lesson)


@pytest.fixture(scope="session")
def folder(lesson: Lesson, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return store_lesson(lesson, tmp_path_factory.mktemp("stored") / "report", made_on=MADE_ON)
