"""What the README says can be done."""

import re
from pathlib import Path

import putt_posture

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def run_example(about: str) -> dict:
    """Run the one example in Python that names something, and return what it made."""
    (example,) = (each for each in re.findall(r"```python\n(.*?)```", README, re.S) if about in each)
    names: dict = {}
    exec(compile(example, "README.md", "exec"), names)
    return names


def test_python_example_runs_and_prints_the_tilt(calls, capsys, monkeypatch, tmp_path) -> None:
    monkeypatch.setattr(putt_posture, "measure_lesson", lambda **more: calls.measure_lesson(progress=None, **more))
    monkeypatch.setattr(putt_posture, "store_lesson", calls.store_lesson)
    monkeypatch.chdir(tmp_path)
    run_example("measure_lesson")
    assert capsys.readouterr().out == "31.3 ± 3.9 deg\n"
    assert calls.measured["student"].stature_cm == 177.8
    assert (tmp_path / "report" / "measures.json").exists()


def test_two_lines_read_the_archive_into_pandas(monkeypatch, tmp_path) -> None:
    monkeypatch.setenv("PUTT_POSTURE_ARCHIVE", str(tmp_path / "archive"))
    frames = run_example("read_frames")["frames"]
    assert {"students", "lessons", "measures", "fits", "practice"} <= set(frames)
    assert frames["measures"].empty


def test_links_lead_to_files_that_are_there() -> None:
    for name in ("README.md", "DEVELOPERS.md"):
        text = (ROOT / name).read_text(encoding="utf-8")
        for link in re.findall(r"\]\((?!http)([^)#]+)\)|src=\"([^\"]+)\"", text):
            assert (ROOT / "".join(link)).exists(), link


def test_each_set_up_command_follows_its_marker_and_makes_its_own_environment() -> None:
    for mark in ("main", "test"):
        (command,) = re.findall(rf"<!-- {mark} command -->\n```sh\n(.*)\n```", README)
        assert command.startswith("python3 -m venv .venv && .venv/bin/pip install ")
