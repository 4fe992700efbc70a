"""The command ``demo``: a report for each pair of sample clips, beside their truth."""

import re

import pytest

from putt_posture.cli import main
from putt_posture.demo import Sample
from putt_posture.values import Interview, Student


@pytest.fixture
def demo(calls, monkeypatch, tmp_path):
    """Run the demo on two samples in a folder of its own; the lesson's tilt is 31.26 ± 3.9 for both."""
    monkeypatch.chdir(tmp_path)
    samples = [
        Sample(
            name=name,
            story=f"The story of {name}.",
            student=Student(stature_cm=178.0, handed="right", name=name),
            clips={"down_the_line": tmp_path / "side.mp4"},
            truth={"spine_tilt": tilt, "hand_offset": -4.2, "ball_distance": 20.0},
            interview=Interview(misses="left under 2 m", limits="bad knee"),
        )
        for name, tilt in (("near", 30.0), ("far", 50.0))
    ]
    monkeypatch.setattr("putt_posture.demo.load_samples", lambda: samples)
    return lambda *arguments: main(["demo", *arguments])


def test_measures_stand_beside_their_truth(demo, capsys) -> None:
    assert demo() == 0
    said = [" ".join(line.split()) for line in capsys.readouterr().out.splitlines()]
    assert "Spine tilt 31.3 ± 3.9° 30.0° yes" in said
    assert "Spine tilt 31.3 ± 3.9° 50.0° no" in said
    assert said.count("Hands to shoulders −4.0 ± 1.0 cm −4.2 cm yes") == 2
    assert not any(line.startswith("Ball") for line in said)
    assert said.count("1 more are absent; the report says why.") == 2
    assert "2 of 2 true values lie in the 95 % interval." in said
    assert "1 of 2 true values lie in the 95 % interval." in said
    assert "near: The story of near." in said


def test_folder_is_named_and_free(demo, capsys, tmp_path) -> None:
    for name in ("demo-report", "demo-report-2", "demo-report-3"):
        assert demo() == 0
        assert re.search(rf"Written to {name}\n", capsys.readouterr().out)
        assert sorted(path.name for path in (tmp_path / name).iterdir()) == ["far", "near"]


def test_given_folder_in_use_is_refused_before_anything_is_measured(demo, calls, capsys) -> None:
    assert demo("--out", "mine") == 0
    calls.measured = {}
    assert demo("--out", "mine") == 2
    assert "--replace" in capsys.readouterr().err
    assert not calls.measured
    assert demo("--out", "mine", "--replace") == 0


def test_stop_says_how_many_reports_there_are(demo, calls, capsys, tmp_path) -> None:
    def stop_at_the_second() -> None:
        if (tmp_path / "demo-report" / "near").exists():
            raise KeyboardInterrupt

    calls.before_measuring = stop_at_the_second
    assert demo() == 130
    assert "Stopped. 1 of 2 reports are in demo-report." in capsys.readouterr().err


@pytest.mark.parametrize("columns", [60, 80])
def test_table_fits_a_narrow_terminal(demo, capsys, monkeypatch, columns) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    assert demo() == 0
    said = capsys.readouterr().out
    assert "Hands to shoulders" in said
    assert max(map(len, said[: said.index("\nWritten to")].splitlines())) <= columns


def test_what_the_invented_student_says_is_said_back_unless_something_is_typed(demo, capsys) -> None:
    assert demo() == 0
    assert "Understood: misses to the left, under 2 m (6.6 ft). Limits: knee.\n" in capsys.readouterr().out
    assert demo("--misses", "right") == 0
    assert "Understood: misses to the right. Limits: knee.\n" in capsys.readouterr().out
