"""Lessons of a batch whose clips are in a bucket."""

from concurrent.futures import Executor, Future
from datetime import date

import pytest
from filed import add_player, make_lesson_of
from invented import make_lesson

from putt_posture.archive import load_lessons, open_lesson
from putt_posture.batch import Ledger, Pool, read_folder, read_list, run_batch
from putt_posture.buckets import BucketFile
from putt_posture.errors import BucketAway, UsageError
from putt_posture.services import JobResult, clips_at_hand

TODAY = date(2026, 11, 27)
RULE = "{}_2026-11-07_before_{}.mov"


class InventedMeasuring(Executor):
    """Loads the clips of each job as a worker does, and answers with a lesson of them, or with an error."""

    def __init__(self, stored):
        self.stored = stored
        self.jobs = []
        self.errors = []

    def submit(self, function, job, *given):
        self.jobs.append(job)
        future = Future()
        if self.errors:
            future.set_result(JobResult(job=job, error=self.errors.pop(0)))
            return future
        with clips_at_hand(job.sources) as clips:
            kept = make_lesson_of(self.stored, tag="bucket", clips=clips)
        files = {name: kept.read(name) for name in kept.names}
        future.set_result(JobResult(job=job, lesson=make_lesson(), files=files))
        return future


@pytest.fixture
def measuring(stored):
    return InventedMeasuring(stored)


@pytest.fixture
def student(archive):
    return add_player(archive)


@pytest.fixture
def filmed(bucket_server, bucket, student):
    """The URL of a folder in a bucket with the two clips of a lesson."""
    for view in ("down-the-line", "face-on"):
        bucket_server.put(bucket, "saturday/" + RULE.format(student, view), view.encode())
    bucket_server.put(bucket, "saturday/.hidden.mov", b"x")
    bucket_server.put(bucket, "saturday/notes.txt", b"x")
    return f"{bucket}/saturday"


@pytest.fixture
def run(archive, measuring, tmp_path):
    def once(lessons):
        with Ledger(tmp_path / "work") as ledger:
            pool = Pool(executor=measuring, workers=1)
            return list(run_batch(archive, lessons, ledger=ledger, pool=pool, today=TODAY))

    return once


def test_a_folder_in_a_bucket_is_read_like_one_on_this_disk(filmed, student):
    (lesson,) = read_folder(filmed)
    assert (lesson.student, lesson.moment, lesson.day, lesson.fault) == (student, "before", date(2026, 11, 7), "")
    assert {view: clip.name for view, clip in lesson.clips.items()} == {
        "down_the_line": RULE.format(student, "down-the-line"),
        "face_on": RULE.format(student, "face-on"),
    }


def test_a_folder_in_a_bucket_without_clips_is_one_sentence(bucket):
    with pytest.raises(UsageError, match="holds no clip"):
        read_folder(f"{bucket}/sunday")


def test_a_list_names_clips_in_a_bucket_beside_those_of_this_disk(tmp_path):
    (tmp_path / "list.csv").write_text(
        "student,moment,down_the_line,face_on\n1,before,s3://clips/a/side.mov,front.mov\n"
    )
    (lesson,) = read_list(tmp_path / "list.csv")
    assert lesson.clips == {
        "down_the_line": BucketFile(root="s3://clips", path="a/side.mov"),
        "face_on": tmp_path / "front.mov",
    }


def test_a_lesson_is_filed_with_its_clips_and_known_in_the_next_run(run, archive, measuring, filmed, student):
    (first,) = run(read_folder(filmed))
    assert first.state == "filed", first.says
    (lesson,) = load_lessons(archive, student, today=TODAY)
    assert lesson.clips == 2
    assert open_lesson(archive, lesson.number, today=TODAY)
    (again,) = run(read_folder(filmed))
    assert (again.state, again.lesson, again.before) == ("already filed", lesson.number, True)
    assert len(measuring.jobs) == 1


def test_a_clip_that_is_not_there_lays_its_lesson_aside_with_one_sentence(run, student, bucket, tmp_path):
    (tmp_path / "list.csv").write_text(f"student,moment,face_on\n{student},before,{bucket}/none.mov\n")
    (outcome,) = run(read_list(tmp_path / "list.csv"))
    assert outcome.state == "laid aside"
    assert outcome.says == f"{bucket}/none.mov was not found in its bucket. Check the address."


def test_a_bucket_that_is_away_for_a_worker_is_tried_again(run, measuring, filmed):
    measuring.errors = [BucketAway("The bucket does not answer.")] * 2
    (outcome,) = run(read_folder(filmed))
    assert (outcome.state, outcome.tries) == ("filed", 3)


def test_a_bucket_that_stays_away_stops_the_run_and_lays_nothing_aside(run, measuring, filmed):
    measuring.errors = [BucketAway("The bucket does not answer.")] * 3
    with pytest.raises(BucketAway):
        run(read_folder(filmed))
    (outcome,) = run(read_folder(filmed))
    assert outcome.state == "filed"
