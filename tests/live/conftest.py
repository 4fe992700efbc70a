"""The models of a live lesson, opened once for all tests of this folder, and the truth of the rendered rebuild."""

import json
import sys
from pathlib import Path

import pytest

from putt_posture.live import open_live_models

HERE = Path(__file__).parent
sys.path += [str(HERE), str(HERE.parent / "landmarks")]


@pytest.fixture(scope="package")
def models():
    with open_live_models() as found:
        yield found


@pytest.fixture(scope="package")
def rebuild_truth():
    truth = HERE.parents[1] / "sample_clips" / "rebuild" / "truth.json"
    return json.loads(truth.read_text(encoding="utf-8"))["steps"]
