"""The command ``measure``: what it asks of the library and what it prints."""

import json
from datetime import date
from pathlib import Path

import pytest

from putt_posture.errors import StudentNotFound
from putt_posture.values import Interview, Student

ONE_CLIP = ("--down-the-line", "dtl.mov")


def test_student_is_described_in_centimetres(measure, calls) -> None:
    more = ("--putter-length", "34in", "--wrist-floor", "0.84m", "--sex", "female", "--student", "Ann [bold]")
    assert measure(*more) == 0
    assert calls.measured["student"] == Student(
        stature_cm=178.0,
        handed="right",
        name="Ann [bold]",
        sex="female",
        wrist_floor_cm=84.0,
        putter_length_cm=86.36,
    )


def test_clips_and_folder_reach_the_library(measure, calls, tmp_path) -> None:
    before = date.today()
    assert measure("--replace") == 0
    assert calls.measured["down_the_line"] == Path("dtl.mov")
    assert calls.measured["face_on"] == Path("fo.mov")
    assert calls.stored["folder"] == tmp_path / "out"
    assert calls.stored["replace"] is True
    assert before <= calls.stored["made_on"] <= date.today()


def test_one_view_alone_is_enough(measure, calls) -> None:
    assert measure(clips=("--face-on", "fo.mov")) == 0
    assert calls.measured["down_the_line"] is None


def test_value_without_a_view_counts_for_each_clip(measure, calls) -> None:
    assert measure("--capture-rate", "240", "--camera-distance", "4.5m") == 0
    assert calls.measured["capture_rate_hz"] == {"down_the_line": 240.0, "face_on": 240.0}
    assert calls.measured["camera_distance_cm"] == {"down_the_line": 450.0, "face_on": 450.0}


def test_value_with_a_view_counts_for_that_clip_alone(measure, calls) -> None:
    assert measure("--camera-roll", "face-on:-1.5", "--setup-at", "down-the-line:0:04", "--setup-at", "9.5") == 0
    assert calls.measured["camera_roll_deg"] == {"face_on": -1.5}
    assert calls.measured["setup_at"] == {"down_the_line": [4.0, 9.5], "face_on": [9.5]}


def test_points_and_scale_object_are_read(measure, calls) -> None:
    more = (
        "--scale-object", "down-the-line:48in at 410,1630 880,1634",
        "--shaft-at", "face-on:500,700 510,1600",
        "--ball-at", "face-on:515,1610",
        "--student-at", "down-the-line:600,900",
        "--ground-at", "face-on:500,1700",
        "--back-at", "down-the-line:300,500", "--back-at", "down-the-line:280,450",
        "--target-at", "down-the-line:600,1700 590,1500",
        "--landmark-at", "face-on:left_hip 512,900",
        "--landmark-at", "face-on:Right-Hip 560,900.5",
    )  # fmt: skip
    assert measure(*more) == 0
    assert calls.measured["scale_object"] == {
        "down_the_line": (pytest.approx(121.92), ((410.0, 1630.0), (880.0, 1634.0)))
    }
    assert calls.measured["shaft_at"] == {"face_on": ((500.0, 700.0), (510.0, 1600.0))}
    assert calls.measured["ball_at"] == {"face_on": (515.0, 1610.0)}
    assert calls.measured["student_at"] == {"down_the_line": (600.0, 900.0)}
    assert calls.measured["ground_at"] == {"face_on": (500.0, 1700.0)}
    assert calls.measured["back_at"] == {"down_the_line": [(300.0, 500.0), (280.0, 450.0)]}
    assert calls.measured["target_at"] == {"down_the_line": ((600.0, 1700.0), (590.0, 1500.0))}
    assert calls.measured["landmark_at"] == {"face_on": [("left_hip", (512.0, 900.0)), ("right_hip", (560.0, 900.5))]}


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("face-on:left_tail 5,5", "There is no landmark 'left_tail'. Give one of nose"),
        ("face-on:left_hip", "The landmark 'left_hip' cannot be read. Write its name and where it is"),
        ("face-on:left_hip 5", "The picture point '5' cannot be read."),
        ("left_hip 5,5", "is a place in one picture"),
    ],
)
def test_a_landmark_that_cannot_be_read_is_refused_before_anything_is_measured(
    measure, calls, capsys, text, says
) -> None:
    assert measure("--landmark-at", text) == 2
    assert says in " ".join(capsys.readouterr().err.split())
    assert not calls.measured


def test_point_needs_no_view_where_there_is_one_clip(measure, calls) -> None:
    assert measure("--ball-at", "515,1610", clips=ONE_CLIP) == 0
    assert calls.measured["ball_at"] == {"down_the_line": (515.0, 1610.0)}


@pytest.mark.parametrize(
    "option",
    [
        "--student-at",
        "--ball-at",
        "--shaft-at",
        "--scale-object",
        "--ground-at",
        "--back-at",
        "--target-at",
        "--landmark-at",
    ],
)
def test_point_without_a_view_is_refused_where_there_are_two_clips(measure, calls, capsys, option) -> None:
    assert measure(option, "515,1610") == 2
    said = capsys.readouterr().err
    assert f"{option} '515,1610' is a place in one picture" in said
    assert '"face-on:515,1610"' in said
    assert not calls.measured


def test_view_without_a_clip_is_refused(measure, calls, capsys) -> None:
    assert measure("--setup-at", "face-on:3", clips=ONE_CLIP) == 2
    assert "no --face-on clip was given" in capsys.readouterr().err
    assert not calls.measured


def test_second_value_for_a_view_is_refused(measure, calls, capsys) -> None:
    assert measure("--camera-roll", "1", "--camera-roll", "face-on:2") == 2
    assert "2 times for the face-on view" in capsys.readouterr().err
    assert not calls.measured


def test_table_has_each_measure_with_unit_and_margin(measure, capsys) -> None:
    assert measure("--student", "Ann [bold]") == 0
    said = capsys.readouterr()
    assert "Ann [bold]: 178 cm (5 ft 10 in), putts right-handed" in said.out
    rows = [" ".join(line.split()) for line in said.out.splitlines()]
    assert "Spine tilt 31.3 ± 3.9° 12" in rows
    assert "Hands to shoulders −4.0 ± 1.0 cm 12" in rows
    assert "Lead elbow to ribs 1.0 (0.0 to 4.9) cm 9" in rows
    assert "- 33.5 ± 1.2 in (85.1 ± 2.9 cm); nearest half inch: 33.5 in (85.1 cm)" in rows
    assert "The lens stood low." in said.out
    assert "report.html" in said.out
    assert said.err == ""


def test_absent_measures_are_named_once_with_their_reason(measure, capsys) -> None:
    assert measure() == 0
    said = " ".join(capsys.readouterr().out.split())
    assert said.count("No ball was found in the picture.") == 1
    assert "Eyes over the ball" in said


@pytest.mark.parametrize("columns", [60, 72, 80])
def test_table_fits_a_narrow_terminal(measure, capsys, monkeypatch, columns) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    assert measure() == 0
    said = capsys.readouterr().out
    table = said[: said.index("\nWritten to")]
    assert max(map(len, table.splitlines())) <= columns
    assert "Hands to shoulders" in table
    assert "…" not in table


def test_json_alone_is_on_standard_output(measure, capsys, tmp_path) -> None:
    assert measure("--json") == 0
    said = capsys.readouterr()
    assert json.loads(said.out) == json.loads((tmp_path / "out" / "measures.json").read_text())
    assert "Spine tilt" in said.err


def test_progress_is_not_asked_for_where_there_is_no_terminal(measure, calls) -> None:
    assert measure() == 0
    assert calls.measured["progress"] is None


def test_folder_in_use_is_refused_before_anything_is_measured(measure, calls, capsys, tmp_path) -> None:
    (tmp_path / "out").mkdir()
    (tmp_path / "out" / "notes.txt").write_text("mine")
    assert measure() == 2
    assert "--replace" in capsys.readouterr().err
    assert not calls.measured
    assert (tmp_path / "out" / "notes.txt").read_text() == "mine"


def test_clip_at_fault_gives_its_sentence_and_exit_code_one(measure, calls, capsys, tmp_path) -> None:
    def nobody() -> None:
        raise StudentNotFound("Nobody was found in dtl.mov.\nFilm the whole body.")

    calls.before_measuring = nobody
    assert measure() == 1
    assert capsys.readouterr().err == "putt-posture: Nobody was found in dtl.mov. Film the whole body.\n"
    assert not (tmp_path / "out").exists()


def test_stop_before_the_report_writes_nothing(measure, calls, capsys, tmp_path) -> None:
    def stop() -> None:
        raise KeyboardInterrupt

    calls.before_measuring = stop
    assert measure() == 130
    assert capsys.readouterr().err.strip() == "putt-posture: Stopped. Nothing was written."
    assert not (tmp_path / "out").exists()


def test_stop_after_the_report_says_that_it_is_whole(measure, calls, capsys, monkeypatch, tmp_path) -> None:
    def stop(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("putt_posture.cli.lesson.show_lesson", stop)
    assert measure() == 130
    assert f"The report is complete: {tmp_path / 'out'}" in capsys.readouterr().err
    assert (tmp_path / "out" / "measures.json").exists()


def test_fault_of_the_program_is_one_sentence(measure, calls, capsys) -> None:
    def fail() -> None:
        raise KeyError("hip")

    calls.before_measuring = fail
    assert measure() == 1
    said = capsys.readouterr().err
    assert said.count("\n") == 1
    assert "Traceback" not in said
    assert "PUTT_POSTURE_TRACEBACK=1" in said


def test_traceback_is_shown_on_demand(measure, calls, capsys, monkeypatch) -> None:
    def fail() -> None:
        raise KeyError("hip")

    monkeypatch.setenv("PUTT_POSTURE_TRACEBACK", "1")
    calls.before_measuring = fail
    assert measure() == 1
    assert "Traceback (most recent call last)" in capsys.readouterr().err


def test_full_disk_is_one_sentence(measure, calls, capsys) -> None:
    def full() -> None:
        raise OSError(28, "No space left on device", "/somewhere/out")

    calls.before_storing = full
    assert measure() == 1
    assert capsys.readouterr().err == "putt-posture: The computer refused: No space left on device (/somewhere/out).\n"


def test_hand_may_be_typed_in_any_case(measure, calls) -> None:
    assert measure("--handed", "Right", "--sex", "FEMALE") == 0
    assert (calls.measured["student"].handed, calls.measured["student"].sex) == ("right", "female")


def test_page_to_open_is_said_last_and_opened_where_that_is_wanted(measure, capsys, monkeypatch, tmp_path) -> None:
    opened = []
    monkeypatch.setenv("DISPLAY", ":0")
    monkeypatch.setattr("click.launch", lambda page: opened.append(page) or 0)
    page = tmp_path / "out" / "report.html"
    assert measure() == 0
    assert capsys.readouterr().out.splitlines()[-1] == f"Open {page}"
    assert not opened
    assert measure("--replace", "--open") == 0
    assert capsys.readouterr().out.splitlines()[-1] == f"Open {page}"
    assert opened == [str(page)]


def test_page_that_cannot_be_opened_is_one_sentence(measure, capsys, monkeypatch) -> None:
    monkeypatch.setenv("DISPLAY", ":0")
    monkeypatch.setattr("click.launch", lambda _: 1)
    assert measure("--open") == 0
    said = " ".join(capsys.readouterr().out.split())
    assert said.endswith("It could not be opened from here: no browser or no screen was found. Open it yourself.")


def test_lesson_is_dated_as_given_or_today(measure, calls, capsys) -> None:
    assert measure("--day", "2026-05-07") == 0
    assert calls.stored["made_on"] == date(2026, 5, 7)
    assert "The lesson is dated 2026-05-07, as given." in capsys.readouterr().out
    assert measure("--day", "2999-01-01", "--replace") == 2
    assert "is in the future" in capsys.readouterr().err
    assert measure("--replace") == 0
    assert "as the clips do not say when they were filmed" in " ".join(capsys.readouterr().out.split())


def test_what_the_student_said_reaches_the_library_and_is_said_back(measure, calls, capsys) -> None:
    more = ("--misses", "pulls the short ones", "--weak-putts", "Short", "--putter-story", "a gift")
    assert measure(*more, "--limits", "bad back, tired", "--notes", "long day") == 0
    assert calls.measured["interview"] == Interview(
        misses="pulls the short ones",
        weak_putts="short",
        putter_story="a gift",
        limits="bad back, tired",
        notes="long day",
    )
    said = " ".join(capsys.readouterr().out.split())
    assert "Understood: misses to the left on short putts. Weak: short putts. Limits: back." in said
    assert 'Not understood, and kept as words: "tired".' in said


def test_nothing_is_said_back_where_nothing_was_said(measure, calls, capsys) -> None:
    assert measure() == 0
    assert calls.measured["interview"] == Interview()
    assert "nderstood" not in capsys.readouterr().out


def test_weak_putts_of_another_word_are_refused(measure, calls, capsys) -> None:
    assert measure("--weak-putts", "long") == 2
    assert "'short', 'lag', 'both'" in capsys.readouterr().err
    assert not calls.measured
