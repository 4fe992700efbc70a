"""The people's rules hold whoever asks: what is allowed decides how a lesson is measured and what of it is kept."""

from datetime import date

import pytest
from filed import NAME, TODAY, add_player, make_clips, make_lesson_of

from putt_posture.archive import LessonNotes, add_consent, add_student, load_lessons, withdraw_consent
from putt_posture.errors import NotAllowed, UsageError
from putt_posture.services import Filing, JobResult, file_folder, file_measured, prepare_job, run_job
from putt_posture.values import Interview, Student

CLIPS_STAY_OUT = "The clips are not kept, as there is no consent for showing the face in them."


@pytest.fixture(scope="session")
def stored(tmp_path_factory):
    """The files of one invented result folder, by name."""
    from invented import MADE_ON, make_lesson

    from putt_posture.pages import lesson_as_files

    return lesson_as_files(make_lesson(), made_on=MADE_ON)


@pytest.fixture
def player(archive):
    return add_player(archive)


@pytest.fixture
def clips(tmp_path):
    return make_clips(tmp_path / "filmed", "one")


def filing_of(number, clips, **more):
    return Filing(student=number, **{"day": TODAY, "moment": "before", "clips": clips, **more})


def measured(job, stored, clips):
    """Return a result as if the job had been run."""
    lesson = make_lesson_of(stored, tag="one", clips=clips)
    return JobResult(job=job, lesson=object(), files={name: lesson.read(name) for name in lesson.names})


def test_a_lesson_is_measured_with_what_the_archive_knows(archive, player, clips) -> None:
    job = prepare_job(archive, filing_of(player, clips), today=TODAY, putter_length_cm=86.4, given={"setup_at": {}})
    assert job.student == Student(
        name=NAME, stature_cm=178.0, handed="right", sex="female", wrist_floor_cm=85.5, putter_length_cm=86.4
    )
    assert (job.clips, job.given, job.out, job.hide_faces) == (clips, {"setup_at": {}}, None, False)


def test_clips_are_kept_where_the_face_may_be_shown(archive, player, clips, stored) -> None:
    filing = filing_of(player, clips)
    job = prepare_job(archive, filing, today=TODAY)
    filed = file_measured(archive, filing, measured(job, stored, clips), today=TODAY)
    assert filed.lesson.clips == 2
    assert CLIPS_STAY_OUT not in filed.says


def test_who_did_not_allow_their_face_is_measured_hidden_and_their_clips_stay_out(
    archive, player, clips, stored
) -> None:
    withdraw_consent(archive, player, scopes=["faces"], on=TODAY)
    filing = filing_of(player, clips)
    job = prepare_job(archive, filing, today=TODAY)
    assert job.hide_faces
    filed = file_measured(archive, filing, measured(job, stored, clips), today=TODAY)
    assert filed.lesson.clips == 0
    assert CLIPS_STAY_OUT in filed.says


def test_what_is_withdrawn_while_a_job_runs_counts_when_it_is_filed(archive, player, clips, stored) -> None:
    """A batch asks in the evening, and files in the morning."""
    filing = filing_of(player, clips)
    job = prepare_job(archive, filing, today=TODAY)
    withdraw_consent(archive, player, scopes=["faces"], on=TODAY)
    with pytest.raises(NotAllowed, match="clips show it"):
        file_measured(archive, filing, measured(job, stored, clips), today=TODAY)
    assert load_lessons(archive, player) == ()


@pytest.mark.parametrize("scope", ["filming", "measures", "pictures"])
def test_without_consent_nothing_is_even_measured(scope, archive, player, clips) -> None:
    withdraw_consent(archive, player, scopes=[scope], on=TODAY)
    with pytest.raises(NotAllowed):
        prepare_job(archive, filing_of(player, clips), today=TODAY)


def test_of_a_child_nothing_is_measured_on_their_own_word(archive, clips) -> None:
    child = Student(name="Robin Small", stature_cm=140.0, handed="right")
    number = add_student(archive, child, today=TODAY, born=date(2015, 1, 1))
    with pytest.raises(NotAllowed, match="a parent or guardian must consent"):
        add_consent(
            archive, number, scopes=["filming"], given_on=TODAY, given_by=child.name, relation="self", today=TODAY
        )
    with pytest.raises(NotAllowed):
        prepare_job(archive, filing_of(number, clips), today=TODAY)


def test_a_folder_is_asked_about_before_it_is_read(archive, player, tmp_path) -> None:
    withdraw_consent(archive, player, scopes=["measures"], on=TODAY)
    with pytest.raises(NotAllowed):
        file_folder(archive, filing_of(player, {}), tmp_path / "is not there", today=TODAY)


def test_a_job_that_failed_files_nothing(archive, player, tmp_path) -> None:
    filing = filing_of(player, {"face_on": tmp_path / "none.mov"})
    job = prepare_job(archive, filing, today=TODAY)
    with pytest.raises(OSError, match=r"none\.mov"):
        file_measured(archive, filing, run_job(job), today=TODAY)
    assert load_lessons(archive, player) == ()


def test_without_a_clip_there_is_nothing_to_measure(archive, player) -> None:
    with pytest.raises(UsageError, match="Give a down-the-line clip"):
        prepare_job(archive, filing_of(player, {}), today=TODAY)


def test_what_was_said_is_measured_with_and_comes_back_filed(archive, player, clips, stored) -> None:
    filing = filing_of(player, clips, notes=LessonNotes(place="Green", misses="left", limits="bad back"))
    job = prepare_job(archive, filing, today=TODAY)
    assert job.given == {"interview": Interview(misses="left", limits="bad back")}
    filed = file_measured(archive, filing, measured(job, stored, clips), today=TODAY)
    assert (filed.notes.place, filed.notes.misses, filed.lesson.notes) == ("Green", "left", LessonNotes())
