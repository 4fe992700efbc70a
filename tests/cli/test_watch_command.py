"""``putt-posture watch`` at the terminal: lines with their time, the end, and the exit code."""

import re

import pytest

from putt_posture.batch import BatchOutcome
from putt_posture.cli import main

FILED = BatchOutcome(where="12/a.mov", student=12, state="filed", lesson=4)
ASIDE = BatchOutcome(where="b.mov", student=0, state="laid aside", says="It does not say whose it is.", tries=0)


@pytest.fixture
def runs(monkeypatch, academy):
    """What the command asked the watch for; it answers with these outcomes, or is stopped after them."""
    asked = []

    def answer(*outcomes, stopped=False):
        def run_watch(archive, watch, **about):
            asked.append({"watch": watch, **about})
            yield from outcomes
            if stopped:
                raise KeyboardInterrupt

        monkeypatch.setattr("putt_posture.batch.run_watch", run_watch)
        return asked

    return answer


def test_each_line_has_its_time_and_the_end_counts(runs, tmp_path, capsys):
    runs(FILED, ASIDE)
    assert main(["watch", str(tmp_path), "--once", "--workers", "1"]) == 1
    lines = capsys.readouterr().out.splitlines()
    assert all(re.match(r"\d\d:\d\d:\d\d  ", line) for line in lines[:-1])
    assert [line[10:] for line in lines[:-1]] == [
        "12/a.mov: filed as lesson 4.",
        "b.mov: laid aside. It does not say whose it is.",
    ]
    assert lines[-1] == "In all: 1 filed and 1 laid aside."


def test_ctrl_c_says_how_to_go_on(runs, tmp_path, capsys):
    runs(FILED, stopped=True)
    assert main(["watch", str(tmp_path), "--workers", "1"]) == 130
    out, err = capsys.readouterr()
    assert "is watched. Stop with Ctrl+C." in out
    assert "In all: 1 filed." in out
    assert "Stopped. What was done is noted. Give the same command again to go on." in err


def test_options_reach_the_watch(runs, tmp_path):
    asked = runs(FILED)
    more = ["--student", "12", "--moment", "after", "--minutes-apart", "3", "--minutes-wait", "4", "--leave-clips"]
    more += ["--place", "Oakfield", "--coach", "Alex", "--without-clips", "--seconds-still", "7", "--tries", "5"]
    assert main(["watch", str(tmp_path), "--once", "--workers", "1", *more]) == 0
    rules = asked[0]["watch"].rules
    assert (rules.student, rules.moment, rules.apart_s, rules.wait_s) == (12, "after", 180.0, 240.0)
    assert (rules.once, rules.leaves, rules.lesson.keep_pictures, rules.lesson.keep_clips) == (True, True, True, False)
    assert (rules.lesson.notes.place, rules.lesson.notes.coach) == ("Oakfield", "Alex")
    assert (asked[0]["watch"].arrivals.still_s, asked[0]["tries"]) == (7.0, 5)


def test_a_folder_that_is_not_there_is_one_sentence(runs, tmp_path, capsys):
    runs()
    assert main(["watch", str(tmp_path / "none")]) == 2
    assert "is no folder. Give the folder in which clips arrive." in capsys.readouterr().err


def test_a_folder_without_clips_has_nothing_to_do(academy, tmp_path, capsys):
    (tmp_path / "in").mkdir()
    assert main(["watch", str(tmp_path / "in"), "--once", "--workers", "1", "--seconds-still", "0"]) == 0
    assert "Nothing was there to do." in capsys.readouterr().out
    assert list((tmp_path / "in").iterdir()) == []
