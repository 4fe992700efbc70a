"""The commands on how things went: ``archive practice``, ``history`` and ``overview``."""

import json
from datetime import date

import pytest
from academy import PLAYER, TODAY

from putt_posture.archive import Overview, OverviewLine, load_history, open_archive
from putt_posture.cli import main


def test_practice_test_is_written_down_and_shown_with_its_intervals(academy, archive) -> None:
    said = archive(
        "practice", 1, "--putts", "3ft 18/20, 2m 9 of 20; 10ft: 7/20", "--day", "2026-02-03", "--note", "[b]fast"
    )
    assert "Written down as test 2." in said
    assert "2 m (6.6 ft) 9 of 20 45% (26% to 66%)" in " ".join(said.split())
    assert "90% (70% to 97%)" in said  # Wilson's interval of 18 in 20, worked by hand: 0.699 to 0.972
    assert "Test 2 ([b]fast): " in said
    with open_archive() as opened:
        tests = load_history(opened, 1, today=TODAY).practice
    assert [(each.distance_cm, each.holed) for each in tests[1].counts] == [(91.44, 18), (200.0, 9), (304.8, 7)]


def test_practice_tests_are_shown_as_json(academy, archive) -> None:
    shown = json.loads(archive("practice", 1, "--json"))
    assert shown["student"] == 1
    (test,) = shown["tests"]
    assert test["low_deg"] < test["start_line_spread_deg"] < test["high_deg"]
    assert json.loads(archive("practice", 2, "--json"))["tests"] == []
    assert "No practice test is recorded." in archive("practice", 2)


def test_practice_test_needs_consent(academy, refused) -> None:
    said = refused("archive", "practice", 2, "--putts", "3ft 8/10", code=1)
    assert "There is no consent for keeping the measures of Charlie Young" in said


def test_practice_test_is_taken_away(academy, archive) -> None:
    said = archive("practice", 1, "--remove", 1)
    assert "Test 1 is gone." in said
    assert "No practice test is recorded." in said


@pytest.mark.parametrize(
    ("words", "code", "says"),
    [
        ((1, "--putts", "3ft"), 2, "The putts '3ft' cannot be read."),
        ((1, "--putts", ""), 2, "No putts were given."),
        ((1, "--putts", "3 8/10"), 2, "has no unit"),
        ((1, "--putts", "3ft 11/10"), 2, "11 putts holed of 10 tried is not possible"),
        ((1, "--putts", "3ft 0/0"), 2, "0"),
        ((1, "--putts", "3ft 8/10", "--day", "2090-01-01"), 2, "--day"),
        ((1, "--note", "x"), 2, "--day and --note are for a new test."),
        ((1, "--putts", "3ft 8/10", "--remove", 1), 2, "--putts and --remove were given."),
        ((1, "--remove", 9), 1, "Student 1 has no practice test 9."),
        ((2, "--remove", 1), 1, "Student 2 has no practice test 1."),
    ],
)
def test_practice_test_that_cannot_be_is_refused(words, code, says, academy, refused) -> None:
    assert says in refused("archive", "practice", *words, code=code)


def test_history_is_written_with_the_answer_first_in_the_terminal(academy, archive, tmp_path) -> None:
    out = tmp_path / "out"
    said = archive("history", 1, "--out", out)
    assert f"{PLAYER}: 3 visits, 1 practice test\n" in said
    assert "Went back since the rebuild" in said
    assert " - Spine tilt: " in said
    files = said[said.index(f"Written to {out}") :].split()[3:]
    assert files[:4] == ["history.csv", "history.html", "history.json", "history.pdf"]
    assert "charts/practice.svg" in files
    page = (out / "history.html").read_text(encoding="utf-8")
    assert PLAYER in page
    assert "professionals" in page
    assert (out / "history.pdf").read_bytes().startswith(b"%PDF")


def test_history_is_printed_as_the_stored_document(academy, tmp_path, capsys) -> None:
    assert main(["archive", "history", "1", "--out", str(tmp_path / "out"), "--json"]) == 0
    said = capsys.readouterr()
    document = json.loads(said.out)
    assert document == json.loads((tmp_path / "out" / "history.json").read_text(encoding="utf-8"))
    assert document["made_on"] == TODAY.isoformat()
    assert [each["lesson"] for each in document["visits"]] == [1, 2, 3]
    assert "Went back" in said.err


def test_history_says_of_which_days_the_filming_differed(academy, tmp_path, archive) -> None:
    archive("history", 1, "--out", tmp_path / "out")
    warnings = json.loads((tmp_path / "out" / "history.json").read_text(encoding="utf-8"))["warnings"]
    assert "10 January 2026 and 20 June 2026: A clip is the same in both lessons, so its differences come " \
           "from the measuring alone." in warnings  # fmt: skip


def test_history_of_practice_alone_is_written(academy, archive, tmp_path) -> None:
    archive("consent", 2, "--for", "measures", "--given-by", "Pat Young", "--guardian")
    archive("practice", 2, "--putts", "3ft 8/10, 6ft 4/10, 10ft 2/10")
    assert "Charlie Young: 0 visits, 1 practice test" in archive("history", 2, "--out", tmp_path / "out")


def test_history_of_nothing_is_refused(academy, refused, tmp_path) -> None:
    assert "Nothing is filed of student 2, Charlie Young" in refused(
        "archive", "history", 2, "--out", tmp_path / "out", code=2
    )
    assert not (tmp_path / "out").exists()


def test_folder_in_use_stays_and_is_replaced_where_asked(academy, archive, refused, tmp_path) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / "mine.txt").write_text("mine")
    assert "already holds something" in refused("archive", "history", 1, "--out", out, code=2)
    assert [each.name for each in out.iterdir()] == ["mine.txt"]
    said = refused("archive", "history", 1, "--out", out, "--replace", code=2)
    assert "holds mine.txt, which this program did not write" in said
    (out / "mine.txt").unlink()
    archive("history", 1, "--out", out)
    (out / "history.csv").write_text("changed")
    archive("history", 1, "--out", out, "--replace")
    assert (out / "history.csv").read_text() != "changed"


def test_history_is_not_written_into_the_archive(academy, refused) -> None:
    for place in (academy, academy / "files", academy / "history"):
        said = refused("archive", "history", 1, "--replace", "--out", place, code=2)
        assert "is inside the archive" in said
    assert "contains the archive" in refused("archive", "history", 1, "--replace", "--out", academy.parent, code=2)


def test_history_with_a_lost_file_is_one_sentence(academy, archive, capsys, tmp_path) -> None:
    for path in [each for each in (academy / "files").rglob("*") if each.is_file()]:
        path.unlink()
    assert main(["archive", "history", "1", "--out", str(tmp_path / "out")]) == 1
    said = capsys.readouterr()
    assert said.err.count("\n") == 1
    assert "archive check" in said.err or "backup" in said.err
    assert not (tmp_path / "out").exists()


def test_overview_shows_one_line_a_student(academy, archive) -> None:
    said = archive("overview")
    assert "1 student with lessons. 1 due today, 8 weeks after the last lesson." in " ".join(said.split())
    (line,) = (each for each in said.splitlines() if "2026-06-20" in each)
    assert line.split()[0] == "1"
    assert "Robin" in line
    assert " ago " in line
    assert "Spine tilt" in line
    found = json.loads(archive("overview", "--json"))
    assert [each["number"] for each in found["drifted"]] == [1]
    assert found["today"] == TODAY.isoformat()


def test_overview_fits_80_columns_however_long_a_name_and_whatever_went_back(academy, archive, monkeypatch) -> None:
    line = OverviewLine(
        number=123456, name="Maximilian Alexander Featherstonehaugh-Cholmondeley", lessons=99,
        last_day=date(2020, 1, 1), due_on=date(2020, 3, 1), drifts=("hand_offset", "elbow_gap_trail", "spine_tilt"),
    )  # fmt: skip
    other = OverviewLine(number=7, name="Jo", lessons=1, last_day=TODAY, due_on=TODAY, drifts=())
    overview = Overview(today=TODAY, revisit_weeks=8, seen=(other, line), due=(line, other), drifted=(line,),
                        students=2, students_due=2)  # fmt: skip
    monkeypatch.setattr("putt_posture.archive.load_overview", lambda *_, **__: overview)
    lines = archive("overview").splitlines()
    assert max(map(len, lines)) <= 80
    (first,) = (each for each in lines if "123456" in each)
    (second,) = (each for each in lines if each.split()[:2] == ["7", "Jo"])
    assert lines.index(first) < lines.index(second)
    assert "Hands to shoulders +2" in first
    assert "Maximilian" in first


def test_overview_of_an_archive_without_lessons_says_so(archive) -> None:
    archive("enrol", "Alex", "--height", "178cm", "--handed", "right", "--adult")
    assert archive("overview") == "No lesson is filed yet.\n"


@pytest.mark.parametrize("words", [("--most", "0"), ("--most", "x"), ("--within", "-1"), ("--within", "99999")])
def test_overview_of_an_impossible_number_is_refused(words, academy, refused) -> None:
    assert f"'{words[0]}'" in refused("archive", "overview", *words, code=2)
