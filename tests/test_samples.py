"""The sample clips as the demo finds them."""

import json

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
TRUTH = {"measures": {"spine_tilt": 31.0, "ball_distance": None, "not_ours": 3.0}}


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "tall").mkdir()
    (tmp_path / "tall" / "side.mp4").write_bytes(b"side")
    (tmp_path / "tall" / "front.mp4").write_bytes(b"front")
    (tmp_path / "tall" / "truth.json").write_text(json.dumps(TRUTH))
    (tmp_path / "scenario.json").write_text(json.dumps({"pairs": [PAIR]}))
    return tmp_path


def test_sample_has_student_clips_and_the_truth_that_there_is(folder) -> None:
    (sample,) = load_samples(folder)
    assert sample.name == "tall"
    assert sample.student == Student(
        stature_cm=pytest.approx(177.8),
        handed="left",
        sex="female",
        name="Ann Invented",
        putter_length_cm=pytest.approx(86.36),
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
