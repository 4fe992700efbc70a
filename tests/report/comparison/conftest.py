"""Two invented lessons stored, and the comparison of them."""

import sys
from datetime import date
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from compared import AFTER_ON, make_after

from putt_posture.comparison import find_comparison
from putt_posture.records import read_result_folder
from putt_posture.report import store_lesson
from putt_posture.report.comparison.content import write_comparison
from putt_posture.report.comparison.pictures import draw_pictures
from putt_posture.values import Comparison


@pytest.fixture(scope="session")
def after_folder(tmp_path_factory) -> Path:
    return store_lesson(make_after(), tmp_path_factory.mktemp("after") / "report", made_on=AFTER_ON)


@pytest.fixture(scope="session")
def comparison(folder, after_folder) -> Comparison:
    return find_comparison(read_result_folder(folder), read_result_folder(after_folder))


@pytest.fixture(scope="session")
def pictures(comparison):
    return draw_pictures(comparison)


@pytest.fixture(scope="session")
def report(comparison, pictures):
    return write_comparison(comparison, pictures=pictures, made_on=date(2026, 8, 1))
