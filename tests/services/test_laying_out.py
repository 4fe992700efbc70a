"""Steps side by side keep the people's rules: what is not allowed today is not shown, in folders beside lessons too."""

from datetime import date

import pytest
from export_lessons import enrol
from invented import MADE_ON

from putt_posture.archive import file_lesson, withdraw_consent
from putt_posture.errors import NotAllowed, UsageError
from putt_posture.records import read_result_folder
from putt_posture.services import lay_out_marked, lay_out_stages
from putt_posture.values import Student

TODAY = date.today()


@pytest.fixture(scope="module")
def folders(invented_folder, after_folder):
    return [invented_folder, after_folder]


@pytest.fixture
def player(archive, folders):
    number = enrol(archive, born=date(1990, 5, 17))
    for folder, moment in zip(folders, ("before", "after"), strict=True):
        file_lesson(archive, number, read_result_folder(folder), day=MADE_ON, moment=moment, today=TODAY)
    return number


def test_lessons_of_the_archive_are_shown_as_allowed(archive, player, tmp_path) -> None:
    stages = lay_out_stages([1, 2], tmp_path / "out", today=TODAY, archive=archive)
    assert not any(stage.lesson.record.faces_hidden for stage in stages.stages)
    assert len(list((tmp_path / "out" / "stills").iterdir())) == 4


@pytest.mark.parametrize("places", [[1, 2], [1, "after"]], ids=["both filed", "one in a folder"])
def test_without_consent_for_faces_all_heads_are_hidden(archive, player, folders, tmp_path, places) -> None:
    withdraw_consent(archive, player, scopes=["faces"], on=TODAY)
    given = [each if isinstance(each, int) else folders[1] for each in places]
    stages = lay_out_stages(given, tmp_path / "out", today=TODAY, archive=archive)
    for stage, folder in zip(stages.stages, folders, strict=True):
        shown = read_result_folder(folder)
        assert stage.lesson.record.faces_hidden, shown.title
    page = " ".join((tmp_path / "out" / "steps.html").read_text(encoding="utf-8").split())
    assert "There is no consent for showing the face" in page


def test_without_consent_for_pictures_no_picture_comes_out(archive, player, tmp_path) -> None:
    withdraw_consent(archive, player, scopes=["pictures"], on=TODAY)
    stages = lay_out_stages([1, 2], tmp_path / "out", today=TODAY, archive=archive)
    assert not any(stage.lesson.views for stage in stages.stages)
    assert not (tmp_path / "out" / "stills").exists()
    assert "<img" not in (tmp_path / "out" / "steps.html").read_text(encoding="utf-8")


def test_without_consent_for_measures_nothing_comes_out(archive, player, tmp_path) -> None:
    withdraw_consent(archive, player, scopes=["measures"], on=TODAY)
    with pytest.raises(NotAllowed):
        lay_out_stages([1, 2], tmp_path / "out", today=TODAY, archive=archive)
    assert not (tmp_path / "out").exists()


def test_steps_of_two_students_are_refused(archive, player, folders, tmp_path) -> None:
    other = enrol(archive, name="Charlie Other", born=date(1991, 5, 17))
    file_lesson(archive, other, read_result_folder(folders[0]), day=MADE_ON, moment="before", today=TODAY)
    with pytest.raises(UsageError, match="of different students"):
        lay_out_stages([1, 2, 3], tmp_path / "out", today=TODAY, archive=archive)


@pytest.mark.parametrize("count", [1, 9])
def test_marks_are_counted_before_any_long_work(tmp_path, count) -> None:
    steps = {f"step {number}": {"face_on": [1.0]} for number in range(count)}
    student = Student(stature_cm=178, handed="right")
    with pytest.raises(UsageError, match="2 to 8 are needed"):
        lay_out_marked(student, {"face_on": tmp_path / "none.mov"}, steps, tmp_path / "out", today=TODAY)
