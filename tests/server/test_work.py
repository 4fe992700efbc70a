"""Long work in workers: progress, cancelling, crashes; and what the page is told of it."""

import json
import os
import sys
import time
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).parent))

from made_up_jobs import CrashingJob, FailingJob, ProcessJob, UnsendableJob, WritingJob

from putt_posture.errors import OutputError, UsageError
from putt_posture.server.work import WorkRoom


@pytest.fixture(scope="module")
def room():
    made = WorkRoom(most_at_once=2)
    yield made
    made.close()


def wait_for(room, id, *, limit_s=60.0):
    work = room.find(id)
    assert work.wait(limit_s)
    return work


def wait_until(is_so, *, limit_s=60.0):
    until = time.monotonic() + limit_s
    while not is_so():
        assert time.monotonic() < until
        time.sleep(0.02)


def test_work_says_how_far_it_is_and_writes_its_result(room, tmp_path):
    id = room.start("a", WritingJob(out=tmp_path / "result", slow_s=0.6))
    work, seen = room.find(id), []
    while not work.wait(0.02):
        seen.append((work.what, work.share, work.left_s))
    assert work.state == "done"
    assert work.share == 1.0
    shares = [share for _, share, _ in seen]
    assert shares == sorted(shares)
    assert any(what.startswith("step") for what, _, _ in seen)
    assert any(left is not None and left >= 0.0 for _, _, left in seen)
    assert work.result.job.out == tmp_path / "result"
    assert (tmp_path / "result" / "result.txt").read_text() == "done"


def test_work_that_is_cancelled_leaves_nothing(room, tmp_path):
    id = room.start("a", WritingJob(out=tmp_path / "result", slow_s=60.0))
    wait_until(lambda: room.find(id).share > 0.0)
    assert [each.name for each in tmp_path.iterdir()] != []  # it is writing
    room.cancel(id)
    assert room.find(id).state == "cancelled"
    assert list(tmp_path.iterdir()) == []
    room.cancel(id)  # once more does nothing
    assert room.find(id).state == "cancelled"


def test_the_earlier_result_stays_where_new_work_is_cancelled(room, tmp_path):
    wait_for(room, room.start("a", WritingJob(out=tmp_path / "result", text="first")))
    id = room.start("a", WritingJob(out=tmp_path / "result", text="second", slow_s=60.0))
    wait_until(lambda: room.find(id).share > 0.0)
    room.cancel(id)
    assert (tmp_path / "result" / "result.txt").read_text() == "first"
    assert [each.name for each in tmp_path.iterdir()] == ["result"]


def test_work_that_waits_for_its_turn_can_be_cancelled(tmp_path):
    room = WorkRoom(most_at_once=1)
    try:
        first = room.start("a", WritingJob(out=tmp_path / "a", slow_s=60.0))
        second = room.start("b", WritingJob(out=tmp_path / "b"))
        assert room.find(second).state == "waiting"
        room.cancel(second)
        assert room.find(second).state == "cancelled"
        assert room.find(first).state in ("waiting", "running")
    finally:
        room.close()
    assert list(tmp_path.iterdir()) == []


def test_a_crash_of_one_job_tells_that_job_and_no_more(room, tmp_path):
    other = room.start("b", WritingJob(out=tmp_path / "result", slow_s=2.0))
    work = wait_for(room, room.start("a", CrashingJob()))
    assert work.state == "failed"
    assert "ended before it was done" in work.says
    assert wait_for(room, other).state == "done"
    assert wait_for(room, room.start("a", WritingJob(out=tmp_path / "again"))).state == "done"


def test_a_fault_is_told_in_a_sentence_and_the_worker_goes_on(room):
    process = wait_for(room, room.start("a", ProcessJob())).what
    failed = wait_for(room, room.start("a", FailingJob()))
    assert (failed.state, failed.says) == ("failed", "No quiet moment at address was found.")
    wrong = wait_for(room, room.start("a", FailingJob(RuntimeError)))
    assert "inside the program (RuntimeError" in wrong.says
    assert wait_for(room, room.start("a", UnsendableJob())).state == "failed"
    assert wait_for(room, room.start("a", ProcessJob())).what == process


def test_new_work_of_a_draft_takes_the_place_of_the_earlier(room, tmp_path):
    first = room.start("a", WritingJob(out=tmp_path / "result", text="first", slow_s=60.0))
    second = room.start("a", WritingJob(out=tmp_path / "result", text="second"))
    assert room.find(first).state == "cancelled"
    assert wait_for(room, second).state == "done"
    assert (tmp_path / "result" / "result.txt").read_text() == "second"


def test_a_result_that_cannot_be_written_is_refused_before_the_work(room, tmp_path):
    (tmp_path / "result").write_text("a file of somebody")
    with pytest.raises(OutputError):
        room.start("a", WritingJob(out=tmp_path / "result"))
    assert room.find_going_on("a") is None


def test_unknown_work_is_told_in_a_sentence(room):
    with pytest.raises(UsageError, match="started again"):
        room.find("0" * 32)


def test_no_worker_outlives_its_room(tmp_path):
    room = WorkRoom()
    process = int(wait_for(room, room.start("a", ProcessJob())).what)
    running = room.start("a", WritingJob(out=tmp_path / "result", slow_s=60.0))
    wait_until(lambda: room.find(running).share > 0.0)
    room.close()
    with pytest.raises(ProcessLookupError):
        os.kill(process, 0)
    assert list(tmp_path.iterdir()) == []


def test_the_page_follows_work_by_events(state, coach, draft, tmp_path):
    id = state.work.start(draft.id, WritingJob(out=tmp_path / "result", slow_s=0.8))
    with coach.stream("GET", f"/work/{id}/events") as answer:
        assert answer.headers["content-type"].startswith("text/event-stream")
        assert "default-src 'self'" in answer.headers["content-security-policy"]
        told = [json.loads(line[5:]) for line in answer.iter_lines() if line.startswith("data:")]
    assert told[-1]["state"] == "done"
    assert told[-1]["share"] == 1.0
    assert len(told) > 2
    assert coach.get(f"/work/{id}").json() == told[-1]


def test_the_page_cancels_work(state, coach, draft, tmp_path):
    id = state.work.start(draft.id, WritingJob(out=tmp_path / "result", slow_s=60.0))
    assert coach.get(f"/work/{id}/cancel").status_code == 405
    assert state.work.find(id).state in ("waiting", "running")
    answer = coach.post(f"/work/{id}/cancel", follow_redirects=False)
    assert answer.headers["location"] == f"/lessons/{draft.id}"
    assert state.work.find(id).state == "cancelled"
    assert list(tmp_path.glob("*.part")) == []


def test_a_phone_follows_the_work_of_its_lesson_alone(state, phone, draft):
    mine = state.work.start(draft.id, FailingJob())
    other = state.work.start("1" * 16, FailingJob())
    assert phone.get(f"/work/{mine}").status_code == 200
    assert phone.get(f"/work/{other}").status_code == 403
    assert phone.post(f"/work/{other}/cancel").status_code == 403
    assert phone.get(f"/work/{other}/events").status_code == 403
