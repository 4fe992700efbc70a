"""A job in a process of its own: limits on time and memory, crashes, and who ended it."""

import os
import signal
import threading
import time

import psutil
import pytest
from small_lessons import SmallJob

from putt_posture.batch import Limits, count_workers, open_executor
from putt_posture.batch.limits import end_workers, run_limited
from putt_posture.errors import BeyondLimits, ProcessKilled, ProcessStopped

FILES = {"measures.json": b"{}"}
WIDE = Limits(seconds=300.0, memory_mb=4000.0)


@pytest.fixture(autouse=True)
def ended():
    yield
    end_workers()


def wait_for(job, count=1):
    until = time.monotonic() + 120.0
    while job.begun() < count:
        assert time.monotonic() < until, "the job did not begin"
        time.sleep(0.05)
    return int(job.began.read_text().split()[-1])


def test_a_process_is_kept_from_job_to_job_and_replaced_after_a_crash(tmp_path):
    job = SmallJob("measure", FILES, tmp_path / "good")
    assert run_limited(job, WIDE).files == FILES
    assert run_limited(job, WIDE).files == FILES
    first, second = job.began.read_text().split()
    assert first == second != str(os.getpid())
    assert run_limited(SmallJob("count threads", FILES), WIDE).files == {"threads": b"1"}
    crashed = run_limited(SmallJob("crash", FILES), WIDE)
    assert type(crashed.error) is ProcessStopped
    assert run_limited(job, WIDE).files == FILES
    assert job.began.read_text().split()[-1] != first


def test_a_job_that_hangs_is_ended_with_its_process(tmp_path):
    job = SmallJob("hang", FILES, tmp_path / "hang")
    results = []
    run_limited(SmallJob("measure", FILES), WIDE)  # what takes long to start is there then
    thread = threading.Thread(target=lambda: results.append(run_limited(job, Limits(seconds=20.0))))
    thread.start()
    pid = wait_for(job)
    thread.join(60.0)
    assert isinstance(results[0].error, BeyondLimits)
    assert str(results[0].error).startswith("It was not done after 20 s, so it was ended.")
    assert not psutil.pid_exists(pid) or psutil.Process(pid).status() == psutil.STATUS_ZOMBIE


def test_a_job_that_eats_memory_is_ended():
    result = run_limited(SmallJob("eat", FILES), Limits(seconds=300.0, memory_mb=700.0))
    assert isinstance(result.error, BeyondLimits)
    assert "MB of memory, and 700 MB are allowed" in str(result.error)


def test_a_process_that_someone_kills_was_not_at_fault(tmp_path):
    job = SmallJob("hang", FILES, tmp_path / "hang")
    results = []
    thread = threading.Thread(target=lambda: results.append(run_limited(job, WIDE)))
    thread.start()
    os.kill(wait_for(job), getattr(signal, "SIGKILL", signal.SIGTERM))
    thread.join(60.0)
    assert type(results[0].error) is ProcessKilled


def test_leaving_the_pool_ends_what_still_runs(tmp_path):
    job = SmallJob("hang", FILES, tmp_path / "hang")
    began = time.monotonic()
    with open_executor(workers=1) as pool:
        pool.executor.submit(run_limited, job, WIDE)
        pool.executor.submit(run_limited, job, WIDE)
        pid = wait_for(job)
    assert time.monotonic() - began < 150.0
    assert not psutil.pid_exists(pid) or psutil.Process(pid).status() == psutil.STATUS_ZOMBIE
    assert job.begun() == 1


def test_as_many_workers_as_processors_and_memory_allow(monkeypatch):
    monkeypatch.setattr("putt_posture.batch.limits.os.sched_getaffinity", lambda _: {0, 1, 2, 3}, raising=False)
    memory = psutil.virtual_memory()
    for free_mb, count in ((100_000, 4), (2_500, 2), (100, 1)):
        monkeypatch.setattr(psutil, "virtual_memory", lambda mb=free_mb: memory._replace(available=mb * 1_000_000))
        assert count_workers() == count
