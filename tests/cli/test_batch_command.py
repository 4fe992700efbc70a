"""``putt-posture batch`` at the terminal and in a pipe: what it says, the table, and the exit code."""

import csv
import sys
from datetime import date
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parents[1] / "archive"))

from academy import Terminal

from putt_posture.batch import BatchOutcome
from putt_posture.cli import main

FILED = BatchOutcome(where="row 2", student=1, state="filed", lesson=4, says="The last plan was kept.")
ASIDE = BatchOutcome(where="row 3", student=2, state="laid aside", says="Nobody is there.", tries=3)
KNOWN = BatchOutcome(where="row 4", student=1, state="already filed", lesson=2, before=True)
LIST = "student,moment,face_on\n1,check,a.mov\n2,check,b.mov\n1,check,c.mov\n"


@pytest.fixture
def runs(monkeypatch, academy):
    """What the command asked the run for, in an archive that is there; it answers with these outcomes."""
    asked = []

    def answer(*outcomes, error=None):
        def run_batch(archive, lessons, **about):
            asked.append({"lessons": list(lessons), **about})
            yield from outcomes
            if error is not None:
                raise error

        monkeypatch.setattr("putt_posture.batch.run_batch", run_batch)
        return asked

    return answer


@pytest.fixture
def listed(tmp_path):
    path = tmp_path / "list.csv"
    path.write_text(LIST)
    return str(path)


def test_each_outcome_is_a_line_and_the_end_counts_them(runs, listed, capsys):
    asked = runs(FILED, ASIDE, KNOWN)
    assert main(["batch", listed, "--workers", "1"]) == 1
    out, err = capsys.readouterr()
    assert out.splitlines() == [
        "1 of 3: row 2, student 1: filed as lesson 4. The last plan was kept.",
        "2 of 3: row 3, student 2: laid aside, after 3 tries. Nobody is there.",
        "3 of 3: row 4, student 1: already filed as lesson 2, in an earlier run.",
        "3 lessons: 1 filed, 1 laid aside and 1 already filed.",
    ]
    assert "1 lesson was laid aside. Put right what is said there" in err
    assert asked[0]["today"] == date.today()
    assert (asked[0]["tries"], asked[0]["try_again"], asked[0]["limits"].seconds) == (3, False, 900.0)


def test_the_exit_code_is_0_where_nothing_lies_aside(runs, listed, capsys):
    runs(FILED, KNOWN)
    assert main(["batch", listed, "--workers", "1"]) == 0
    assert capsys.readouterr().err == ""


def test_options_reach_the_run(runs, listed):
    asked = runs(FILED)
    more = ["--minutes-each", "2", "--memory-each", "1.5", "--tries", "5", "--try-again"]
    assert main(["batch", listed, "--workers", "1", *more]) == 0
    limits = asked[0]["limits"]
    assert (limits.seconds, limits.memory_mb, asked[0]["tries"], asked[0]["try_again"]) == (120.0, 1500.0, 5, True)


def test_the_table_has_a_row_for_each_lesson_in_the_order_of_the_list(runs, listed, tmp_path, capsys):
    runs(ASIDE, KNOWN, FILED)
    table = tmp_path / "table.csv"
    assert main(["batch", listed, "--workers", "1", "--table", str(table)]) == 1
    assert f"The table is {table}." in capsys.readouterr().out
    with table.open(encoding="utf-8-sig", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert [row["where"] for row in rows] == ["row 2", "row 3", "row 4"]
    assert rows[1] == {
        "where": "row 3", "student": "2", "state": "laid aside", "lesson": "", "tries": "3", "says": "Nobody is there.",
    }  # fmt: skip
    assert main(["batch", listed, "--workers", "1", "--table", str(table)]) == 1


def test_a_table_in_place_of_another_file_is_refused_before_anything_is_measured(runs, listed, capsys):
    asked = runs(FILED)
    assert main(["batch", listed, "--table", listed]) == 2
    assert "no table that this program wrote" in capsys.readouterr().err
    assert asked == []
    assert Path(listed).read_text() == LIST


def test_lessons_that_cannot_be_done_come_first(runs, listed):
    Path(listed).write_text(LIST + "none,check,d.mov\n")
    asked = runs(FILED)
    main(["batch", listed, "--workers", "1"])
    assert [each.where for each in asked[0]["lessons"]] == ["row 5", "row 2", "row 3", "row 4"]


def test_a_terminal_shows_how_far_the_run_is(runs, listed, monkeypatch, capsys):
    runs(FILED, KNOWN)
    shown = Terminal()
    monkeypatch.setattr(sys, "stderr", shown)
    assert main(["batch", listed, "--workers", "1"]) == 0
    assert "0 of 3 lessons" in shown.getvalue()
    assert "1 of 3 lessons, less than a minute left" in shown.getvalue()
    assert "1 of 3: row 2" in capsys.readouterr().out


def test_ctrl_c_says_how_far_the_run_came_and_how_to_go_on(runs, listed, capsys):
    runs(FILED, error=KeyboardInterrupt())
    assert main(["batch", listed, "--workers", "1"]) == 130
    assert "Stopped. 1 of 3 lessons are done, and that is noted. Give the same command again to go on." in (
        capsys.readouterr().err
    )


def test_again_takes_the_lessons_of_the_archive(runs, capsys):
    asked = runs(BatchOutcome(where="lesson 1", student=1, state="unchanged", lesson=1))
    assert main(["batch", "--again", "--student", "1", "--workers", "1"]) == 0
    assert [each.where for each in asked[0]["lessons"]] == ["lesson 1", "lesson 2", "lesson 3"]
    assert capsys.readouterr().out.startswith("1 of 3: lesson 1, student 1: unchanged.\n")


@pytest.mark.parametrize(
    ("arguments", "says", "code"),
    [
        ([], "Give a LIST.csv, a FOLDER, or --again", 2),
        (["list.csv", "--again"], "Give a LIST.csv, a FOLDER, or --again", 2),
        (["list.csv", "--student", "1"], "Give them with --again", 2),
        (["--again", "--student", "77"], "77", 1),
        (["--again", "--older-than", "0.0.1"], "holds no lesson that a version before 0.0.1 measured", 2),
        (["nowhere.csv"], "nowhere.csv", 2),
    ],
)
def test_what_cannot_be_done_is_said_in_one_sentence(runs, arguments, says, code, capsys):
    asked = runs(FILED)
    assert main(["batch", *arguments]) == code
    err = capsys.readouterr().err
    assert says in err
    assert "Traceback" not in err
    assert asked == []


def test_without_an_archive_it_says_how_to_begin_one(listed, capsys):
    assert main(["batch", listed]) == 1
    assert "There is no archive" in capsys.readouterr().err
