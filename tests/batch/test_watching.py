"""A folder that is watched: what arrives becomes lessons, and is put away with what became of it."""

from concurrent.futures import Executor, Future
from datetime import date

import pytest
from filed import add_player, make_lesson_of
from invented import make_lesson
from looks import TextLooker

from putt_posture.archive import load_lessons, load_student
from putt_posture.batch import BatchLesson, Ledger, Pool, WatchRules, open_watch, run_watch
from putt_posture.errors import ArchiveAway, StudentNotFound
from putt_posture.services import JobResult

ELEVEN = 1_790_000_000


class InventedMeasuring(Executor):
    """Answers each job with a lesson of its clips; a clip with ``nobody`` in it shows no one."""

    def __init__(self, stored):
        self.stored = stored
        self.jobs = []

    def submit(self, function, job, *given):
        self.jobs.append(job)
        future = Future()
        if any("nobody" in path.read_text() for path in job.clips.values()):
            future.set_result(JobResult(job=job, error=StudentNotFound("No person was found.")))
            return future
        clips = job.clips if len(job.clips) == 2 else {}
        kept = make_lesson_of(self.stored, tag=" ".join(path.name for path in job.clips.values()), clips=clips)
        files = {name: kept.read(name) for name in kept.names}
        future.set_result(JobResult(job=job, lesson=make_lesson(), files=files))
        return future


@pytest.fixture
def measuring(stored):
    return InventedMeasuring(stored)


@pytest.fixture
def inbox(tmp_path):
    folder = tmp_path / "in"
    folder.mkdir()
    return folder


@pytest.fixture
def run(archive, measuring, inbox, tmp_path):
    """Watch the folder once and return what became of each lesson, and what was said."""

    def once(**rules):
        said = []
        rules = WatchRules(once=True, lesson=BatchLesson(where="", keep_clips=False), **rules)
        with (
            open_watch(inbox, rules=rules, still_s=0.0, poll_s=0.0, looker=TextLooker(), tell=said.append) as watch,
            Ledger(tmp_path / "work") as ledger,
        ):
            outcomes = list(run_watch(archive, watch, ledger=ledger, pool=Pool(executor=measuring, workers=1)))
        return outcomes, said

    return once


def put(inbox, name, view, minute=0, more=""):
    path = inbox / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(f"{view} {ELEVEN + 60 * minute}{more}")
    return path


def names(folder):
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())


def test_two_clips_of_a_student_are_filed_as_one_lesson_and_moved(run, archive, inbox):
    student = add_player(archive)
    put(inbox, f"{student}/before/IMG_1.MOV", "down_the_line")
    put(inbox, f"{student}/before/IMG_2.MOV", "face_on", 2)
    (outcome,), said = run()
    (lesson,) = load_lessons(archive, student, today=date.today())
    assert (outcome.state, outcome.lesson, lesson.moment) == ("filed", lesson.number, "before")
    assert names(inbox) == [f"filed/{student}/before/IMG_1.MOV", f"filed/{student}/before/IMG_2.MOV"]
    assert any("a lesson of student" in each and "down the line and face on" in each for each in said)


def test_the_student_may_be_given_for_the_whole_session(run, archive, inbox):
    student = add_player(archive)
    put(inbox, "IMG_1.MOV", "face_on")
    (outcome,), _ = run(student=student, moment="after")
    assert outcome.state == "filed"
    assert load_lessons(archive, student, today=date.today())[0].moment == "after"


def test_a_clip_that_does_not_say_whose_it_is_is_laid_aside_with_the_reason_beside_it(run, inbox):
    put(inbox, "IMG_1.MOV", "face_on")
    (outcome,), _ = run()
    assert outcome.state == "laid aside"
    assert names(inbox) == ["laid aside/IMG_1.MOV", "laid aside/IMG_1.MOV.txt"]
    assert "does not say whose it is" in (inbox / "laid aside/IMG_1.MOV.txt").read_text(encoding="utf-8")


def test_a_clip_of_a_student_without_consent_is_laid_aside_and_not_measured(run, archive, inbox, measuring):
    put(inbox, "77/IMG_1.MOV", "face_on")
    (outcome,), _ = run()
    assert outcome.state == "laid aside"
    assert "77" in (inbox / "laid aside/77/IMG_1.MOV.txt").read_text(encoding="utf-8")
    assert measuring.jobs == []


def test_a_clip_that_was_put_right_and_moved_back_is_tried_again_and_its_reason_is_removed(run, archive, inbox):
    student = add_player(archive)
    put(inbox, f"{student}/IMG_1.MOV", "face_on", more=" nobody")
    (outcome,), _ = run()
    assert "No person was found." in outcome.says
    aside = inbox / f"laid aside/{student}/IMG_1.MOV"
    assert "No person was found." in aside.with_name("IMG_1.MOV.txt").read_text(encoding="utf-8")
    aside.rename(inbox / f"{student}/IMG_1.MOV")
    (again,), _ = run()
    assert (again.state, again.before) == ("laid aside", False)
    aside.rename(inbox / f"{student}/IMG_1.MOV")
    put(inbox, f"{student}/IMG_1.MOV", "face_on")
    (filed,), _ = run()
    assert filed.state == "filed"
    assert names(inbox) == [f"filed/{student}/IMG_1.MOV"]


def test_clips_that_are_left_are_filed_once_and_known_in_the_next_run(run, archive, inbox, measuring):
    student = add_player(archive)
    put(inbox, f"{student}/IMG_1.MOV", "face_on")
    assert [each.before for each in run(leaves=True)[0]] == [False]
    assert [each.before for each in run(leaves=True)[0]] == [True]
    assert len(measuring.jobs) == len(load_lessons(archive, student, today=date.today())) == 1
    assert names(inbox) == [f"{student}/IMG_1.MOV"]


def test_clips_that_were_filed_and_not_moved_before_the_stop_are_moved_in_the_next_run(run, archive, inbox, measuring):
    student = add_player(archive)
    put(inbox, f"{student}/IMG_1.MOV", "face_on")
    put(inbox, f"{student}/IMG_2.MOV", "down_the_line")
    run(leaves=True)
    (outcome,), _ = run()
    assert outcome.state == "already filed"
    assert names(inbox) == [f"filed/{student}/IMG_1.MOV", f"filed/{student}/IMG_2.MOV"]
    assert len(measuring.jobs) == 1


def test_no_clip_replaces_another_of_the_same_name(run, archive, inbox):
    student = add_player(archive)
    for minute in (0, 60):
        put(inbox, f"{student}/IMG_1.MOV", "face_on", minute, more=" nobody")
        run()
    assert [name for name in names(inbox) if name.endswith(".MOV")] == [
        f"laid aside/{student}/IMG_1 (2).MOV",
        f"laid aside/{student}/IMG_1.MOV",
    ]


def test_a_clip_that_is_not_whole_stays_where_it_is_when_only_what_is_there_is_done(run, archive, inbox):
    """It may still be copied."""
    student = add_player(archive)
    put(inbox, f"{student}/IMG_1.MOV", "cut")
    (outcome,), _ = run()
    assert outcome.says == "IMG_1.MOV is cut short."
    assert names(inbox) == [f"{student}/IMG_1.MOV"]


def test_a_folder_that_cannot_be_written_is_filed_from_all_the_same(run, archive, inbox, monkeypatch):
    """A card whose lock is on."""
    student = add_player(archive)
    path = put(inbox, f"{student}/IMG_1.MOV", "face_on")

    def refuse(self, *_given, **_more):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(type(path), "rename", refuse)
    (outcome,), said = run()
    assert outcome.state == "filed"
    assert f"{student}/IMG_1.MOV stays where it is (Permission denied)." in said
    assert path.exists()


def test_an_archive_that_stays_away_ends_a_run_of_what_is_there_and_the_clips_stay(
    run, archive, inbox, measuring, monkeypatch
):
    student = add_player(archive)
    put(inbox, f"{student}/IMG_1.MOV", "face_on")

    def away(*_given, **_more):
        raise ArchiveAway("The archive is away.")

    with monkeypatch.context() as patch:
        patch.setattr("putt_posture.batch.running._WAITS_S", ())
        patch.setattr("putt_posture.batch.tasks.file_measured", away)
        with pytest.raises(ArchiveAway, match="away"):
            run()
    assert names(inbox) == [f"{student}/IMG_1.MOV"]
    (outcome,), _ = run()
    assert outcome.state == "filed"
    assert len(measuring.jobs) == 1, "it was measured before"
    assert load_student(archive, student)


def test_a_watch_goes_on_when_the_archive_comes_back_and_takes_what_arrives_meanwhile(
    archive, inbox, measuring, tmp_path, monkeypatch
):
    student, said, states = add_player(archive), [], []
    put(inbox, f"{student}/IMG_1.MOV", "face_on")
    tries = iter([True, False])

    def away_once(*given, **more):
        from putt_posture.services import file_measured

        if next(tries, False):
            raise ArchiveAway("The archive is away.")
        return file_measured(*given, **more)

    monkeypatch.setattr("putt_posture.batch.watching._AWAY_S", 0.0)
    monkeypatch.setattr("putt_posture.batch.running._WAITS_S", ())
    monkeypatch.setattr("putt_posture.batch.tasks.file_measured", away_once)
    rules = WatchRules(wait_s=0.0, lesson=BatchLesson(where="", keep_clips=False))
    with (
        open_watch(inbox, rules=rules, still_s=0.0, poll_s=0.0, looker=TextLooker(), tell=said.append) as watch,
        Ledger(tmp_path / "work") as ledger,
    ):
        for outcome in run_watch(archive, watch, ledger=ledger, pool=Pool(executor=measuring, workers=1)):
            states.append((outcome.state, outcome.says))
            if len(states) == 2:
                break
            put(inbox, f"{student}/IMG_2.MOV", "face_on", 60)
    assert [state for state, _ in states] == ["filed", "filed"], states
    assert any(each.startswith("The archive is away.") for each in said)


def test_a_watch_ends_its_day_at_midnight_so_that_consent_is_judged_by_the_new_one(inbox):
    with open_watch(inbox, looker=TextLooker(), still_s=0.0, poll_s=0.0) as watch:
        days = iter([date(2026, 11, 7), date(2026, 11, 7), date(2026, 11, 8)])
        assert list(watch.lessons(day=date(2026, 11, 7), today=lambda: next(days))) == [None, None]
