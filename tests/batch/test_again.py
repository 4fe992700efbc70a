"""Lessons of an archive measured again in a batch: from what was kept, beside what was filed before."""

import pytest
from filed import TODAY, add_player

from putt_posture import measuring
from putt_posture.archive import file_lesson, load_newest_results, open_lesson, withdraw_consent
from putt_posture.batch import read_archive, running
from putt_posture.errors import NotInArchive, UsageError
from putt_posture.records import read_result_folder
from putt_posture.services import run_job


@pytest.fixture
def golfer(archive, golfer_folder):
    """The archive with a lesson of a rendered golfer, kept with all that was seen and without clips."""
    return file_lesson(archive, 1, read_result_folder(golfer_folder), day=TODAY, moment="before", today=TODAY)


@pytest.fixture
def measured(monkeypatch):
    """The jobs that were run."""
    jobs = []

    def run(job, _limits):
        jobs.append(job)
        return run_job(job)

    monkeypatch.setattr(running, "run_limited", run)
    return jobs


@pytest.fixture
def later_version(monkeypatch):
    """Measure by a later version of the program."""

    def begin():
        programs = measuring._programs()
        monkeypatch.setattr(measuring, "_programs", lambda: {**programs, "putt_posture": "9.0.0"})
        for module in ("running", "tasks"):
            monkeypatch.setattr(f"putt_posture.batch.{module}.present_method", lambda: "9.0.0")

    return begin


def again(batch, **about):
    return list(batch.start(read_archive(batch.archive, **about), begin=running.begin_task))


def test_a_lesson_whose_numbers_are_the_same_is_measured_once_and_nothing_is_filed(batch, golfer, measured):
    (outcome,) = again(batch)
    assert (outcome.where, outcome.state, outcome.lesson) == (f"lesson {golfer}", "unchanged", golfer)
    assert [each.state for each in again(batch)] == ["unchanged"]
    assert len(measured) == 1
    assert len(load_newest_results(batch.archive)) == 1


def test_a_later_version_files_beside_what_was_filed_and_is_done_then(batch, golfer, measured, later_version):
    before = open_lesson(batch.archive, golfer, today=TODAY).read("measures.json")
    later_version()
    (outcome,) = again(batch)
    assert outcome.state == "filed"
    assert outcome.lesson != golfer
    assert outcome.says == f"No number changed; it counts in place of lesson {golfer}, which stays."
    assert open_lesson(batch.archive, golfer, today=TODAY).read("measures.json") == before
    assert [(each.lesson, each.program) for each in load_newest_results(batch.archive)] == [(outcome.lesson, "9.0.0")]
    assert [each.state for each in again(batch)] == ["unchanged"]
    assert len(measured) == 1
    assert batch.measured() == []


def test_a_run_that_stopped_after_filing_files_no_second_result(batch, golfer, measured, later_version, monkeypatch):
    later_version()
    with monkeypatch.context() as patch:
        patch.setattr(batch.ledger, "write", lambda *_given: 1 / 0)
        with pytest.raises(ZeroDivisionError):
            again(batch)
    (filed,) = load_newest_results(batch.archive)
    assert filed.lesson != golfer
    assert [(each.state, each.lesson) for each in again(batch)] == [("unchanged", filed.lesson)]


def test_a_run_that_stopped_before_filing_files_what_it_measured(batch, golfer, measured, later_version, monkeypatch):
    later_version()
    with monkeypatch.context() as patch:
        patch.setattr("putt_posture.batch.tasks.file_again", lambda *_a, **_b: 1 / 0)
        with pytest.raises(ZeroDivisionError):
            again(batch)
    assert [each.state for each in again(batch)] == ["filed"]
    assert len(measured) == 1


def test_what_may_not_be_used_lies_aside_and_stops_no_other(batch, golfer, measured, golfer_folder):
    other = add_player(batch.archive, name="Kim Example")
    kept = read_result_folder(golfer_folder)
    file_lesson(batch.archive, other, kept, day=TODAY, moment="check", today=TODAY)
    file_lesson(batch.archive, 2, kept, day=TODAY, moment="check", today=TODAY, pictures=False)
    withdraw_consent(batch.archive, other, scopes=("measures",), on=TODAY)
    outcomes = {each.student: each for each in again(batch)}
    assert {student: each.state for student, each in outcomes.items()} == {
        1: "unchanged", 2: "laid aside", other: "laid aside",
    }  # fmt: skip
    assert "without landmarks and outlines" in outcomes[2].says
    assert "no consent" in outcomes[other].says
    assert len(measured) == 1


def test_lessons_are_chosen_by_student_and_by_version(batch, golfer, golfer_folder):
    file_lesson(batch.archive, 2, read_result_folder(golfer_folder), day=TODAY, moment="check", today=TODAY)
    chosen = lambda **about: [each.student for each in read_archive(batch.archive, **about)]  # noqa: E731
    assert chosen() == [1, 2]
    assert chosen(students=[2, 2]) == [2]
    assert chosen(older_than="99") == [1, 2]
    for about, error in (
        ({"older_than": "0.0.1"}, "no lesson that a version before 0.0.1 measured"),
        ({"older_than": "new"}, "'new' is not a version"),
    ):
        with pytest.raises(UsageError, match=error):
            read_archive(batch.archive, **about)
    with pytest.raises(NotInArchive):
        read_archive(batch.archive, students=[77])
