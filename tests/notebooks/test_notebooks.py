"""The notebooks run from top to bottom, and what they find is what their invented stories hold."""

from pathlib import Path

import nbformat
import pytest
from nbclient import NotebookClient

NOTEBOOKS = Path(__file__).parents[2] / "notebooks"


def run(name: str) -> tuple[nbformat.NotebookNode, str]:
    """Run a notebook; return it and all that it printed and showed as text."""
    notebook = nbformat.read(NOTEBOOKS / name, as_version=4)
    NotebookClient(notebook, timeout=300, kernel_name="python3", resources={"metadata": {"path": NOTEBOOKS}}).execute()
    outputs = [output for cell in notebook.cells if cell.cell_type == "code" for output in cell.outputs]
    said = [output.get("text") or output.get("data", {}).get("text/plain", "") for output in outputs]
    return notebook, "\n".join(said)


@pytest.fixture(autouse=True)
def no_archive_of_the_user(monkeypatch, tmp_path):
    monkeypatch.setenv("PUTT_POSTURE_ARCHIVE", str(tmp_path / "archive"))


def test_every_notebook_has_a_test():
    assert {path.name for path in NOTEBOOKS.glob("*.ipynb")} == {"one_lesson.ipynb", "an_academy.ipynb"}


def test_one_lesson_goes_from_clips_to_a_putter_and_a_comparison():
    _, said = run("one_lesson.ipynb")
    assert "length 3" in said
    assert "comparison.html" in said
    assert "spine_tilt" in said


def test_the_academy_finds_who_drifted_back_and_nobody_else():
    _, said = run("an_academy.ipynb")
    drifted = {line.split(": ")[1] for line in said.splitlines() if line.startswith("drifted back")}
    assert drifted == {"Ed Edgely", "Fay Fairlie", "Hal Holeman"}
    assert "Nothing found." in said
