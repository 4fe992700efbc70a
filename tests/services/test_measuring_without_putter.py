"""A lesson filmed without a putter is filed, shown, compared and measured again as what it is."""

from datetime import date

import pytest
from export_lessons import enrol

from putt_posture import Student, measure_lesson
from putt_posture.archive import check_archive, file_lesson, open_lesson
from putt_posture.cli import main
from putt_posture.pages import lesson_as_files
from putt_posture.records import read_result_files
from putt_posture.services import measure_again
from putt_posture.values import Given

TODAY = date(2026, 11, 27)
STEP = "Shoulders back"


@pytest.fixture(scope="module")
def files(request):
    stills = request.getfixturevalue("golfer_stills")
    student = Student(stature_cm=178.0, handed="right", sex="female", putter_length_cm=88.9)
    return lesson_as_files(measure_lesson(student=student, without_putter=True, step="shoulders back", **stills))


@pytest.fixture
def filed(archive, files):
    number = enrol(archive, born=date(1990, 5, 17))
    lesson = read_result_files(files, title="the lesson")
    return file_lesson(archive, number, lesson, day=TODAY, moment="after", today=TODAY)


def test_filed_lesson_keeps_that_there_was_no_putter(archive, filed) -> None:
    record = open_lesson(archive, filed, today=TODAY).record
    assert (record.without_putter, record.step) == (True, STEP)
    assert record.measures["shaft_lie"].absent.startswith("Filmed without a putter")
    assert not [each for each in check_archive(archive) if each.kind != "orphan"]


def test_measuring_again_looks_for_no_putter_either(archive, filed) -> None:
    made = measure_again(archive, filed, today=TODAY, given={"down_the_line": Given(roll_deg=1.0)})
    record = open_lesson(archive, made.filed, today=TODAY).record
    assert (record.without_putter, record.step) == (True, STEP)
    assert not record.measures["shaft_lie"]
    assert record.measures["spine_tilt"].by_hand == ("camera roll",)


def test_step_that_is_no_step_stops_the_filing_of_clips(archive, capsys, tmp_path) -> None:
    number = enrol(archive, born=date(1990, 5, 17))
    words = ["archive", "file", number, "--down-the-line", tmp_path / "none.mov", "--moment", "after"]
    code = main([*map(str, words), "--step", "nod", "--archive", str(tmp_path / "archive")])
    assert code == 2
    assert "no step 'nod'" in capsys.readouterr().err


def test_putter_is_not_for_a_result_folder(archive, capsys, tmp_path) -> None:
    words = ["archive", "file", "1", str(tmp_path), "--moment", "after", "--without-putter"]
    assert main([*words, "--archive", str(tmp_path / "archive")]) == 2
    assert "--without-putter is for measuring clips" in capsys.readouterr().err
