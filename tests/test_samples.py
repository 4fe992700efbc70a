"""The sample clips as the demo finds them."""

import json
import tomllib
from pathlib import Path

import pytest

from putt_posture.demo import load_samples
from putt_posture.errors import InstallationError
from putt_posture.values import Student

PAIR = {
    "name": "tall",
    "student": "Ann Invented",
    "story": "Stands tall.",
    "down_the_line": "tall/side.mp4",
    "face_on": "tall/front.mp4",
    "truth": "tall/truth.json",
    "options": {"stature": "5ft10in", "handed": "left", "sex": "female", "putter_length": "34in"},
}
TRUTH = {"measures": {"spine_tilt": 31.0, "ball_distance": None, "putter_length": 86.36, "not_ours": 3.0}}
ROOT = Path(__file__).parents[1]


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "tall").mkdir()
    (tmp_path / "tall" / "side.mp4").write_bytes(b"side")
    (tmp_path / "tall" / "front.mp4").write_bytes(b"front")
    (tmp_path / "tall" / "truth.json").write_text(json.dumps(TRUTH))
    (tmp_path / "scenario.json").write_text(json.dumps({"pairs": [PAIR]}))
    return tmp_path


def test_sample_has_student_clips_and_the_truth_that_the_program_is_not_told(folder) -> None:
    (sample,) = load_samples(folder)
    assert sample.name == "tall"
    assert sample.student == Student(
        stature_cm=177.8,
        handed="left",
        sex="female",
        name="Ann Invented",
        putter_length_cm=86.36,
    )
    assert sample.clips == {"down_the_line": folder / "tall" / "side.mp4", "face_on": folder / "tall" / "front.mp4"}
    assert sample.truth == {"spine_tilt": 31.0}


@pytest.mark.parametrize("lost", ["tall/side.mp4", "tall/truth.json", "scenario.json"])
def test_lost_file_is_named(folder, lost) -> None:
    (folder / lost).unlink()
    with pytest.raises(InstallationError, match=lost.rpartition("/")[2]):
        load_samples(folder)


@pytest.mark.parametrize("text", ["{", "[]", "{}", '{"pairs": [{"name": "tall"}]}'])
def test_damaged_scenario_is_said(folder, text) -> None:
    (folder / "scenario.json").write_text(text)
    with pytest.raises(InstallationError, match="damaged"):
        load_samples(folder)


def test_every_sample_of_the_project_is_there_and_has_both_views() -> None:
    samples = load_samples(ROOT / "sample_clips")
    assert len(samples) >= 4
    for sample in samples:
        assert set(sample.clips) == {"down_the_line", "face_on"}
        assert "spine_tilt" in sample.truth


def test_every_sample_travels_in_the_wheel() -> None:
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    packed = settings["tool"]["hatch"]["build"]["targets"]["wheel"]["force-include"]
    needed = ["scenario.json", *(sample.name for sample in load_samples(ROOT / "sample_clips"))]
    assert packed == {f"sample_clips/{name}": f"putt_posture/_sample_clips/{name}" for name in needed}
