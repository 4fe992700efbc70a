"""The rendered golfers that tests and samples measure stand as a person can."""

import json
import sys
from pathlib import Path

import numpy as np
import pytest

sys.path.insert(0, str(Path(__file__).parents[2] / "sample_clips"))

from golfers.skeleton import GIRDLE_RANGE, NAMES, RANGE

ROOT = Path(__file__).parents[2]
GOLFERS = sorted(
    (*(ROOT / "sample_clips").glob("*/truth.json"), *(ROOT / "tests/accuracy/golfers").glob("*/truth.json"))
)
ROUNDING = 1e-6


def test_only_shoulder_blades_are_held_back() -> None:
    held = {name for name, low in zip(NAMES, RANGE[0], strict=True) if np.isfinite(low)}
    assert held == {f"{name}.{side}" for name in GIRDLE_RANGE for side in ("L", "R")}


@pytest.mark.parametrize("file", GOLFERS, ids=lambda file: file.parent.name)
def test_shoulder_blades_stay_where_a_person_could_set_them(file) -> None:
    truth = json.loads(file.read_text())
    low, high = RANGE
    for stance in truth.get("steps", [truth]):
        beyond = {
            name: angle
            for name, angle, least, most in zip(NAMES, np.array(stance["pose"]), low, high, strict=True)
            if not least - ROUNDING <= angle <= most + ROUNDING
        }
        assert beyond == {}
