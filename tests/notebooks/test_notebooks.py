"""The notebooks run from top to bottom, reach nothing over a network, and find what their invented stories hold."""

import subprocess
import sys
from pathlib import Path

import nbformat
import pytest

sys.path.insert(0, str(Path(__file__).parents[1]))

from network_watch import needs_watch, run_watched

HERE = Path(__file__).parent
STARTUP = """
import sys
sys.path[:0] = {path}
from functools import partial
from pathlib import Path
from kept_detections import detect_or_take
import putt_posture.lesson
putt_posture.lesson.detect_in_clips = partial(detect_or_take, cache=Path({folder!r}))
"""
"""What a notebook's process runs first, so that what is in a clip is detected once in a run of tests."""
NOTEBOOKS = HERE.parents[1] / "notebooks"


def run(name: str, place: Path) -> tuple[str, list[str]]:
    """Run a notebook; return all that it printed and showed as text, and what it tried to reach over a network."""
    command = [sys.executable, str(HERE / "run_notebook.py"), str(NOTEBOOKS / name), str(place / name)]
    if needs_watch.args[0]:
        done, reached = subprocess.run(command, capture_output=True, text=True, check=False), []
    else:
        done, reached, _ = run_watched(command)
    assert done.returncode == 0, done.stderr
    notebook = nbformat.read(place / name, as_version=4)
    outputs = [output for cell in notebook.cells if cell.cell_type == "code" for output in cell.outputs]
    said = [output.get("text") or output.get("data", {}).get("text/plain", "") for output in outputs]
    return "\n".join(said), reached


@pytest.fixture(autouse=True)
def own_surroundings(monkeypatch, tmp_path, detections_folder):
    """An archive that is nobody's, and what a notebook's process runs first."""
    monkeypatch.setenv("PUTT_POSTURE_ARCHIVE", str(tmp_path / "archive"))
    monkeypatch.setenv("IPYTHONDIR", str(tmp_path / "ipython"))
    startup = tmp_path / "ipython" / "profile_default" / "startup"
    startup.mkdir(parents=True)
    path = [str(HERE.parent), str(HERE.parent / "accuracy")]
    (startup / "detections.py").write_text(STARTUP.format(path=path, folder=str(detections_folder)))


def test_every_notebook_has_a_test():
    assert {path.name for path in NOTEBOOKS.glob("*.ipynb")} == {
        "one_lesson.ipynb", "an_academy.ipynb", "head_coach.ipynb",
    }  # fmt: skip


@pytest.mark.whole
def test_one_lesson_goes_from_clips_to_a_putter_and_a_comparison(tmp_path):
    said, reached = run("one_lesson.ipynb", tmp_path)
    assert reached == []
    assert "length 3" in said
    assert "comparison.html" in said
    assert "spine_tilt" in said


@pytest.mark.whole
def test_the_academy_finds_who_drifted_back_and_nobody_else(tmp_path):
    said, reached = run("an_academy.ipynb", tmp_path)
    assert reached == []
    drifted = {line.split(": ")[1] for line in said.splitlines() if line.startswith("drifted back")}
    assert drifted == {"Ed Edgely", "Fay Fairlie", "Hal Holeman"}
    assert "Nothing found." in said


@pytest.mark.whole
def test_the_head_coach_gets_intervals_that_hold_what_was_drawn(tmp_path, monkeypatch):
    monkeypatch.setenv("PUTT_POSTURE_MADE_STUDENTS", "2000")
    said, reached = run("head_coach.ipynb", tmp_path)
    assert reached == []
    assert "changed: True" in said
    assert "left: 6 of 6 hold; 6 of 6 bounds" in said  # intervals that hold together; the seed is fixed
    assert "cut: 4 of 4 hold" in said
    wrong = float(said.split("though they held: ")[1].split("%")[0])
    assert wrong < 5.0
